// What the handlers share: reading a Call, and the common answers.
#pragma once

#include <cstdint>
#include <functional>
#include <nlohmann/json.hpp>
#include <string>
#include <tl/expected.hpp>

#include "http/call.h"
#include "http/refusal.h"
#include "serve/workbench.h"

namespace loomgraft::serve {

template <class T>
using OrAnswer = tl::expected<T, Answer>;

// The body as a JSON object; an absent body is an empty one.
OrAnswer<nlohmann::json> body_of(const Call& call);
// A member that is text, and empty where it is not.
std::string text_member(const nlohmann::json& json, const char* name);

// The graft that the route names.
OrAnswer<OpenGraftPtr> graft_of(Workbench& bench, const Call& call);
// The same with its current document.
struct CurrentDocument {
  OpenGraftPtr graft;
  StoredDocumentPtr document;
};
OrAnswer<CurrentDocument> document_of(Workbench& bench, const Call& call);
// Under which the proof of a document is kept.
std::string proof_key(const CurrentDocument& current);

// The revision that If-Match names ("r17").
OrAnswer<std::int64_t> expected_revision(const Call& call);
// The same, or `current` where the Call does not say.
OrAnswer<std::int64_t> expected_revision_or(const Call& call, std::int64_t current);

// What a handler needs that makes a new document out of one: the body, and the document that it was meant for.
struct DocumentChange {
  OpenGraftPtr graft;
  nlohmann::json body;
  std::int64_t expected = 0;
  StoredDocumentPtr base;
};
OrAnswer<DocumentChange> document_change(Workbench& bench, const Call& call);

Stamp stamp_of(const Call& call, std::string reason = {});

// 304 where the other side has what `etag` names.
bool has_already(const Call& call, const std::string& etag);

// What a request gets if its result takes long: a job to follow (reports), or it waits (drawings).
enum class IfSlow { job, wait };

// What is asked for, and what else than the document its answer depends on ("12 readings"): an older state is as good as
// replaced by a newer one.
struct Asked {
  Asked(const char* text) : what(text) {}  // NOLINT(google-explicit-constructor): most have no state
  Asked(std::string text, std::string depends_on = {})
      : what(std::move(text)), state(std::move(depends_on)) {}
  std::string what;
  std::string state;
};

// A report or drawing of the document: kept from before, computed now, or a job. What is asked and the Call's query make the
// key together with the graft and its revision.
Answer report_answer(Workbench& bench, const Call& call, const CurrentDocument& current, const Asked& asked,
                     JobQueue::Compute compute, IfSlow slow = IfSlow::job);

// The id of a module: the one named, else the first of that role; empty where there is none.
std::string module_named(const Graft& graft, const std::string& named, ModuleRole role);
JobResult result_of(const nlohmann::ordered_json& json);
JobResult result_of(const Problems& refused);

}  // namespace loomgraft::serve
