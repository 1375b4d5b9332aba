// Pin tables in: what is understood of one, and taking it into a graft.
#include <fmt/format.h>

#include <algorithm>

#include "gather/choose_tables.h"
#include "gather/overlay.h"
#include "gather/read_json.h"
#include "loom/validate.h"
#include "serve/answers.h"
#include "http/base64.h"
#include "serve/handlers.h"
#include "base/problem_json.h"

namespace loomgraft::serve {
namespace {

constexpr std::size_t rows_shown = 30;

struct Intake {
  std::string name;
  std::string bytes;
  ReadOptions options;
};

OrAnswer<Intake> intake_of(const nlohmann::json& body) {
  Intake intake;
  intake.name = text_member(body, "name");
  if (intake.name.empty()) intake.name = "pasted table";
  intake.bytes = text_member(body, "text");
  if (const auto packed = body.find("base64"); packed != body.end() && packed->is_string()) {
    auto bytes = from_base64(packed->get_ref<const std::string&>());
    if (!bytes)
      return tl::unexpected(
          refuse(400, "bad-base64", "The file's bytes came damaged.", "Send the file again."));
    intake.bytes = std::move(*bytes);
  }
  const auto columns = body.find("columns");
  if (columns != body.end() && columns->is_object()) {
    for (const auto& [head, role] : columns->items()) {
      if (role.is_string()) intake.options.column_choice.emplace_back(head, role.get<std::string>());
    }
  }
  intake.options.rows_shown = rows_shown;
  return intake;
}

nlohmann::json seen_json(const SeenTable& seen) {
  nlohmann::json columns = nlohmann::json::array();
  for (const SeenColumn& column : seen.columns)
    columns.push_back({{"head", column.name}, {"role", column.role}, {"doubt", column.doubt}});
  return {{"name", seen.name},
          {"line", seen.line},
          {"reason", seen.reason},
          {"columns", std::move(columns)},
          {"rows_preview", seen.rows}};
}

// The report with, for each table, what was made of its columns; tables that were left stand apart.
nlohmann::json understood(const ReadReport& report) {
  nlohmann::json json = to_json(report);
  nlohmann::json left = nlohmann::json::array();
  for (const SeenTable& seen : report.seen) {
    if (seen.tables.empty()) left.push_back(seen_json(seen));
    for (const std::size_t table : seen.tables) {
      nlohmann::json& into = json["tables"][table];
      if (into.contains("columns")) continue;  // a table in several pieces shows its first
      const nlohmann::json shown = seen_json(seen);
      into["columns"] = shown["columns"];
      into["rows_preview"] = shown["rows_preview"];
      into["line"] = shown["line"];
      into["reason"] = shown["reason"];
    }
  }
  json["skipped"] = std::move(left);
  return json;
}

ModuleRole role_of(const std::string& word) {
  if (word == "found") return ModuleRole::found;
  return word == "donor" ? ModuleRole::donor : ModuleRole::other;
}

std::string free_module_id(const Graft& graft, const std::string& wanted) {
  std::string id = wanted;
  for (int count = 2; find_module(graft, id); ++count) id = fmt::format("{}{}", wanted, count);
  return id;
}

std::string free_source_id(const Graft& graft, const std::string& module) {
  for (int count = 1;; ++count) {
    std::string id = fmt::format("{}.source{}", module, count);
    const bool taken = std::any_of(graft.sources.begin(), graft.sources.end(),
                                   [&](const Source& source) { return source.id == id; });
    if (!taken) return id;
  }
}

struct TakenIn {
  Graft graft;
  std::string module;
  Problems problems;
};

// A module that is there gets a further source; another one is made of the table.
TakenIn take_in(Graft graft, const std::string& wanted, ModuleRole role, SourceTables source) {
  TakenIn taken;
  if (find_module(graft, wanted)) {
    taken.module = wanted;
    source.source.id = free_source_id(graft, wanted);
    LaidOver laid = lay_over(std::move(graft), wanted, source);
    taken.graft = std::move(laid.graft);
    taken.problems = std::move(laid.problems);
    return taken;
  }
  const char* usual = role == ModuleRole::found ? "found" : role == ModuleRole::donor ? "donor" : "module";
  taken.module = wanted.empty() ? free_module_id(graft, usual) : wanted;
  source.source.id = free_source_id(graft, taken.module);
  GatheredModule gathered = gather_module(taken.module, role, {source});
  graft.sources.push_back(source.source);
  for (Connector& connector : gathered.connectors) graft.connectors.push_back(std::move(connector));
  graft.modules.push_back(std::move(gathered.module));
  taken.graft = std::move(graft);
  taken.problems = std::move(gathered.problems);
  return taken;
}

// Problems of the document that are new.
void add_new_problems(const Graft& before, const Graft& after, Problems& problems) {
  const Problems known = validate(before);
  for (Problem& problem : validate(after)) {
    if (std::find(known.begin(), known.end(), problem) == known.end()) problems.push_back(std::move(problem));
  }
}

std::string wanted_table(const nlohmann::json& body, const ReadReport& report) {
  const auto position = body.find("table");
  if (position == body.end() || !position->is_number_unsigned()) return {};
  const auto index = position->get<std::size_t>();
  return index < report.tables.size() ? report.tables[index].name : std::string();
}

}  // namespace

Answer post_tables(Workbench&, const Call& call) {
  const auto body = body_of(call);
  if (!body) return body.error();
  const auto intake = intake_of(*body);
  if (!intake) return intake.error();
  Answer answer;
  answer.body = text_of(understood(read_tables(intake->bytes, intake->name, intake->options)));
  return answer;
}

Answer post_graft_table(Workbench& bench, const Call& call) {
  const auto shown = document_of(bench, call);
  if (!shown) return shown.error();
  const auto body = body_of(call);
  if (!body) return body.error();
  const auto intake = intake_of(*body);
  if (!intake) return intake.error();
  const auto expected = expected_revision_or(call, shown->document->revision);
  if (!expected) return expected.error();
  const auto base = shown->graft->reader.document_at(*expected);
  if (!base) return refuse(base.error());
  ReadReport report = read_tables(intake->bytes, intake->name, intake->options);
  ChosenTables chosen = choose_tables(report.tables, wanted_table(*body, report), intake->name);
  Problems problems = std::move(report.problems);
  problems.insert(problems.end(), chosen.problems.begin(), chosen.problems.end());
  if (chosen.tables.empty()) return refuse(problems);
  SourceTables source;
  source.source.title = intake->name;
  source.tables = std::move(chosen.tables);
  TakenIn taken = take_in((*base)->graft, text_member(*body, "module"), role_of(text_member(*body, "role")),
                          std::move(source));
  problems.insert(problems.end(), taken.problems.begin(), taken.problems.end());
  add_new_problems((*base)->graft, taken.graft, problems);
  const auto committed = shown->graft->writer.commit(
      taken.graft, *expected, stamp_of(call, fmt::format("table \"{}\" taken in", intake->name)));
  if (!committed) return refuse(committed.error());
  bench.grafts().look_now();
  return json_answer(
      {{"revision", committed->revision}, {"module", taken.module}, {"problems", problems_json(problems)}});
}

}  // namespace loomgraft::serve
