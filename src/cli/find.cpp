#include "prove/find.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <memory>
#include <nlohmann/json.hpp>

#include "cli/command.h"
#include "cli/graft_file.h"
#include "cli/paper.h"
#include "prove/find_json.h"
#include "prove/learn.h"
#include "prove/practice.h"
#include "prove/reading_words.h"
#include "store/graft_folder.h"
#include "text/number.h"

namespace loomgraft::cli {
namespace {

struct FindCall {
  std::string graft;
  std::vector<std::string> readings;  // TEST=VALUE
  std::string as_if;
  std::string learn;
  bool whole = false;
  Output output;
};

// "dead-open:ohm:C1.3:Y20.1=12.4", "...=over": the value is what the meter shows, in the test's unit.
std::optional<Reading> reading_of(const std::string& text, const Proof& proof, Problems& problems) {
  const std::size_t equals = text.rfind('=');
  const auto refuse = [&](const std::string& why) {
    problems.push_back({Severity::error,
                        "bad-reading",
                        {},
                        "The reading \"" + text + "\" " + why,
                        "Write TEST=VALUE with a test of `loomgraft prove`, or TEST=over for over range."});
    return std::nullopt;
  };
  if (equals == std::string::npos) return refuse("has no value.");
  Reading reading;
  reading.test = text.substr(0, equals);
  reading.id = text;
  const auto test = std::ranges::find(proof.report.tests, reading.test, &ProveTest::id);
  if (test == proof.report.tests.end()) return refuse("names no test of this plan.");
  reading.unit = test->unit;
  const std::string value = text.substr(equals + 1);
  if (value == "over") {
    reading.value = over_range_reading;
    return reading;
  }
  const auto number = read_number(value, DecimalMark::point);
  if (!number) return refuse("has a value that is no number.");
  reading.value = number->value;
  return reading;
}

// What was confirmed in each graft file of a folder but the one that is looked at.
FaultCounts learn_from(const std::string& path, const std::string& graft, Problems& problems) {
  const auto folder = GraftFolder::open(path);
  if (!folder) {
    problems.insert(problems.end(), folder.error().begin(), folder.error().end());
    return {};
  }
  std::vector<std::vector<std::string>> confirmed;
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
      if (tick.done) confirmed.back().push_back(tick.subject);
    }
  }
  return count_faults(confirmed);
}

std::string bar(double odds) {
  std::string text(static_cast<std::size_t>(std::lround(20.0 * odds)), '#');
  return text + std::string(20 - std::min<std::size_t>(20, text.size()), '.');
}

std::string odds_text(const FindReport& report, bool colour) {
  constexpr std::size_t shown = 8;
  Columns table({"odds", "", "repair"});
  const auto row = [&](double odds, const std::string& words, Ink ink) {
    table.row({fmt::format("{:.1f} %", 100.0 * odds), bar(odds), harmless(words)}, ink);
  };
  row(report.all_well, "nothing is wrong", Ink::plain);
  for (std::size_t k = 0; k < std::min(shown, report.repairs.size()); ++k) {
    const bool settled = report.settled && *report.settled == k;
    row(report.repairs[k].odds, report.repairs[k].words, settled ? Ink::strong : Ink::plain);
  }
  return table.print(colour);
}

std::string next_text(const FindReport& report, const Proof& proof, bool colour) {
  if (report.settled) return inked("\nDo this, then take the same readings again.\n", Ink::strong, colour);
  if (report.next.empty()) return "\nNo test of this plan tells more.\n";
  const ProveTest& test = proof.report.tests[report.next.front().test];
  std::string text = inked("\nMeasure next\n", Ink::strong, colour);
  text += fmt::format(
      "  {}\n  red on {}, black on {}, meter on {}; a sound loom shows {}\n  {} ({:.2f} bits in {:.1f} "
      "min)\n",
      harmless(proof.report.states[test.state].words), harmless(test.red.words), harmless(test.black.words),
      test.setting, band_words(test.band, test.unit), test.id, report.next.front().bits,
      report.next.front().minutes);
  return text;
}

std::string words_text(const FindReport& report, const Proof& proof, bool colour) {
  constexpr std::size_t shown = 10;
  std::string text = inked("\nWhy\n", Ink::strong, colour);
  for (std::size_t k = 0; k < std::min(shown, report.words.size()); ++k) {
    const FaultWord& word = report.words[k];
    text +=
        fmt::format("  {}\n    {}\n", harmless(proof.report.faults[word.fault].words), harmless(word.words));
  }
  for (const std::string& line : report.learnt) text += "  learnt: " + line + "\n";
  return text;
}

std::string practice_text(const Proof& proof, const std::vector<Reading>& readings, bool colour) {
  Columns table({"test", "shows", "must show", ""});
  for (const std::size_t k : proof.report.plan) {
    const ProveTest& test = proof.report.tests[k];
    const double value = readings[k].value;
    const bool in = value >= test.band.low && (value <= test.band.high || value >= over_range_ohms);
    const bool fits = test.unit == "ohm" && test.band.high >= over_range_ohms ? value >= test.band.low
                                                                              : in && value <= test.band.high;
    table.row({test.id, reading_words(value, test.unit), band_words(test.band, test.unit), fits ? "" : "OUT"},
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
    nlohmann::ordered_json json{{"fault", call.as_if}, {"readings", nlohmann::ordered_json::array()}};
    for (const Reading& reading : readings)
      json["readings"].push_back({{"test", reading.test}, {"value", reading.value}, {"unit", reading.unit}});
    print_json(json);
    return done;
  }
  print_text(practice_text(proof, readings, wants_colour()));
  return done;
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
  const Proof proof = prove(*graft, options);
  if (!call.as_if.empty()) return practise(call, proof);
  std::vector<Reading> readings = graft->readings;
  for (const std::string& text : call.readings) {
    if (auto reading = reading_of(text, proof, problems)) readings.push_back(std::move(*reading));
  }
  FindOptions find;
  if (!call.learn.empty()) find.learnt = learn_from(call.learn, call.graft, problems);
  FindReport report = find_fault(proof, readings, find);
  report.problems.insert(report.problems.begin(), problems.begin(), problems.end());
  if (call.output.json) {
    print_json(to_json(report, proof));
  } else {
    const bool colour = wants_colour();
    print_text(odds_text(report, colour) + words_text(report, proof, colour) +
               next_text(report, proof, colour));
    print_problems(report.problems);
  }
  if (has_error(problems)) return unusable;
  return report.all_well >= find.settled_at ? done : attention;
}

}  // namespace

void add_find(CLI::App& app, int& exit) {
  auto call = std::make_shared<FindCall>();
  auto* command = app.add_subcommand("find", "what is wrong, from readings, and what to measure next");
  command->add_option("graft", call->graft, "a graft document")->required();
  command->add_option("--reading", call->readings,
                      "TEST=VALUE in the test's unit, or TEST=over; the readings of the document count too");
  command->add_option("--as-if", call->as_if,
                      "show what the plan would read on a loom with this fault, to practise");
  command->add_option("--learn", call->learn,
                      "a folder of graft files: what was found there shifts the odds");
  command->add_flag("--whole", call->whole, "every wire, not only what the plan touches");
  add_output_options(*command, call->output, false);
  command->footer(
      "Example: loomgraft find van.json --reading dead-open:ohm:C1.3:Y20.1=over\n"
      "Exit status 0: nothing is wrong, as far as the readings go; 1: something is, or may be; 2: not "
      "usable.\n"
      "Never probe airbag, pretensioner or high-voltage circuits.");
  command->callback([call, &exit] { exit = run(*call); });
}

}  // namespace loomgraft::cli
