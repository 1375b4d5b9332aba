#include "contention/text.h"

#include <fmt/format.h>

#include <cmath>

#include "units/print.h"

namespace loomgraft::contention {
namespace {

std::string fused(const PinRatings& ratings) {
  return ratings.fuse ? fmt::format(" (fused {})", print(*ratings.fuse)) : std::string();
}

// "Loom wire carries battery feed (fused 15 A) onto the donor's low-side driver"
std::string meeting(const PinModel& loom, const PinModel& pin) {
  const bool feed = loom.ratings.kind == PinKind::feed;
  return fmt::format("Loom wire {} {}{} {} the donor's {}", feed ? "carries" : "leads to", loom.ratings.text,
                     feed ? fused(loom.ratings) : "", feed ? "onto" : "and meets", pin.ratings.text);
}

std::string states(const Finding& finding) {
  return fmt::format("{} / {}", finding.loom->name, finding.pin->name);
}

std::string fuse_words(const Finding& finding, const PinModel& loom, const PinModel& pin) {
  const bool from_loom = finding.loom->from_supply && finding.current.si > 0.0;
  const auto& fuse = from_loom ? loom.ratings.fuse : pin.ratings.fuse;
  if (!fuse) return "no fuse stands in the way";
  if (fuse->si > finding.limit) return fmt::format("the {} fuse is too large for it", print(*fuse));
  return fmt::format("only the {} fuse stands between, and a larger one lets it burn", print(*fuse));
}

std::string fire_text(const Finding& finding, const PinModel& loom, const PinModel& pin) {
  const std::string size = print(Amperes{std::abs(finding.current.si)});
  const char* what = finding.cause == Cause::dead_short ? "a dead short, " : "";
  return fmt::format("{} ({}): {}{} through wire that carries {}; {}.", meeting(loom, pin), states(finding),
                     what, size, print(Amperes{finding.limit}), fuse_words(finding, loom, pin));
}

std::string damage_text(const Finding& finding, const PinModel& loom, const PinModel& pin) {
  const std::string head = fmt::format("{} ({})", meeting(loom, pin), states(finding));
  const std::string size = print(Amperes{std::abs(finding.current.si)});
  const std::string volts = print(finding.voltage);
  switch (finding.cause) {
    case Cause::pin_current:
      return fmt::format("{}: {} flows against the pin's limit of {}.", head, size,
                         print(Amperes{finding.limit}));
    case Cause::loom_current:
      return fmt::format("{}: {} flows, and what the wire leads to takes {}.", head, size,
                         print(Amperes{finding.limit}));
    case Cause::pin_voltage:
      return fmt::format("{}: {} at a pin that withstands {}.", head, volts,
                         print(Volts{std::copysign(finding.limit, finding.voltage.si)}));
    case Cause::loom_voltage:
      return fmt::format("{}: {} on a part that withstands {}.", head, volts,
                         print(Volts{std::copysign(finding.limit, finding.voltage.si)}));
    default:
      return fmt::format("{}: letting go of {} puts {} into a clamp made for {}.", head, size,
                         print(finding.energy), print(Joules{finding.limit}));
  }
}

// Below the last digit of a workshop's meter a voltage is none.
std::string volts_on_meter(double volts) {
  constexpr double last_digit = 1e-3;
  return print(Volts{std::abs(volts) < last_digit ? 0.0 : volts});
}

std::string signal_text(const Finding& finding, const PinModel& loom, const PinModel& pin) {
  const std::string head = fmt::format("{} ({})", meeting(loom, pin), states(finding));
  const std::string rest = volts_on_meter(finding.rest);
  const std::string volts = volts_on_meter(finding.voltage.si);
  switch (finding.cause) {
    case Cause::load_worked:
      return fmt::format("{}: {} works the load unasked; it stays worked above {}.", head,
                         print(Amperes{std::abs(finding.current.si)}), print(Amperes{finding.limit}));
    case Cause::live_with_key_off:
      return fmt::format("{}: the pin is live at {} with the key off.", head, volts);
    case Cause::loom_disturbed:
      return fmt::format("{}: it pulls the vehicle's wire from {} to {}.", head, rest, volts);
    default:
      return fmt::format("{}: the pin goes from {} to {}, which is read as a signal.", head, rest, volts);
  }
}

std::string harmless_text(const Finding& finding, const PinModel& loom, const PinModel& pin, bool matched) {
  const std::string size = print(Amperes{std::abs(finding.current.si)});
  if (matched) return fmt::format("The wire was made for a {}; at most {} flows.", pin.ratings.text, size);
  return fmt::format("{}: no state of either breaks a limit; at most {} flows.", meeting(loom, pin), size);
}

std::string limit_words(const Finding& finding, const PinModel& loom, const PinModel& pin) {
  const std::string donor = "donor " + pin.ratings.text + " ";
  const std::string wire = "loom " + loom.ratings.text + " ";
  switch (finding.cause) {
    case Cause::dead_short:
    case Cause::wire_overload:
      return fmt::format("loom wire {} {}", print(loom.ratings.wire), print(Amperes{finding.limit}));
    case Cause::pin_current:
      return donor + print(Amperes{finding.limit});
    case Cause::pin_voltage:
      return donor + print(Volts{std::copysign(finding.limit, finding.voltage.si)});
    case Cause::clamp_energy:
      return donor + "clamp " + print(Joules{finding.limit});
    case Cause::loom_current:
    case Cause::load_worked:
      return wire + print(Amperes{finding.limit});
    case Cause::loom_voltage:
      return wire + print(Volts{std::copysign(finding.limit, finding.voltage.si)});
    case Cause::loom_disturbed:
      return wire + "shift " + print(Volts{finding.limit});
    case Cause::reading_shifted:
    case Cause::live_with_key_off:
      return donor + "shift " + print(Volts{finding.limit});
    case Cause::nothing:
      break;
  }
  return {};
}

}  // namespace

Contention in_words(const Finding& finding, const PinModel& loom, const PinModel& pin, bool matched) {
  Contention result;
  result.grade = finding.grade;
  result.current = finding.current;
  result.voltage = finding.voltage;
  result.energy = finding.energy;
  result.loom_state = finding.loom->name;
  result.pin_state = finding.pin->name;
  result.limit = limit_words(finding, loom, pin);
  switch (finding.grade) {
    case Grade::fire:
      result.reason = fire_text(finding, loom, pin);
      break;
    case Grade::damage:
      result.reason = damage_text(finding, loom, pin);
      break;
    case Grade::false_signal:
      result.reason = signal_text(finding, loom, pin);
      break;
    case Grade::harmless:
      result.reason = harmless_text(finding, loom, pin, matched);
      break;
  }
  return result;
}

}  // namespace loomgraft::contention
