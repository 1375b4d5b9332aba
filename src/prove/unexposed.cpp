// Why no test exposes a fault, and what would help.
#include <fmt/format.h>

#include <algorithm>

#include "prove/plan_internal.h"

namespace loomgraft::prove {
namespace {

const LoomNet* net_of(const ProveScope& scope, const std::string& wire) {
  for (const LoomNet& net : scope.nets) {
    if (std::ranges::count(net.wires, wire) > 0) return &net;
  }
  return nullptr;
}

// The cavity of a bridge that has no wire in the document: no test is planned there.
std::optional<WireEnd> bare_cavity(const ProveScope& scope, const Fault& fault) {
  if (fault.kind != FaultKind::bridged_cavities) return std::nullopt;
  for (const FaultSubject& subject : fault.subjects) {
    if (!scope.net_at.contains(subject.end)) return subject.end;
  }
  return std::nullopt;
}

// The table of a module has a pin in the cavity.
bool has_pin(const ProveScope& scope, const WireEnd& cavity) {
  return std::ranges::any_of(scope.graft->modules, [&](const Module& module) {
    return std::ranges::any_of(module.pins, [&](const Pin& pin) {
      return pin.at == CavityRef{cavity.at, cavity.cavity};
    });
  });
}

std::string remedy_of_bare(const ProveScope& scope, const WireEnd& cavity) {
  const std::string look = "look into both halves of the plug for a stray strand or a bent pin";
  if (has_pin(scope, cavity))
    return "Add the wire in " + end_text(scope, cavity) +
           " to the loom, and a test between the two is planned; until then " + look + ".";
  return "There should be nothing in " + end_text(scope, cavity) + ": close the empty cavity, and " + look +
         ".";
}

std::string why_of(const ProveScope& scope, const Fault& fault, const NearMiss& miss) {
  const bool touches = fault.kind == FaultKind::short_to_earth || fault.kind == FaultKind::short_to_supply;
  const LoomNet* net = touches ? net_of(scope, fault.subjects[0].id) : nullptr;
  if (net && net->earthed && fault.kind == FaultKind::short_to_earth)
    return "The wire is earthed in a sound loom too.";
  if (net && net->feeds && fault.kind == FaultKind::short_to_supply)
    return "The wire is on the battery's feed in a sound loom too.";
  if (fault.kind == FaultKind::wrong_rating)
    return "A meter reads the same through a fuse of another rating.";
  if (miss.test.empty()) {
    if (fault.kind == FaultKind::swapped_wires || fault.kind == FaultKind::mirrored_plug)
      return "The wires are alike electrically: no reading changes.";
    return "No reading at any point that a probe reaches changes.";
  }
  return fmt::format("The reading that moves most ({}) moves by {:.2g} of the width of its band.", miss.test,
                     miss.clearance);
}

std::string remedy_of(const Fault& fault) {
  switch (fault.kind) {
    case FaultKind::bad_joint:
      return "Pull on the crimp and inspect the joint; with the circuit on, feel for warmth and measure the "
             "drop in "
             "millivolts right across it. Where the wire's length is guessed, measure and enter it: then the "
             "plan sees "
             "less.";
    case FaultKind::wire_open:
    case FaultKind::terminal_unseated:
      return "Open the circuit at its splice or far plug, so that nothing is in parallel with this wire, and "
             "measure "
             "it alone.";
    case FaultKind::swapped_wires:
    case FaultKind::mirrored_plug:
    case FaultKind::one_cavity_off:
      return "Trace each wire by hand from end to end before the plug is closed; mark both ends.";
    case FaultKind::short_to_earth:
    case FaultKind::short_to_supply:
    case FaultKind::bridged_cavities:
    case FaultKind::chafed_together:
      return "Disconnect what joins the two in a sound loom, or inspect the bundle and the plug.";
    case FaultKind::missing_pull_up:
    case FaultKind::dead_driver:
      return "Read the module with a diagnostic tester while the circuit is operated.";
    case FaultKind::opposite_contacts:
    case FaultKind::reversed_diode:
    case FaultKind::open_device:
    case FaultKind::blown_fuse:
    case FaultKind::resistor_too_large:
    case FaultKind::resistor_too_small:
    case FaultKind::coil_for_24_v:
    case FaultKind::coil_for_12_v:
      return "Take the part out and measure it by itself.";
    case FaultKind::thin_wire:
      return "Read the size on the insulation or measure the strands, and look at both ends for cut strands.";
    case FaultKind::intermittent_joint:
      return "Pull on the terminal, and watch the working circuit while somebody moves the loom.";
    case FaultKind::leak_to_earth:
    case FaultKind::leak_between:
      return "Look for water and green copper in the plug; dry it, and measure it alone.";
    case FaultKind::shield_earthed_twice:
      return "Look at both ends of the shield: only one may be joined to earth.";
    case FaultKind::two_in_cavity:
      return "Look into the plug from behind: one wire in each cavity.";
    case FaultKind::plug_open:
      return "Pull on the plug: its latch must hold.";
    case FaultKind::wrong_fuse:
    case FaultKind::wrong_earth:
      return "Follow the wire by hand to its end.";
    case FaultKind::wrong_rating:
      return "Read the number on the fuse, and look that nobody put a larger one in.";
    case FaultKind::stuck_driver:
    case FaultKind::leaking_driver:
    case FaultKind::blown_input:
      return "Measure at the module's own pin before it is plugged in, or read it with a diagnostic tester.";
  }
  return {};
}

Unexposed unexposed(const ProveScope& scope, const Fault& fault, std::size_t position, const NearMiss& miss) {
  if (const auto cavity = bare_cavity(scope, fault))
    return {position,
            "The document has no wire in " + end_text(scope, *cavity) + ", so no test is planned there.",
            remedy_of_bare(scope, *cavity)};
  return {position, why_of(scope, fault, miss), remedy_of(fault)};
}

}  // namespace

void note_unexposed(const ProveScope& scope, ProveReport& report, const std::vector<NearMiss>& misses) {
  std::vector<bool> exposed(report.faults.size());
  for (const ProveTest& test : report.tests) {
    for (const std::size_t fault : test.exposes) exposed[fault] = true;
  }
  for (std::size_t fault = 0; fault < exposed.size(); ++fault) {
    if (!exposed[fault] && report.faults[fault].matters)
      report.unexposed.push_back(unexposed(scope, report.faults[fault], fault, misses[fault]));
  }
}

}  // namespace loomgraft::prove
