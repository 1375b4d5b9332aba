// What may happen to people and things when a circuit works unasked, and when it is lost
// (data/consequences.csv).
//
// Model   a circuit is known by the words of its name, of its remarks and of the device at its far end, in
//         some languages (text/word_phrases.h); where no word is known, by its term. Rows without
//         consequence stand for names that share a word with another circuit ("brake fluid level").
// Gives   the rows by the worst that they say; severities are judgement, mildest first
// Fails   a row with an unknown severity is a bug: std::logic_error
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace loomgraft {

enum class HarmSeverity { none, nuisance, false_signal, damage, injury };

struct Consequence {
  std::string circuit;  // "starter"
  HarmSeverity worked = HarmSeverity::none;
  HarmSeverity lost = HarmSeverity::none;
  std::string may;        // worked unasked: "may crank: a vehicle in gear can move"
  std::string when_lost;  // "does not start"
  std::string why;
  std::string source;
  std::string status;
};

// The worst row for a circuit that works unasked, and for one that is lost; nullptr where none is known.
struct CircuitConsequences {
  const Consequence* worked = nullptr;
  const Consequence* lost = nullptr;
  bool operator==(const CircuitConsequences&) const = default;
};

// `texts`: the circuit's name first, then what else is said of it. The first text that names a circuit decides;
// the rest is asked only where it names none.
CircuitConsequences consequences_of(const std::vector<std::string_view>& texts, std::string_view term);

const std::vector<Consequence>& all_consequences();

}  // namespace loomgraft
