// The test plan of the current document, what the readings say, and readings to practise on.
#include "draw/matrix.h"
#include "find/find.h"
#include "find/json.h"
#include "find/learn.h"
#include "find/practice.h"
#include "prove/json.h"
#include "serve/answers.h"
#include "serve/handlers.h"

namespace loomgraft::serve {
namespace {

// How often each kind of fault was confirmed in the readable grafts of the folder. This is done for every find report,
// so only the ticks are read, not the documents.
FaultCounts confirmed_faults(Workbench& bench) {
  std::vector<std::vector<ConfirmedFault>> confirmed;
  for (const std::string& name : bench.grafts().names()) {
    const auto graft = bench.grafts().open(name);
    const auto ticks = graft ? (*graft)->reader.ticks() : tl::unexpected(graft.error());
    if (!ticks) continue;
    std::vector<ConfirmedFault>& faults = confirmed.emplace_back();
    for (const Tick& tick : *ticks) {
      const auto fault = tick.done ? confirmed_fault_in(tick.subject) : std::nullopt;
      if (fault) faults.push_back(*fault);
    }
  }
  return count_faults(confirmed);
}

std::string key_of(const FaultCounts& counts) {
  std::string key = std::to_string(counts.grafts);
  for (const auto& [kind, count] : counts.found)
    key += std::string(",") + name_of(kind) + std::to_string(count);
  return key;
}

Problem no_such_fault(const std::string& fault) {
  return {Severity::error,
          "no-such-fault",
          {},
          "The plan has no fault \"" + fault + "\".",
          "Choose one of the plan's faults."};
}

// Practice readings are not measured: a report uses either them or the measured ones.
bool wants_practice(const Call& call) {
  return query_value(call, "practice") == "1";
}

}  // namespace

Answer get_prove(Workbench& bench, const Call& call) {
  const auto current = document_of(bench, call);
  if (!current) return current.error();
  return report_answer(
      bench, call, *current, "prove",
      [&bench, key = proof_key(*current), document = current->document](const JobControl& control) {
        const auto proof = bench.proofs().get(key, document->graft, control.stop);
        return proof ? result_of(to_json(proof->report)) : result_of(Problems{was_stopped()});
      });
}

Answer get_find(Workbench& bench, const Call& call) {
  const auto current = document_of(bench, call);
  if (!current) return current.error();
  auto readings = current->graft->reader.readings();
  if (!readings) return refuse(readings.error());
  *readings = readings_of(*readings, wants_practice(call));
  FindOptions options;
  if (query_value(call, "learn") != "off") options.learnt = confirmed_faults(bench);
  const std::string what = "find/" + std::to_string(readings->size()) + "/" +
                           (options.learnt ? key_of(*options.learnt) : std::string("off"));
  return report_answer(bench, call, *current, what,
                       [&bench, key = proof_key(*current), document = current->document,
                        readings = std::move(*readings), options](const JobControl& control) mutable {
                         const auto proof = bench.proofs().get(key, document->graft, control.stop);
                         if (!proof) return result_of(Problems{was_stopped()});
                         options.stop = control.stop;
                         const FindReport report = find_fault(*proof, readings, options);
                         if (is_stopped(report.problems)) return result_of(report.problems);
                         return result_of(to_json(report, *proof));
                       });
}

Answer get_practice(Workbench& bench, const Call& call) {
  const auto current = document_of(bench, call);
  if (!current) return current.error();
  return report_answer(bench, call, *current, "practice",
                       [&bench, key = proof_key(*current), document = current->document,
                        fault = query_value(call, "fault")](const JobControl& control) {
                         const auto proof = bench.proofs().get(key, document->graft, control.stop);
                         if (!proof) return result_of(Problems{was_stopped()});
                         const auto readings = practice_readings(*proof, fault);
                         if (readings.empty()) return result_of(Problems{no_such_fault(fault)});
                         return result_of(practice_json(fault, readings));
                       });
}

Answer get_matrix(Workbench& bench, const Call& call) {
  const auto current = document_of(bench, call);
  if (!current) return current.error();
  auto readings = current->graft->reader.readings();
  if (!readings) return refuse(readings.error());
  MatrixOptions options;
  options.readings = readings_of(*readings, wants_practice(call));
  const std::string what = "matrix/" + std::to_string(options.readings.size());
  return report_answer(
      bench, call, *current, what,
      [&bench, key = proof_key(*current), document = current->document, options](const JobControl& control) {
        const auto proof = bench.proofs().get(key, document->graft, control.stop);
        if (!proof) return result_of(Problems{was_stopped()});
        return JobResult{200, "image/svg+xml", draw_matrix(proof->report, options)};
      });
}

}  // namespace loomgraft::serve
