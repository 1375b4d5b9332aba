// The documents: listing, making, reading, changing them.
#include "base/ascii.h"
#include "base/problem_json.h"
#include "loom/graft_json.h"
#include "loom/validate.h"
#include "serve/answers.h"
#include "serve/handlers.h"
#include "serve/page_files.h"

namespace loomgraft::serve {
namespace {

std::string etag_of(std::int64_t revision) {
  return "\"r" + std::to_string(revision) + "\"";
}

Answer committed_answer(Workbench& bench, const Stored<Committed>& committed) {
  if (!committed) return refuse(committed.error());
  bench.grafts().check_now();
  Answer answer = json_answer({{"revision", committed->revision}, {"rebased", committed->rebased}});
  answer.fields.emplace("ETag", etag_of(committed->revision));
  return answer;
}

// Only letters that no browser or file system takes for anything else; the full name goes beside it
// (RFC 6266, section 4.3).
std::string disposition(const std::string& name) {
  std::string plain;
  for (const char c : name) {
    const bool fits = is_digit(c) || is_letter(c) || c == '-';
    plain += fits ? c : '_';
  }
  return "attachment; filename=\"" + plain + ".json\"; filename*=UTF-8''" + percent_encoded(name) + ".json";
}

Graft demo(const std::string& title) {
  GraftReading reading = graft_from_json(find_page_file("demo.json")->bytes, "demo");
  Graft graft = reading.graft.value_or(Graft{});
  if (!title.empty()) graft.title = title;
  return graft;
}

// The document as it stands, unless who reads it has it already, and whether there is something to undo.
Answer document_answer(OpenGraft& graft, const Call& call) {
  const auto document = graft.reader.document();
  if (!document) return refuse(document.error());
  const auto steps = graft.reader.possible_steps();
  if (!steps) return refuse(steps.error());
  const std::string etag = etag_of((*document)->revision);
  Answer answer;
  if (call.method == "GET" && has_already(call, etag)) {
    answer.status = 304;
  } else {
    answer.body = text_of(*(*document)->json);
  }
  answer.fields.emplace("ETag", etag);
  // Not in a browser's own cache: once a copy was put back, another document has the same revision.
  answer.fields.emplace("Cache-Control", "no-store");
  answer.fields.emplace("X-Can-Undo", steps->undo ? "true" : "false");
  answer.fields.emplace("X-Can-Redo", steps->redo ? "true" : "false");
  return answer;
}

}  // namespace

Answer get_grafts(Workbench& bench, const Call&) {
  nlohmann::ordered_json list = nlohmann::ordered_json::array();
  for (const FolderEntry& entry : bench.grafts().list()) {
    nlohmann::ordered_json json{{"name", entry.name},
                                {"title", entry.title},
                                {"revision", entry.revision},
                                {"changed", entry.changed}};
    if (!entry.problems.empty()) json["problems"] = problems_json(entry.problems);
    if (!entry.remarks.empty()) json["remarks"] = problems_json(entry.remarks);
    list.push_back(std::move(json));
  }
  return json_answer({{"grafts", std::move(list)}});
}

Answer post_graft(Workbench& bench, const Call& call) {
  const auto body = body_of(call);
  if (!body) return body.error();
  const std::string name = text_member(*body, "name");
  const std::string title = text_member(*body, "title");
  const auto example = body->find("example");
  Graft graft;
  graft.title = title;
  const bool wants_demo = example != body->end() && example->is_boolean() && example->get<bool>();
  if (wants_demo) graft = demo(title);
  const auto made =
      bench.grafts().create(name, graft, stamp_of(call, wants_demo ? "the demo" : "a new graft"));
  if (!made) return refuse(made.error());
  Answer answer = document_answer(**made, call);
  if (answer.status != 200) return answer;
  answer.status = 201;
  answer.fields.emplace("Location", "/api/grafts/" + percent_encoded(name));
  return answer;
}

Answer get_graft(Workbench& bench, const Call& call) {
  const auto graft = graft_of(bench, call);
  if (!graft) return graft.error();
  return document_answer(**graft, call);
}

Answer patch_graft(Workbench& bench, const Call& call) {
  const auto graft = graft_of(bench, call);
  if (!graft) return graft.error();
  const auto expected = expected_revision(call);
  if (!expected) return expected.error();
  return committed_answer(bench, (*graft)->writer.commit(call.body, *expected, stamp_of(call)));
}

Answer get_export(Workbench& bench, const Call& call) {
  const auto graft = graft_of(bench, call);
  if (!graft) return graft.error();
  const auto whole = (*graft)->reader.whole();
  if (!whole) return refuse(whole.error());
  Answer answer;
  answer.body = write_graft(*whole);
  answer.fields.emplace("Content-Disposition", disposition((*graft)->name));
  return answer;
}

Answer post_import(Workbench& bench, const Call& call) {
  const auto current = document_of(bench, call);
  if (!current) return current.error();
  const auto expected = expected_revision_or(call, current->document->revision);
  if (!expected) return expected.error();
  GraftReading reading = graft_from_json(call.body, "document");
  if (!reading.graft) return refuse(reading.problems);
  const std::vector<Reading> readings = std::move(reading.graft->readings);
  reading.graft->readings.clear();
  const auto committed =
      current->graft->writer.commit(*reading.graft, *expected, stamp_of(call, "a document taken in"));
  if (!committed) return refuse(committed.error());
  Problems problems = std::move(reading.problems);
  if (!readings.empty()) {
    const auto answers = current->graft->writer.append(readings);
    if (!answers) return refuse(answers.error());
    for (const auto& answer : *answers) {
      if (!answer) problems.insert(problems.end(), answer.error().begin(), answer.error().end());
    }
  }
  for (Problem& problem : validate(*reading.graft)) problems.push_back(std::move(problem));
  bench.grafts().check_now();
  return json_answer({{"revision", committed->revision}, {"problems", problems_json(problems)}});
}

}  // namespace loomgraft::serve
