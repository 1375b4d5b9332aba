#include "serve/answers.h"

#include <charconv>

#include "base/json_depth.h"
#include "http/clock.h"

namespace loomgraft::serve {
namespace {

constexpr const char* job_parameter = "job";

}  // namespace

OrAnswer<nlohmann::json> body_of(const Call& call) {
  if (call.body.empty()) return nlohmann::json::object();
  if (nested_too_deep(call.body))
    return tl::unexpected(refuse(400, "nested-too-deep", "The body is nested too deep.", "Send it flatter."));
  nlohmann::json json = nlohmann::json::parse(call.body, nullptr, false);
  if (json.is_object()) return json;
  return tl::unexpected(
      refuse(400, "no-json", "The body is not a JSON object.", "See docs/api.md for its form."));
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

OrAnswer<CurrentDocument> document_of(Workbench& bench, const Call& call) {
  auto graft = graft_of(bench, call);
  if (!graft) return tl::unexpected(graft.error());
  auto document = (*graft)->reader.document();
  if (!document) return tl::unexpected(refuse(document.error()));
  return CurrentDocument{*graft, *document};
}

std::string proof_key(const CurrentDocument& current) {
  return std::to_string(current.graft->device) + "/" + std::to_string(current.graft->inode) + "/" +
         std::to_string(current.document->revision);
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

OrAnswer<DocumentChange> document_change(Workbench& bench, const Call& call) {
  const auto current = document_of(bench, call);
  if (!current) return tl::unexpected(current.error());
  auto body = body_of(call);
  if (!body) return tl::unexpected(body.error());
  const auto expected = expected_revision_or(call, current->document->revision);
  if (!expected) return tl::unexpected(expected.error());
  const auto base = current->graft->reader.document_at(*expected);
  if (!base) return tl::unexpected(refuse(base.error()));
  return DocumentChange{current->graft, std::move(*body), *expected, *base};
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

Answer report_answer(Workbench& bench, const Call& call, const CurrentDocument& current, const Asked& asked,
                     JobQueue::Compute compute, IfSlow slow) {
  // The file is named by its number in the system, for a name may come to mean another file.
  std::string series =
      std::to_string(current.graft->device) + "/" + std::to_string(current.graft->inode) + "/" + asked.what;
  for (const auto& [name, value] : call.query) {
    if (name == job_parameter) continue;
    series.append(1, '\0').append(name);
    series.append(1, '\0').append(value);
  }
  std::string key = "r" + std::to_string(current.document->revision) + "/" + asked.state + "/" + series;
  JobResultPtr result;
  // With edits in quick succession the current revision never has a report yet: who waited for a job gets its result.
  if (auto waited = bench.jobs().result_of(query_value(call, job_parameter), series)) {
    key = std::move(waited->key);
    result = std::move(waited->result);
  }
  const std::string etag = "\"" + key.substr(0, key.find('/')) + "-" + short_name(key + bench.run()) + "\"";
  Answer answer;
  answer.fields.emplace("ETag", etag);
  answer.fields.emplace("Cache-Control", "private, no-cache");
  if (has_already(call, etag)) {
    answer.status = 304;
    return answer;
  }
  if (!result && slow == IfSlow::wait) {
    result = bench.jobs().compute_now(key, compute);
  } else if (!result) {
    const JobQueue::Outcome outcome =
        bench.jobs().request(key, series, current.graft->name, std::move(compute));
    if (outcome.busy)
      return refuse(503, "busy", "Too much is being computed already.", "Try again in a moment.");
    if (outcome.cancelled)
      return refuse(409, "cancelled", "The computation was stopped.", "Request it again.");
    if (!outcome.result) return json_answer({{"job", outcome.job}}, 202);
    result = outcome.result;
  }
  answer.status = result->status;
  answer.type = result->type;
  answer.body = result->body;
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

JobResult result_of(const nlohmann::ordered_json& json) {
  return {200, "application/json", text_of(json)};
}

JobResult result_of(const Problems& refused) {
  const Answer answer = refuse(refused);
  return {answer.status, answer.type, answer.body};
}

}  // namespace loomgraft::serve
