// Stage reports of the current document, and the jobs behind those that take long.
#include "base/problem_json.h"
#include "base/stop.h"
#include "compare/compare.h"
#include "compare/json.h"
#include "design/json.h"
#include "design/what_if.h"
#include "donor/json.h"
#include "donor/rank.h"
#include "loom/check_json.h"
#include "loom/validate.h"
#include "network/condition_text.h"
#include "network/json.h"
#include "serve/answers.h"
#include "serve/handlers.h"

namespace loomgraft::serve {
namespace {

constexpr std::size_t max_donors = 100;

Problem no_module(const std::string& named, const char* role) {
  return {Severity::error,
          "no-such-module",
          {},
          named.empty() ? std::string("The graft has no ") + role + " module yet."
                        : "The graft has no module \"" + named + "\".",
          "Take in its pin table, or name another module."};
}

JobResult compared(const Graft& graft, const std::string& found_named, const std::string& donor_named) {
  const std::string found = module_named(graft, found_named, ModuleRole::found);
  const std::string donor = module_named(graft, donor_named, ModuleRole::donor);
  if (found.empty()) return result_of(Problems{no_module(found_named, "found")});
  if (donor.empty()) return result_of(Problems{no_module(donor_named, "donor")});
  return result_of(to_json(compare_modules(graft, found, donor)));
}

JobResult ranked(const Graft& graft, const std::string& found_named, const std::stop_token& stop) {
  const std::string found = module_named(graft, found_named, ModuleRole::found);
  if (found.empty()) return result_of(Problems{no_module(found_named, "found")});
  const Module& vehicle = *find_module(graft, found);
  KeyTable keys;
  DonorLibrary library(keys);
  for (const Module& module : graft.modules) {
    if (module.id == found || module.role == ModuleRole::found) continue;
    library.add_with_pins(module, graft.connectors, answers_between(graft, vehicle, module));
  }
  RankOptions options;
  options.best = max_donors;
  options.stop = stop;
  RankReport report;
  if (library.size() > 0) report = rank(vehicle, graft, keys, library, options);
  if (report.stopped) return result_of(Problems{was_stopped()});
  return result_of(to_json(report, {}));
}

// The design, and where `other` is there what it changes.
JobResult designed(const Graft& graft, const Graft* other, const std::string& what,
                   const JobControl& control) {
  DesignOptions options;
  options.stop = control.stop;
  options.outcomes = other == nullptr;
  const DesignReport before = design_circuits(graft, options);
  if (is_stopped(before.problems)) return result_of(before.problems);
  if (!other) return result_of(to_json(before));
  control.step(0.5, "the design with the change");
  const DesignReport after = design_circuits(*other, options);
  if (is_stopped(after.problems)) return result_of(after.problems);
  return result_of(to_json(what_if(before, after, what)));
}

JobResult designed(const Graft& graft, const std::string& what, const JobControl& control) {
  if (what.empty()) return designed(graft, nullptr, what, control);
  const auto other = changed(graft, what);
  if (!other) return result_of(Problems{other.error()});
  return designed(graft, &*other, what, control);
}

struct SolveQuestion {
  std::string condition;
  std::string corner;
  bool as_found = false;
};

JobResult solved(const Graft& graft, const SolveQuestion& question) {
  const auto condition = condition_of(graft, question.condition);
  if (!condition) return result_of(Problems{condition.error()});
  const auto corner = corner_of(question.corner);
  if (!corner)
    return result_of(Problems{{Severity::error,
                               "bad-corner",
                               {},
                               "There is no such corner.",
                               "Ask for nominal, weakest or strongest."}});
  NetworkOptions options;
  options.corner = *corner;
  options.loom_state = question.as_found ? LoomState::as_found : LoomState::as_planned;
  LoomNetwork network = network_of(graft, *condition, options);
  const auto solution = solve(network);
  if (!solution) return result_of(Problems{solution.error()});
  nlohmann::ordered_json json{{"condition", condition->name},
                              {"loom_state", name_of(options.loom_state)},
                              {"corner", name_of(options.corner)}};
  json.update(network_json(network, *solution));
  Problems problems = network.problems;
  problems.insert(problems.end(), solution->problems.begin(), solution->problems.end());
  json["problems"] = problems_json(problems);
  return result_of(json);
}

std::string value_or(const std::string& text, const char* fallback) {
  return text.empty() ? std::string(fallback) : text;
}

nlohmann::ordered_json job_json(const JobView& job) {
  return {{"state", name_of(job.state)}, {"progress", job.progress}, {"text", job.text}};
}

Answer no_such_job() {
  return refuse(404, "no-such-job", "There is no such job, or it ended long ago.",
                "Ask for the report again.");
}

}  // namespace

Answer get_check(Workbench& bench, const Call& call) {
  const auto current = document_of(bench, call);
  if (!current) return current.error();
  const StoredDocumentPtr document = current->document;
  return report_answer(bench, call, *current, "check", [document](const JobControl&) {
    return result_of(check_json(&document->graft, validate(document->graft)));
  });
}

Answer get_compare(Workbench& bench, const Call& call) {
  const auto current = document_of(bench, call);
  if (!current) return current.error();
  return report_answer(
      bench, call, *current, "compare",
      [document = current->document, found = query_value(call, "found"), donor = query_value(call, "donor")](
          const JobControl&) { return compared(document->graft, found, donor); });
}

Answer get_rank(Workbench& bench, const Call& call) {
  const auto current = document_of(bench, call);
  if (!current) return current.error();
  return report_answer(
      bench, call, *current, "rank",
      [document = current->document, found = query_value(call, "found")](const JobControl& control) {
        return ranked(document->graft, found, control.stop);
      });
}

Answer get_design(Workbench& bench, const Call& call) {
  const auto current = document_of(bench, call);
  if (!current) return current.error();
  return report_answer(bench, call, *current, "design",
                       [document = current->document, what = query_value(call, "what")](
                           const JobControl& control) { return designed(document->graft, what, control); });
}

Answer get_solve(Workbench& bench, const Call& call) {
  const auto current = document_of(bench, call);
  if (!current) return current.error();
  SolveQuestion question{value_or(query_value(call, "condition"), "on"),
                         value_or(query_value(call, "corner"), "nominal"),
                         query_value(call, "stage") == "found"};
  return report_answer(bench, call, *current, "solve",
                       [document = current->document, question](const JobControl&) {
                         return solved(document->graft, question);
                       });
}

Answer get_job(Workbench& bench, const Call& call) {
  const auto job = bench.jobs().job(call.names.front());
  return job ? json_answer(job_json(*job)) : no_such_job();
}

Answer delete_job(Workbench& bench, const Call& call) {
  if (!bench.jobs().cancel(call.names.front())) return no_such_job();
  return get_job(bench, call);
}

}  // namespace loomgraft::serve
