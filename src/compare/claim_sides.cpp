#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <tuple>

#include "compare/claim_sides_internal.h"
#include "standards/device_kinds.h"
#include "standards/dictionary.h"

namespace loomgraft::compare {
namespace {

// Claims at or above it word one function in two ways; common practice, no source.
constexpr double one_function_from = 0.75;

// Whatever they are called, they serve alike.
bool serves_alike(PinClass pin_class) {
  switch (pin_class) {
    case PinClass::supply_30:
    case PinClass::supply_15:
    case PinClass::power_earth:
    case PinClass::sensor_earth:
    case PinClass::shield:
      return true;
    default:
      return false;
  }
}

bool says_circuit(const std::string& signal, PinClass pin_class) {
  return pin_class != PinClass::no_connection && !signal.empty() &&
         !term_dictionary().normalise(signal).absent;
}

// The pin as one of its sources has it.
Pin claimed_pin(const Pin& pin, const Claim& claim) {
  if (claim.signal == pin.signal && claim.pin_class == pin.pin_class) return pin;
  Pin claimed = pin;
  claimed.signal = claim.signal;
  claimed.pin_class = claim.pin_class;
  claimed.populated = std::nullopt;
  if (claim.signal == pin.signal) return claimed;
  claimed.term = term_dictionary().normalise(claim.signal).term;
  claimed.note.clear();
  claimed.far_end.clear();
  return claimed;
}

// Names and kinds of the devices that a wire leads to, across joints, fuses and plugs.
class FarEnds {
 public:
  explicit FarEnds(const Graft& graft) {
    for (const Wire& wire : graft.wires) {
      if (wire.from.at.empty() || wire.to.at.empty()) continue;
      other_ends_[wire.from.at].push_back({wire.from.cavity, wire.to});
      other_ends_[wire.to.at].push_back({wire.to.cavity, wire.from});
    }
    for (const Device& device : graft.devices) devices_.emplace(device.id, &device);
    for (const Connector& plug : graft.connectors) {
      if (plug.mates.empty()) continue;
      mates_.emplace(plug.id, plug.mates);
      mates_.emplace(plug.mates, plug.id);
    }
  }

  bool empty() const { return devices_.empty(); }

  std::string text_of(const Pin& pin) const {
    std::string text;
    const auto named = devices_.find(pin.far_end);
    if (named != devices_.end()) append(text, *named->second);
    std::set<WireEnd> seen;
    std::vector<WireEnd> open{{pin.at.connector, pin.at.cavity}};
    constexpr std::size_t most = 40;  // a rail that feeds everything says nothing
    while (!open.empty() && seen.size() < most) {
      const WireEnd at = open.back();
      open.pop_back();
      if (!seen.insert(at).second) continue;
      follow(at, open, text);
    }
    return text;
  }

 private:
  struct OtherEnd {
    std::string cavity;
    WireEnd end;
  };

  static void append(std::string& text, const Device& device) {
    if (!text.empty()) text += "; ";
    text += device.name.empty() ? device.id : device.name;
  }

  void follow(const WireEnd& at, std::vector<WireEnd>& open, std::string& text) const {
    const auto mate = mates_.find(at.at);
    if (mate != mates_.end()) open.push_back({mate->second, at.cavity});
    const auto device = devices_.find(at.at);
    const bool passes = device == devices_.end() || passes_on(*device->second);
    if (!passes) return append(text, *device->second);
    const auto ends = other_ends_.find(at.at);
    if (ends == other_ends_.end()) return;
    for (const OtherEnd& other : ends->second) {
      if (device != devices_.end() || other.cavity == at.cavity) open.push_back(other.end);
    }
  }

  static bool passes_on(const Device& device) {
    const DeviceKind* kind = device_kind(device.kind);
    return kind && (kind->build == DeviceBuild::splice || kind->build == DeviceBuild::fuse);
  }

  std::map<std::string, std::vector<OtherEnd>> other_ends_;
  std::map<std::string, const Device*> devices_;
  std::map<std::string, std::string> mates_;
};

// Worse first; then an order that does not depend on the order of the sources.
bool is_worse(const Contention& a, const Contention& b) {
  if (a.grade != b.grade) return a.grade > b.grade;
  const double x = std::abs(a.current.si);
  const double y = std::abs(b.current.si);
  if (x != y) return x > y;
  return std::tie(a.reason, a.limit) < std::tie(b.reason, b.limit);
}

// The worst, with the sentences of the others that do damage.
Contention with_the_others(std::vector<Contention> results) {
  std::ranges::sort(results, is_worse);
  Contention worst = std::move(results.front());
  for (std::size_t i = 1; i < results.size(); ++i) {
    if (results[i].grade < Grade::damage || worst.reason.find(results[i].reason) != std::string::npos)
      continue;
    worst.reason += " " + results[i].reason;
  }
  return worst;
}

}  // namespace

Module with_some_claim(const Module& module) {
  Module result = module;
  for (Pin& pin : result.pins) {
    if (pin.claims.size() < 2 || says_circuit(pin.signal, pin.pin_class)) continue;
    if (std::ranges::any_of(pin.claims, &Claim::proved)) continue;
    const auto claim =
        std::ranges::find_if(pin.claims, [](const Claim& c) { return says_circuit(c.signal, c.pin_class); });
    if (claim != pin.claims.end()) pin = claimed_pin(pin, *claim);
  }
  return result;
}

std::vector<Pin> disagreeing_claims(const Pin& pin) {
  std::vector<Pin> pins;
  if (pin.claims.size() < 2 || std::ranges::any_of(pin.claims, &Claim::proved)) return pins;
  for (const Claim& claim : pin.claims) {
    if (claim.signal.empty() && claim.pin_class == PinClass::unknown) continue;
    if (claim.signal == pin.signal && claim.pin_class == pin.pin_class) continue;
    pins.push_back(claimed_pin(pin, claim));
  }
  return pins;
}

ClaimSides::ClaimSides(const Graft& graft, const Module& found, const Module& donor, KeyTable& keys,
                       const ContentionOptions& options)
    : keys_(keys), options_(options) {
  const FarEnds far_ends(graft);
  const auto add = [&](const Module& module, bool loom, std::vector<Claims>& sides) {
    sides.reserve(module.pins.size());
    for (const Pin& pin : module.pins) {
      const std::string devices = far_ends.empty() ? std::string{} : far_ends.text_of(pin);
      if (devices.empty()) {
        sides.push_back(claims_of(pin, loom));
        continue;
      }
      Pin with_devices = pin;
      with_devices.far_end = devices;
      sides.push_back(claims_of(with_devices, loom));
    }
  };
  add(found, true, found_);
  add(donor, false, donor_);
}

ClaimSides::Claims ClaimSides::claims_of(const Pin& pin, bool loom) const {
  const auto claimed = [&](const Pin& one) {
    const bool one_source = pin.claims.size() < 2;
    const bool by_name =
        !one_source && pin_class_of(term_dictionary().normalise(one.signal).class_hint) == one.pin_class;
    return Claimed{loom ? loom_side_of(one) : donor_side_of(one), keys_.function_of(one), by_name};
  };
  Claims sides{claimed(pin)};
  for (const Pin& other : disagreeing_claims(pin)) {
    sides.push_back(claimed(other));
    // Whatever the wire is for, its fuse is the one that the pin's remark states.
    if (!sides.back().side.fuse) sides.back().side.fuse = sides.front().side.fuse;
  }
  // A source that states no class is taken to mean that of another one with the same function.
  for (Claimed& side : sides) {
    if (side.side.pin_class != PinClass::unknown) continue;
    const auto same = std::ranges::find_if(sides, [&](const Claimed& other) {
      return other.side.pin_class != PinClass::unknown && one_function(side, other);
    });
    if (same != sides.end()) side.side.pin_class = same->side.pin_class;
  }
  return sides;
}

bool ClaimSides::one_function(const Claimed& a, const Claimed& b) const {
  if (a.side.pin_class == b.side.pin_class && serves_alike(a.side.pin_class)) return true;
  return a.function == b.function ||
         keys_.functions().similarity(a.function, b.function) >= one_function_from;
}

bool ClaimSides::yields(const Claimed& claim, const Claims& others, PinClass to) const {
  if (!claim.class_by_name || claim.side.pin_class == to) return false;
  return std::ranges::any_of(
      others, [&](const Claimed& other) { return other.side.pin_class == to && one_function(claim, other); });
}

Grade ClaimSides::chosen(std::size_t found, std::size_t donor, Circuits circuits) const {
  if (found_[found].size() == 1 && donor_[donor].size() == 1)
    return worst(found, donor, circuits, false).grade;
  return contend(found_[found].front().side, donor_[donor].front().side, options_, circuits).grade;
}

bool ClaimSides::disagree(const Claims& found, const Claims& donor) const {
  const auto among = [&](const Claims& claims) {
    return std::ranges::any_of(claims,
                               [&](const Claimed& claim) { return !one_function(claim, claims.front()); });
  };
  return among(found) || among(donor);
}

const Contention& ClaimSides::worst(std::size_t found, std::size_t donor, Circuits circuits,
                                    bool decided) const {
  const auto [known, is_new] = worst_.try_emplace({found, donor, circuits, decided});
  if (is_new) known->second = solved(found, donor, circuits, decided);
  return known->second;
}

Contention ClaimSides::solved(std::size_t found, std::size_t donor, Circuits circuits, bool decided) const {
  const Claims& wires = found_[found];
  const Claims& pins = donor_[donor];
  const bool each = !decided && disagree(wires, pins);
  std::vector<Contention> results;
  for (const Claimed& wire : wires) {
    for (const Claimed& pin : pins) {
      const bool one = one_function(wire, pin);
      if (one && (yields(wire, wires, pin.side.pin_class) || yields(pin, pins, wire.side.pin_class)))
        continue;
      Contention result =
          contend(wire.side, pin.side, options_, each ? (one ? Circuits::one : Circuits::two) : circuits);
      if (each && result.grade != Grade::harmless)
        result.reason = fmt::format("If it is \"{}\" on \"{}\", as one source says: {}", wire.side.signal,
                                    pin.side.signal, result.reason);
      results.push_back(std::move(result));
    }
  }
  return with_the_others(std::move(results));
}

}  // namespace loomgraft::compare
