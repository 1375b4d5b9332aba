// What a meter that answers commands is told to measure, and what is known of it.
//
// Model   the meter has one function at a time. A touch is one time that the leads were put on, after they were seen in the
//         air; so one touch is never taken for two measurements
// Gives   amounts in ohms, volts and amperes
#pragma once

#include <chrono>
#include <cstdint>
#include <limits>
#include <optional>
#include <string>

namespace loomgraft {

enum class MeterFunction { ohms, volts, amperes };
// The unit as readings write it.
constexpr const char* unit_of(MeterFunction function) {
  constexpr const char* units[] = {"ohm", "V", "A"};
  return units[static_cast<int>(function)];
}

struct MeterOrder {
  MeterFunction function = MeterFunction::volts;
  std::optional<double> up_to;                                  // the range wanted; none: the meter chooses
  double over_range = std::numeric_limits<double>::infinity();  // from here on it counts as over range
  bool operator==(const MeterOrder&) const = default;
};

struct MeterValue {
  double amount = 0.0;
  bool over_range = false;  // then the amount says nothing
  bool operator==(const MeterValue&) const = default;
};

// connecting: no line yet. refused: the meter does not do what it was told.
enum class MeterState { connecting, no_answer, not_understood, refused, ready };
constexpr const char* name_of(MeterState state) {
  constexpr const char* names[] = {"connecting", "no_answer", "not_understood", "refused", "ready"};
  return names[static_cast<int>(state)];
}

struct MeterStatus {
  MeterState state = MeterState::connecting;
  std::string text;                       // for people: what was not understood, or why there is no line
  std::string identity;                   // maker, model, serial number, firmware, as the meter writes them
  std::optional<MeterFunction> function;  // that the meter has confirmed
  std::optional<MeterValue> shown;        // newest value under the last order
  std::optional<MeterValue> steady;       // set once it has stood still
  bool in_air = false;                    // the newest value is one that leads in the air give, too
  std::uint64_t order = 0;                // number of the order that all this belongs to
  std::uint64_t touch = 0;                // how often the leads were put on
  std::optional<double> leads_ohm;        // what the leads have; taken off every value in ohms
  bool operator==(const MeterStatus&) const = default;
};

struct MeterTiming {
  std::chrono::milliseconds answer{3000};  // longest wait for an answer
  std::chrono::milliseconds pause{100};    // between two readings
  std::chrono::milliseconds retry{1000};   // before a lost line is opened again
  std::chrono::milliseconds steady{1000};  // how long a value has to stand still
};

}  // namespace loomgraft
