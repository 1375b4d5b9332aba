#include "contention/text.h"

#include <fmt/format.h>

#include <cmath>

#include "units/print.h"

namespace loomgraft::contention {
namespace {

std::string describe_rating(const PinRatings& ratings) {
  return ratings.fuse ? fmt::format(" (fused {})", print(*ratings.fuse)) : std::string();
}

// "Loom wire carries battery feed (fused 15 A) onto the donor's low-side driver"
std::string describe_pair(const PinRatings& loom, const PinRatings& pin) {
  const bool feed = loom.kind == PinKind::feed;
  return fmt::format("Loom wire {} {}{} {} the donor's {}", feed ? "carries" : "leads to", loom.text,
                     feed ? describe_rating(loom) : "", feed ? "onto" : "and meets", pin.text);
}

std::string describe_states(const Finding& finding) {
  return fmt::format("{} / {}", finding.loom->name, finding.pin->name);
}

std::string describe_fuse(const Finding& finding, const PinRatings& loom, const PinRatings& pin) {
  const bool from_loom = finding.loom->from_supply && finding.current.si > 0.0;
  const auto& fuse = from_loom ? loom.fuse : pin.fuse;
  if (!fuse) return "no fuse protects it";
  if (fuse->si > finding.limit) return fmt::format("the {} fuse is too large for it", print(*fuse));
  return fmt::format("only the {} fuse protects it, and a larger one would let it burn", print(*fuse));
}

std::string fire_text(const Finding& finding, const PinRatings& loom, const PinRatings& pin) {
  const std::string size = print(Amperes{std::abs(finding.current.si)});
  const char* what = finding.cause == Cause::dead_short ? "a dead short, " : "";
  return fmt::format("{} ({}): {}{} through wire that carries {}; {}.", describe_pair(loom, pin),
                     describe_states(finding), what, size, print(Amperes{finding.limit}),
                     describe_fuse(finding, loom, pin));
}

std::string damage_text(const Finding& finding, const PinRatings& loom, const PinRatings& pin) {
  const std::string head = fmt::format("{} ({})", describe_pair(loom, pin), describe_states(finding));
  const std::string size = print(Amperes{std::abs(finding.current.si)});
  const std::string volts = print(finding.voltage);
  switch (finding.cause) {
    case Cause::pin_current:
      return fmt::format("{}: {} flows against the pin's limit of {}.", head, size,
                         print(Amperes{finding.limit}));
    case Cause::loom_current:
      return fmt::format("{}: {} flows, and the part at the end of the wire takes {}.", head, size,
                         print(Amperes{finding.limit}));
    case Cause::pin_voltage:
      return fmt::format("{}: {} at a pin that withstands {}.", head, volts,
                         print(Volts{std::copysign(finding.limit, finding.voltage.si)}));
    case Cause::loom_voltage:
      return fmt::format("{}: {} on a part that withstands {}.", head, volts,
                         print(Volts{std::copysign(finding.limit, finding.voltage.si)}));
    default:
      return fmt::format("{}: switching off {} puts {} into a clamp rated for {}.", head, size,
                         print(finding.energy), print(Joules{finding.limit}));
  }
}

// Below the last digit of a workshop meter a voltage is shown as zero.
std::string metered_volts(double volts) {
  constexpr double last_digit = 1e-3;
  return print(Volts{std::abs(volts) < last_digit ? 0.0 : volts});
}

std::string signal_text(const Finding& finding, const PinRatings& loom, const PinRatings& pin) {
  const std::string head = fmt::format("{} ({})", describe_pair(loom, pin), describe_states(finding));
  const std::string rest = metered_volts(finding.rest);
  const std::string volts = metered_volts(finding.voltage.si);
  switch (finding.cause) {
    case Cause::load_operated:
      return fmt::format("{}: {} operates the load without a command; it stays on above {}.", head,
                         print(Amperes{std::abs(finding.current.si)}), print(Amperes{finding.limit}));
    case Cause::live_with_key_off:
      return fmt::format("{}: the pin is live at {} with the key off.", head, volts);
    case Cause::loom_disturbed:
      return fmt::format("{}: it pulls the vehicle's wire from {} to {}.", head, rest, volts);
    default:
      return fmt::format("{}: the pin goes from {} to {}, which the module reads as a signal.", head, rest,
                         volts);
  }
}

std::string harmless_text(const Finding& finding, const PinRatings& loom, const PinRatings& pin,
                          bool matched) {
  const std::string size = print(Amperes{std::abs(finding.current.si)});
  if (matched) return fmt::format("The wire was made for a {}; at most {} flows.", pin.text, size);
  return fmt::format("{}: no state exceeds a limit; at most {} flows.", describe_pair(loom, pin), size);
}

std::string describe_limit(const Finding& finding, const PinRatings& loom, const PinRatings& pin) {
  const std::string donor = "donor " + pin.text + " ";
  const std::string wire = "loom " + loom.text + " ";
  switch (finding.cause) {
    case Cause::dead_short:
    case Cause::wire_overload:
      return fmt::format("loom wire {} {}", print(loom.wire), print(Amperes{finding.limit}));
    case Cause::pin_current:
      return donor + print(Amperes{finding.limit});
    case Cause::pin_voltage:
      return donor + print(Volts{std::copysign(finding.limit, finding.voltage.si)});
    case Cause::clamp_energy:
      return donor + "clamp " + print(Joules{finding.limit});
    case Cause::loom_current:
    case Cause::load_operated:
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

Contention describe(const Finding& finding, const PinRatings& loom, const PinRatings& pin, bool matched) {
  Contention result;
  result.grade = finding.grade;
  result.current = finding.current;
  result.voltage = finding.voltage;
  result.energy = finding.energy;
  result.loom_state = finding.loom->name;
  result.pin_state = finding.pin->name;
  result.limit = describe_limit(finding, loom, pin);
  switch (finding.grade) {
    case Grade::fire:
      result.reason = fire_text(finding, loom, pin);
      break;
    case Grade::damage:
    case Grade::injury:
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
