#include "serve/answers.h"

#include <charconv>

#include "http/clock.h"

namespace loomgraft::serve {

OrAnswer<nlohmann::json> body_of(const Call& call) {
  if (call.body.empty()) return nlohmann::json::object();
  nlohmann::json json = nlohmann::json::parse(call.body, nullptr, false);
  if (json.is_object()) return json;
  return tl::unexpected(
      refuse(400, "no-json", "The body is no JSON object.", "See docs/api.md for its form."));
}

std::string text_member(const nlohmann::json& json, const char* name) {
  const auto found = json.find(name);
  return found != json.end() && found->is_string() ? found->get<std::string>() : std::string();
}

OrAnswer<OpenGraftPtr> graft_of(Workbench& bench, const Call& call) {
  auto graft = bench.grafts().open(call.names.front());
  if (!graft) return tl::unexpected(refuse(graft.error()));
  return *graft;
}

OrAnswer<Shown> document_of(Workbench& bench, const Call& call) {
  auto graft = graft_of(bench, call);
  if (!graft) return tl::unexpected(graft.error());
  auto document = (*graft)->reader.document();
  if (!document) return tl::unexpected(refuse(document.error()));
  return Shown{*graft, *document};
}

OrAnswer<std::int64_t> expected_revision(const Call& call) {
  std::string_view text = field(call, "If-Match");
  std::int64_t revision = 0;
  if (text.starts_with("\"r") && text.ends_with('"')) {
    text = text.substr(2, text.size() - 3);
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), revision);
    if (error == std::errc() && end == text.data() + text.size() && revision > 0) return revision;
  }
  return tl::unexpected(refuse(400, "no-revision",
                               "The request does not say which revision of the document it changes.",
                               "Send If-Match with the ETag of the document, such as \"r17\"."));
}

OrAnswer<std::int64_t> expected_revision_or(const Call& call, std::int64_t current) {
  if (field(call, "If-Match").empty()) return current;
  return expected_revision(call);
}

Stamp stamp_of(const Call& call, std::string reason) {
  return {call.author, time_now(), std::move(reason)};
}

bool has_already(const Call& call, const std::string& etag) {
  const std::string_view wanted = field(call, "If-None-Match");
  return !wanted.empty() && wanted.find(etag) != std::string_view::npos;
}

namespace {

// FNV-1a, 64 bits: a short name for a key, no secret.
std::string short_name(std::string_view text) {
  std::uint64_t hash = 0xcbf29ce484222325U;
  for (const char c : text) hash = (hash ^ static_cast<unsigned char>(c)) * 0x100000001b3U;
  char digits[17] = {};
  const auto end = std::to_chars(digits, digits + 16, hash, 16).ptr;
  return {digits, end};
}

}  // namespace

Answer report_answer(Workbench& bench, const Call& call, const Shown& shown, const std::string& what,
                     ReportDesk::Compute compute, Patience patience) {
  // The file is named by its number in the system, for a name may come to mean another file.
  std::string line =
      std::to_string(shown.graft->device) + "/" + std::to_string(shown.graft->inode) + "/" + what;
  for (const auto& [name, value] : call.query) {
    line.append(1, '\0').append(name);
    line.append(1, '\0').append(value);
  }
  const std::string key = "r" + std::to_string(shown.document->revision) + "/" + line;
  const std::string etag =
      "\"r" + std::to_string(shown.document->revision) + "-" + short_name(key + bench.run()) + "\"";
  Answer answer;
  answer.fields.emplace("ETag", etag);
  answer.fields.emplace("Cache-Control", "private, no-cache");
  if (has_already(call, etag)) {
    answer.status = 304;
    return answer;
  }
  FinishedPtr made;
  if (patience == Patience::wait) {
    made = bench.desk().here(key, compute);
  } else {
    const ReportDesk::Asked asked = bench.desk().ask(key, line, shown.graft->name, std::move(compute));
    if (asked.busy)
      return refuse(503, "busy", "Too much is being computed already.", "Try again in a moment.");
    if (asked.cancelled) return refuse(409, "cancelled", "The computation was stopped.", "Ask for it again.");
    if (!asked.finished) return json_answer({{"job", asked.job}}, 202);
    made = asked.finished;
  }
  answer.status = made->status;
  answer.type = made->type;
  answer.body = made->body;
  if (answer.status != 200) answer.fields.erase("ETag");
  return answer;
}

std::string module_named(const Graft& graft, const std::string& named, ModuleRole role) {
  if (!named.empty()) return find_module(graft, named) ? named : std::string();
  for (const Module& module : graft.modules) {
    if (module.role == role) return module.id;
  }
  return {};
}

Finished finished(const nlohmann::ordered_json& json) {
  return {200, "application/json", text_of(json)};
}

Finished finished(const Problems& refused) {
  const Answer answer = refuse(refused);
  return {answer.status, answer.type, answer.body};
}

}  // namespace loomgraft::serve
