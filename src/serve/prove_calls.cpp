// The test plan of the current document, what the readings say of it, and readings to practise on.
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

std::string proof_key(const Shown& shown) {
  return std::to_string(shown.graft->device) + "/" + std::to_string(shown.graft->inode) + "/" +
         std::to_string(shown.document->revision);
}

// What was confirmed in every graft of the folder that can be read. Asked for with every reading: of the others only the
// ticks are read, never the documents.
FaultCounts learnt_in(Workbench& bench) {
  std::vector<std::vector<std::string>> confirmed;
  for (const std::string& name : bench.grafts().names()) {
    const auto graft = bench.grafts().open(name);
    const auto ticks = graft ? (*graft)->reader.ticks() : tl::unexpected(graft.error());
    if (!ticks) continue;
    std::vector<std::string>& subjects = confirmed.emplace_back();
    for (const Tick& tick : *ticks) {
      if (tick.done) subjects.push_back(tick.subject);
    }
  }
  return count_faults(confirmed);
}

std::string key_of(const FaultCounts& counts) {
  std::string key = std::to_string(counts.grafts);
  for (const auto& [kind, count] : counts.found) key += "," + kind + std::to_string(count);
  return key;
}

Problem no_such_fault(const std::string& fault) {
  return {Severity::error,
          "no-such-fault",
          {},
          "The plan knows no fault \"" + fault + "\".",
          "Choose one of the plan's faults."};
}

}  // namespace

Answer get_prove(Workbench& bench, const Call& call) {
  const auto shown = document_of(bench, call);
  if (!shown) return shown.error();
  return report_answer(
      bench, call, *shown, "prove",
      [&bench, key = proof_key(*shown), document = shown->document](const JobControl& control) {
        const auto proof = bench.proofs().of(key, document->graft, control.stop);
        return proof ? finished(to_json(proof->report)) : finished(Problems{was_stopped()});
      });
}

Answer get_find(Workbench& bench, const Call& call) {
  const auto shown = document_of(bench, call);
  if (!shown) return shown.error();
  auto readings = shown->graft->reader.readings();
  if (!readings) return refuse(readings.error());
  FindOptions options;
  if (query_value(call, "learn") != "off") options.learnt = learnt_in(bench);
  const std::string what = "find/" + std::to_string(readings->size()) + "/" +
                           (options.learnt ? key_of(*options.learnt) : std::string("off"));
  return report_answer(bench, call, *shown, what,
                       [&bench, key = proof_key(*shown), document = shown->document,
                        readings = std::move(*readings), options](const JobControl& control) mutable {
                         const auto proof = bench.proofs().of(key, document->graft, control.stop);
                         if (!proof) return finished(Problems{was_stopped()});
                         options.stop = control.stop;
                         const FindReport report = find_fault(*proof, readings, options);
                         if (is_stopped(report.problems)) return finished(report.problems);
                         return finished(to_json(report, *proof));
                       });
}

Answer get_practice(Workbench& bench, const Call& call) {
  const auto shown = document_of(bench, call);
  if (!shown) return shown.error();
  return report_answer(bench, call, *shown, "practice",
                       [&bench, key = proof_key(*shown), document = shown->document,
                        fault = query_value(call, "fault")](const JobControl& control) {
                         const auto proof = bench.proofs().of(key, document->graft, control.stop);
                         if (!proof) return finished(Problems{was_stopped()});
                         const auto readings = practice_readings(*proof, fault);
                         if (readings.empty()) return finished(Problems{no_such_fault(fault)});
                         return finished(practice_json(fault, readings));
                       });
}

Answer get_matrix(Workbench& bench, const Call& call) {
  const auto shown = document_of(bench, call);
  if (!shown) return shown.error();
  auto readings = shown->graft->reader.readings();
  if (!readings) return refuse(readings.error());
  MatrixOptions options;
  options.readings = std::move(*readings);
  const std::string what = "matrix/" + std::to_string(options.readings.size());
  return report_answer(
      bench, call, *shown, what,
      [&bench, key = proof_key(*shown), document = shown->document, options](const JobControl& control) {
        const auto proof = bench.proofs().of(key, document->graft, control.stop);
        if (!proof) return finished(Problems{was_stopped()});
        return Finished{200, "image/svg+xml", draw_matrix(proof->report, options)};
      });
}

}  // namespace loomgraft::serve
