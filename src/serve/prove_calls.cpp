// The test plan of the current document, what the readings say, and readings to practise on.
#include <algorithm>
#include <charconv>

#include "draw/matrix.h"
#include "find/find.h"
#include "find/json.h"
#include "find/learn.h"
#include "find/practice.h"
#include "find/symptoms.h"
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

// What the practice meter showed, from the page: "12:0.3,15:1000000000,18:unreached", by positions of tests. It is used for
// one report and kept nowhere.
std::vector<Reading> practice_in(std::string_view text, const Proof& proof) {
  std::vector<Reading> readings;
  while (!text.empty()) {
    const std::string_view one = text.substr(0, text.find(','));
    text.remove_prefix(std::min(text.size(), one.size() + 1));
    const std::size_t colon = one.find(':');
    if (colon == std::string_view::npos) continue;
    std::size_t test = 0;
    Reading reading;
    const std::string_view value = one.substr(colon + 1);
    const auto position = std::from_chars(one.data(), one.data() + colon, test);
    const auto number = std::from_chars(value.data(), value.data() + value.size(), reading.value);
    const bool reached = value != unreached_unit;
    if (position.ec != std::errc() || test >= proof.report.tests.size()) continue;
    if (reached && number.ec != std::errc()) continue;
    reading.id = "practice " + std::to_string(readings.size());
    reading.test = proof.report.tests[test].id;
    reading.unit = reached ? proof.report.tests[test].unit : unreached_unit;
    readings.push_back(std::move(reading));
  }
  return readings;
}

// The symptoms named in a request, separated by commas; those that the loom does not have are left out.
std::vector<Evidence> evidence_in(std::string_view text, const Graft& graft, const Proof& proof,
                                  const StopToken& stop) {
  std::vector<Evidence> evidence;
  if (text.empty()) return evidence;
  const std::vector<Symptom> symptoms = symptoms_of(graft, proof.report.faults, stop);
  while (!text.empty()) {
    const std::string_view one = text.substr(0, text.find(','));
    text.remove_prefix(std::min(text.size(), one.size() + 1));
    const auto found = std::ranges::find(symptoms, one, &Symptom::id);
    if (found != symptoms.end()) evidence.push_back(evidence_of(*found, proof.report.faults.size()));
  }
  return evidence;
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
  const std::string practice = query_value(call, "practice");
  const std::string symptoms = query_value(call, "symptom");
  FindOptions options;
  if (query_value(call, "learn") != "off") options.learnt = confirmed_faults(bench);
  const std::string state = std::to_string(readings->size()) + "/" +
                            (options.learnt ? key_of(*options.learnt) : std::string("off"));
  return report_answer(
      bench, call, *current, {"find", state},
      [&bench, key = proof_key(*current), document = current->document, readings = std::move(*readings),
       practice, symptoms, options](const JobControl& control) mutable {
        const auto proof = bench.proofs().get(key, document->graft, control.stop);
        if (!proof) return result_of(Problems{was_stopped()});
        options.stop = control.stop;
        if (!practice.empty()) readings = practice_in(practice, *proof);
        options.evidence = evidence_in(symptoms, document->graft, *proof, control.stop);
        const FindReport report = find_fault(*proof, readings, options);
        if (is_stopped(report.problems)) return result_of(report.problems);
        return result_of(to_json(report, *proof));
      });
}

Answer get_symptoms(Workbench& bench, const Call& call) {
  const auto current = document_of(bench, call);
  if (!current) return current.error();
  return report_answer(
      bench, call, *current, "symptoms",
      [&bench, key = proof_key(*current), document = current->document](const JobControl& control) {
        const auto proof = bench.proofs().get(key, document->graft, control.stop);
        if (!proof) return result_of(Problems{was_stopped()});
        const auto symptoms = symptoms_of(document->graft, proof->report.faults, control.stop);
        if (control.stop.stop_requested()) return result_of(Problems{was_stopped()});
        return result_of(symptoms_json(symptoms, *proof));
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
  options.readings = std::move(*readings);
  const std::string state = std::to_string(options.readings.size());
  return report_answer(
      bench, call, *current, {"matrix", state},
      [&bench, key = proof_key(*current), document = current->document, options](const JobControl& control) {
        const auto proof = bench.proofs().get(key, document->graft, control.stop);
        if (!proof) return result_of(Problems{was_stopped()});
        return JobResult{200, "image/svg+xml", draw_matrix(proof->report, options)};
      });
}

}  // namespace loomgraft::serve
