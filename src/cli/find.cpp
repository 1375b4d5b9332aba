#include "find/find.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <filesystem>
#include <memory>
#include <nlohmann/json.hpp>

#include "cli/command.h"
#include "cli/graft_file.h"
#include "cli/paper.h"
#include "find/entered_reading.h"
#include "find/json.h"
#include "find/learn.h"
#include "find/practice.h"
#include "find/symptoms.h"
#include "prove/reading_text.h"
#include "serve/proof_folder.h"
#include "store/graft_folder.h"
#include "units/print.h"

namespace loomgraft::cli {
namespace {

struct FindCall {
  std::string graft;
  std::vector<std::string> readings;
  std::string as_if;
  std::string learn;
  std::string meter;
  std::vector<std::string> symptoms;
  bool whole = false;
  bool list_symptoms = false;
  bool no_cache = false;
  Output output;
};

// A test by its id, or by its step in the plan.
const ProveTest* test_named(const std::string& name, const ProveReport& report) {
  const auto test = std::ranges::find(report.tests, name, &ProveTest::id);
  if (test != report.tests.end()) return &*test;
  std::size_t step = 0;
  const auto [end, error] = std::from_chars(name.data(), name.data() + name.size(), step);
  const bool is_step = error == std::errc() && end == name.data() + name.size();
  return is_step && step >= 1 && step <= report.plan.size() ? &report.tests[report.plan[step - 1]] : nullptr;
}

std::string why_not(ReadingError error, const std::string& unit) {
  const std::string sign(unit_sign(unit));
  switch (error) {
    case ReadingError::unreadable:
      return "has no value that can be read in " + sign + " without doubt.";
    case ReadingError::wrong_unit:
      return "has another unit than the test, which is in " + sign + ".";
    case ReadingError::impossible:
      return "is not possible: no meter shows so much or so little in " + sign + ".";
  }
  return {};
}

// "dead-open:ohm:C1.3:Y20.1=12.4", "7=over", "9=85mA". `number`: its position on the command line.
std::optional<Reading> reading_of(const std::string& text, std::size_t number, const FindCall& call,
                                  const Proof& proof, Problems& problems) {
  const auto refuse = [&](const std::string& why) {
    problems.push_back(
        {Severity::error,
         "bad-reading",
         {},
         "The reading \"" + text + "\" " + why,
         "Write TEST=VALUE with a test or a step of `loomgraft prove`, like 7=0.3 or 7=over."});
    return std::nullopt;
  };
  const std::size_t equals = text.rfind('=');
  if (equals == std::string::npos) return refuse("has no value.");
  const ProveTest* test = test_named(text.substr(0, equals), proof.report);
  if (test == nullptr) return refuse("names no test and no step of this plan.");
  const auto value = entered_reading(text.substr(equals + 1), test->unit, call.meter);
  if (!value) return refuse(why_not(value.error(), test->unit));
  Reading reading;
  reading.id = std::to_string(number) + ": " + text;  // the same test may be given again
  reading.test = test->id;
  reading.unit = test->unit;
  reading.value = *value;
  return reading;
}

// A reading given here replaces those of the document for the same test.
std::vector<Reading> all_readings(const FindCall& call, const Graft& graft, const Proof& proof,
                                  Problems& problems) {
  std::vector<Reading> given;
  for (const std::string& text : call.readings) {
    if (auto reading = reading_of(text, given.size() + 1, call, proof, problems))
      given.push_back(std::move(*reading));
  }
  std::vector<Reading> all;
  for (const Reading& reading : readings_of(graft.readings, false)) {
    const bool replaced =
        std::ranges::any_of(given, [&](const Reading& one) { return one.test == reading.test; });
    if (!replaced) all.push_back(reading);
  }
  all.insert(all.end(), given.begin(), given.end());
  return all;
}

// The faults confirmed in each graft file of a folder, except the one in question.
FaultCounts learn_from(const std::string& path, const std::string& graft, Problems& problems) {
  const auto folder = GraftFolder::open(path);
  if (!folder) {
    problems.insert(problems.end(), folder.error().begin(), folder.error().end());
    return {};
  }
  std::vector<std::vector<ConfirmedFault>> confirmed;
  for (const FolderEntry& entry : folder->list()) {
    const auto place = folder->path_of(entry.name);
    std::error_code unknown;
    if (place && std::filesystem::equivalent(*place, graft, unknown)) continue;
    auto file = folder->open_file(entry.name, {.access = Access::read, .busy_ms = 500, .check = false});
    auto ticks = file ? file->ticks() : Stored<std::vector<Tick>>(tl::unexpected(file.error()));
    if (!ticks) {
      problems.insert(problems.end(), ticks.error().begin(), ticks.error().end());
      continue;
    }
    confirmed.emplace_back();
    for (const Tick& tick : *ticks) {
      const auto fault = tick.done ? confirmed_fault_in(tick.subject) : std::nullopt;
      if (fault) confirmed.back().push_back(*fault);
    }
  }
  return count_faults(confirmed);
}

std::string bar(double odds) {
  std::string text(static_cast<std::size_t>(std::lround(20.0 * odds)), '#');
  return text + std::string(20 - std::min<std::size_t>(20, text.size()), '.');
}

std::string share_text(double odds) {
  return odds < 0.001 ? "below 0.1 %" : fmt::format("{:.1f} %", 100.0 * odds);
}

std::string odds_text(const FindReport& report, bool colour) {
  constexpr std::size_t shown = 8;
  Columns table({"odds", "", "repair"});
  const auto row = [&](double odds, const std::string& text, Ink ink) {
    table.row({share_text(odds), bar(odds), harmless(text)}, ink);
  };
  row(report.no_fault, "nothing is wrong", Ink::plain);
  for (std::size_t k = 0; k < std::min(shown, report.repairs.size()); ++k) {
    const bool isolated = report.isolated && *report.isolated == k;
    row(report.repairs[k].odds, report.repairs[k].text, isolated ? Ink::strong : Ink::plain);
  }
  return table.print(colour);
}

std::string test_text(const Proof& proof, const NextTest& next) {
  const ProveTest& test = proof.report.tests[next.test];
  const std::string clamp = test.clamp.empty() ? "" : " Clamp: " + test.clamp + ".";
  return fmt::format("  {}\n  Red: {}. Black: {}.{} Meter: {}.\n  {}\n  {} ({:.2f} bits in {:.1f} minutes)\n",
                     harmless(proof.report.conditions[test.condition].text), harmless(test.red.text),
                     harmless(test.black.text), harmless(clamp), test.setting, harmless(next.text),
                     harmless(test.id), next.bits, next.minutes);
}

std::string next_text(const FindReport& report, const Proof& proof, double isolated_at, bool colour) {
  if (report.no_fault >= isolated_at)
    return "\nThese readings indicate a sound loom. What the plan has not yet measured may still be "
           "faulty.\n";
  if (report.isolated)
    return inked("\nDo this repair, then repeat the readings that were out of band.\n", Ink::strong, colour);
  if (report.next.empty())
    return "\nNo test of this plan distinguishes these repairs further: begin with the likeliest.\n";
  std::string text = inked("\nMeasure next\n", Ink::strong, colour);
  if (report.next.front().reason == NextReason::readings_differ)
    text += "  Once more: its readings contradict each other, and no two of them in a row agree.\n";
  if (report.next.front().reason == NextReason::repeat)
    text += "  Once more: what is likely depends on this one reading.\n";
  text += test_text(proof, report.next.front());
  for (std::size_t k = 1; k < std::min<std::size_t>(3, report.next.size()); ++k) {
    text += fmt::format("  or {} ({:.2f} bits in {:.1f} minutes)\n",
                        harmless(proof.report.tests[report.next[k].test].id), report.next[k].bits,
                        report.next[k].minutes);
  }
  return text;
}

std::string differing_text(const DifferingReadings& one, const Proof& proof) {
  const ProveTest& test = proof.report.tests[one.test];
  std::string values;
  for (const double value : one.values)
    values += (values.empty() ? "" : ", ") + reading_text(value, test.unit, proof.report.over_range);
  const std::string taken = one.unsteady ? "it comes and goes: move the loom while measuring"
                            : one.taken  ? "the latest two that agree count: " +
                                              reading_text(*one.taken, test.unit, proof.report.over_range)
                                        : "measure it once more";
  return "readings differ: " + harmless(test.id) + " read " + values + "; " + taken;
}

// The most likely possible faults, and the most likely excluded ones.
std::string fault_notes_text(const FindReport& report, const Proof& proof, bool colour) {
  constexpr std::size_t most = 5;
  std::string text;
  for (const bool excluded : {false, true}) {
    std::size_t shown = 0;
    for (const FaultNote& note : report.fault_notes) {
      if (note.excluded != excluded || shown == most) continue;
      if (shown++ == 0)
        text += inked(excluded ? "\nExcluded faults\n" : "\nPossible faults\n", Ink::strong, colour);
      text += fmt::format("  {} ({})\n    {}\n", harmless(proof.report.faults[note.fault].text),
                          share_text(note.odds), harmless(note.text));
    }
  }
  for (const NoticedSymptom& one : report.symptoms) text += "symptom: " + harmless(one.text) + "\n";
  for (const DifferingReadings& one : report.differing) text += differing_text(one, proof) + "\n";
  for (const std::string& line : report.learnt) text += "learnt: " + harmless(line) + "\n";
  return text;
}

std::string practice_text(const Proof& proof, const std::vector<Reading>& readings, bool colour) {
  Columns table({"step", "shows", "must show", "", "test"});
  for (std::size_t step = 0; step < proof.report.plan.size(); ++step) {
    const std::size_t k = proof.report.plan[step];
    const ProveTest& test = proof.report.tests[k];
    const double value = readings[k].value;
    const bool fits = value >= test.band.low && value <= test.band.high;
    table.row(
        {std::to_string(step + 1), reading_text(value, test.unit, proof.report.over_range),
         band_text(test.band, test.unit, proof.report.over_range), fits ? "" : "OUT", harmless(test.id)},
        fits ? Ink::plain : Ink::danger);
  }
  return table.print(colour);
}

int practise(const FindCall& call, const Proof& proof) {
  const std::vector<Reading> readings = practice_readings(proof, call.as_if);
  if (readings.empty()) {
    print_problems({{Severity::error,
                     "no-such-fault",
                     {},
                     "No fault of this graft is called \"" + call.as_if + "\".",
                     "`loomgraft prove --json` lists them by id."}});
    return unusable;
  }
  if (call.output.json) {
    print_json(practice_json(call.as_if, readings));
    return done;
  }
  print_text(practice_text(proof, readings, wants_colour()));
  return done;
}

int list_symptoms(const FindCall& call, const Graft& graft, const Proof& proof) {
  const std::vector<Symptom> symptoms = symptoms_of(graft, proof.report.faults);
  if (call.output.json) {
    print_json(symptoms_json(symptoms, proof));
    return done;
  }
  Columns table({"symptom", "", "causes"});
  for (const Symptom& one : symptoms)
    table.row({harmless(one.id), harmless(one.text), std::to_string(one.faults.size())}, Ink::plain);
  print_text(table.print(wants_colour()));
  return done;
}

// False where a symptom is not one of this loom; the reason is printed.
bool add_evidence(const FindCall& call, const Graft& graft, const Proof& proof, FindOptions& find) {
  const std::vector<Symptom> symptoms = symptoms_of(graft, proof.report.faults);
  for (const std::string& text : call.symptoms) {
    const Symptom* symptom = symptom_named(text, graft, symptoms);
    if (symptom == nullptr) {
      print_problems({{Severity::error,
                       "no-such-id",
                       {},
                       "The symptom \"" + text +
                           "\" is none, or more than one, of those that a fault of this loom causes.",
                       "`loomgraft find GRAFT --symptoms` lists them."}});
      return false;
    }
    find.evidence.push_back(evidence_of(*symptom, proof.report.faults.size()));
  }
  return true;
}

int run(const FindCall& call) {
  Problems problems;
  const std::optional<Graft> graft = read_graft_file(call.graft, problems);
  if (!graft) {
    print_problems(problems);
    return unusable;
  }
  ProveOptions options;
  options.faults.whole_loom = call.whole;
  options.meter = call.meter;
  const Proof proof = call.no_cache ? prove_loom(*graft, options) : kept_proof(*graft, options);
  if (!call.as_if.empty()) return practise(call, proof);
  if (call.list_symptoms) return list_symptoms(call, *graft, proof);
  Problems unusable_readings;
  const std::vector<Reading> readings = all_readings(call, *graft, proof, unusable_readings);
  problems.insert(problems.end(), unusable_readings.begin(), unusable_readings.end());
  // A diagnosis without one of the readings could lead astray.
  if (has_error(unusable_readings)) {
    FindReport none;
    none.problems = problems;
    if (call.output.json) print_json(to_json(none, proof));
    if (!call.output.json) print_problems(problems);
    return unusable;
  }
  FindOptions find;
  if (!call.symptoms.empty() && !add_evidence(call, *graft, proof, find)) return unusable;
  if (!call.learn.empty()) find.learnt = learn_from(call.learn, call.graft, problems);
  FindReport report = find_fault(proof, readings, find);
  report.problems.insert(report.problems.begin(), problems.begin(), problems.end());
  if (call.output.json) {
    print_json(to_json(report, proof));
  } else {
    const bool colour = wants_colour();
    print_text(odds_text(report, colour) + fault_notes_text(report, proof, colour) +
               next_text(report, proof, find.isolated_at, colour));
    print_problems(report.problems);
  }
  if (has_error(problems)) return unusable;
  return report.no_fault >= find.isolated_at ? done : attention;
}

}  // namespace

void add_find(CLI::App& app, int& exit) {
  auto call = std::make_shared<FindCall>();
  auto* command = app.add_subcommand("find", "the probable fault, from readings, and what to measure next");
  command->add_option("graft", call->graft, "graft document")->required();
  command->add_option(
      "--reading", call->readings,
      "TEST=VALUE: a test by its id or its step in the plan, the value with or without its unit; "
      "\"over\" or OL for over range. A test given again is a repeat: the latest two that agree count. The "
      "measured readings of the document are used too");
  command->add_option("--symptom", call->symptoms,
                      "PART:WHAT, what was noticed before anything was measured: \"valve:never works\"");
  command->add_flag("--symptoms", call->list_symptoms, "the symptoms that faults of this loom cause");
  command->add_option("--as-if", call->as_if,
                      "what each step of the plan would show on a loom with this fault, for practice");
  command->add_option("--learn", call->learn,
                      "a folder of graft files: faults confirmed there shift the probabilities");
  command->add_option("--meter", call->meter, "the meter at hand: handheld, simple or fine");
  command->add_flag("--whole", call->whole, "the whole loom, not only what the plan adds, moves or touches");
  command->add_flag("--no-cache", call->no_cache,
                    "make the test plan again instead of using the one kept in the user's cache folder");
  add_output_options(*command, call->output, false);
  command->footer(
      "Example: loomgraft find examples/power-takeoff/graft.json --reading 1=over --reading 4=12.1V\n"
      "Exit status 0: the readings indicate a sound loom; 1: there is, or may be, a fault; 2: the input is "
      "not "
      "usable.\nNever probe airbag, pretensioner or high-voltage circuits.");
  command->callback([call, &exit] { exit = run(*call); });
}

}  // namespace loomgraft::cli
