#include "compare/tags.h"

#include <algorithm>

#include "compare/tag_circuits.h"
#include "compare/tag_dates.h"
#include "text/signal_words.h"

namespace loomgraft {

using namespace compare;
namespace {

constexpr std::string_view not_stated = "not stated";

bool same_text(std::string_view a, std::string_view b) {
  return lower_case(a) == lower_case(b);
}

std::string stated(std::string_view text) {
  return std::string(text.empty() ? not_stated : text);
}

// The tag of the module, else that of the vehicle.
const std::string& or_else(const std::string& first, const std::string& second) {
  return first.empty() ? second : first;
}

std::string join(const std::vector<std::string>& items) {
  constexpr std::size_t most = 8;
  std::string text;
  for (std::size_t i = 0; i < items.size() && i < most; ++i) text += (i == 0 ? "" : ", ") + items[i];
  if (items.size() > most) text += " and " + std::to_string(items.size() - most) + " more";
  return text;
}

// The modules with what the vehicle adds to the tags of its own.
struct Pair {
  const Module& found;
  const Module& donor;
  const Vehicle& vehicle;
  std::string found_years;
  std::string found_market;
  std::string found_gearbox;
  std::string found_diagnostics;
};

class Findings {
 public:
  void add(std::string_view what, std::string_view found, std::string_view donor, TagWeight weight,
           std::string reason, std::string source = {}) {
    list_.push_back(
        {std::string(what), stated(found), stated(donor), weight, std::move(reason), std::move(source)});
  }

  // A note where one side, or both, is not stated. Returns whether both are.
  bool both_stated(std::string_view what, std::string_view found, std::string_view donor,
                   std::string_view look_at) {
    if (!found.empty() && !donor.empty()) return true;
    const std::string_view whose = !found.empty()   ? "of the donor"
                                   : !donor.empty() ? "of the module found"
                                                    : "of either module";
    add(what, found, donor, TagWeight::note,
        "The " + std::string(what) + " " + std::string(whose) + " is not stated: look at " +
            std::string(look_at) + ".");
    return false;
  }

  std::vector<TagFinding> take() {
    std::stable_sort(list_.begin(), list_.end(),
                     [](const TagFinding& a, const TagFinding& b) { return a.weight > b.weight; });
    return std::move(list_);
  }

 private:
  std::vector<TagFinding> list_;
};

bool is_required(ObdDuty duty) {
  return duty == ObdDuty::required || duty == ObdDuty::required_by_fuel;
}

bool is_older(DiagnosticsKind kind) {
  return kind == DiagnosticsKind::obd_1 || kind == DiagnosticsKind::none;
}

// What a module states against what its own years and market imply.
void check_against_dates(Findings& findings, std::string_view whose, const std::string& stated_kind,
                         const ObdImplied& implied, bool of_donor) {
  const DiagnosticsKind kind = read_diagnostics(stated_kind);
  const bool too_new = kind == DiagnosticsKind::obd_2 && implied.duty == ObdDuty::not_expected;
  const bool too_old = is_older(kind) && implied.duty == ObdDuty::required;
  if (!too_new && !too_old) return;
  findings.add("diagnostics", of_donor ? "" : stated_kind, of_donor ? stated_kind : "", TagWeight::attention,
               "Years and market of the " + std::string(whose) + " do not go with " + stated_kind +
                   ": one of the three is wrong. " + implied.reason,
               implied.source);
}

// Both stated, and of different kinds.
void compare_kinds(Findings& findings, const Pair& pair, const ObdImplied& vehicle_duty) {
  const DiagnosticsKind found = read_diagnostics(pair.found_diagnostics);
  const DiagnosticsKind donor = read_diagnostics(pair.donor.tags.diagnostics);
  std::string reason =
      "Another diagnostics generation comes with other sensors, another socket and other codes.";
  if (is_older(donor) && found == DiagnosticsKind::obd_2 && is_required(vehicle_duty.duty)) {
    findings.add("diagnostics", pair.found_diagnostics, pair.donor.tags.diagnostics, TagWeight::stop,
                 reason + " This vehicle has to keep OBD-II. " + vehicle_duty.reason, vehicle_duty.source);
    return;
  }
  findings.add("diagnostics", pair.found_diagnostics, pair.donor.tags.diagnostics, TagWeight::attention,
               reason);
}

void compare_diagnostics(Findings& findings, const Pair& pair) {
  const std::string& stated_kind = pair.donor.tags.diagnostics;
  const ObdImplied found = implied_by(pair.found_market, pair.found_years);
  const ObdImplied donor = implied_by(pair.donor.tags.market, pair.donor.tags.years);
  const DiagnosticsKind found_kind = read_diagnostics(pair.found_diagnostics);
  const DiagnosticsKind donor_kind = read_diagnostics(stated_kind);

  if (!pair.vehicle.diagnostics.empty() && !pair.found.tags.diagnostics.empty() &&
      read_diagnostics(pair.vehicle.diagnostics) != read_diagnostics(pair.found.tags.diagnostics)) {
    findings.add("diagnostics", pair.found.tags.diagnostics, stated_kind, TagWeight::attention,
                 "The vehicle is stated to have " + pair.vehicle.diagnostics +
                     ": the module found, or its pin table, may be of another vehicle.");
  }
  check_against_dates(findings, "vehicle", pair.found_diagnostics, found, false);
  check_against_dates(findings, "donor", stated_kind, donor, true);

  if (found_kind == DiagnosticsKind::unknown || donor_kind == DiagnosticsKind::unknown) {
    const ObdImplied& unstated = found_kind == DiagnosticsKind::unknown ? found : donor;
    std::string reason =
        "The diagnostics generation is not stated: look at the diagnostic socket and the label.";
    if (unstated.duty != ObdDuty::not_known) reason += " Years and market say: " + unstated.reason;
    const bool apart = (found.duty == ObdDuty::not_expected && is_required(donor.duty)) ||
                       (donor.duty == ObdDuty::not_expected && is_required(found.duty));
    findings.add("diagnostics", pair.found_diagnostics, stated_kind,
                 apart ? TagWeight::attention : TagWeight::note, reason, unstated.source);
  } else if (found_kind != donor_kind) {
    compare_kinds(findings, pair, found);
  }
}

void compare_years(Findings& findings, const Pair& pair) {
  const std::string& donor = pair.donor.tags.years;
  if (!findings.both_stated("years", pair.found_years, donor,
                            "the build plate, the label's date code or the part number")) {
    return;
  }
  const auto a = read_years(pair.found_years);
  const auto b = read_years(donor);
  if (!a || !b) {
    findings.add("years", pair.found_years, donor, TagWeight::note,
                 "The years could not be read: write them as 1998-2001.");
    return;
  }
  const int apart = std::max({0, b->first - a->last, a->first - b->last});
  if (apart == 0) return;
  findings.add("years", pair.found_years, donor, TagWeight::attention,
               std::to_string(apart) + (apart == 1 ? " year" : " years") +
                   " apart: pin tables, colours and programs change from year to year.");
}

void compare_markets(Findings& findings, const Pair& pair) {
  const std::string& donor = pair.donor.tags.market;
  if (!findings.both_stated("market", pair.found_market, donor,
                            "the part number's suffix or the vehicle it came from"))
    return;
  if (same_text(pair.found_market, donor)) return;
  findings.add("market", pair.found_market, donor, TagWeight::attention,
               "Made for another market: emission equipment, lamps, immobiliser and units may differ.");
}

void compare_generations(Findings& findings, const Pair& pair) {
  const std::string& found = pair.found.tags.generation;
  const std::string& donor = pair.donor.tags.generation;
  if (!findings.both_stated("generation", found, donor, "the hardware number on the label")) return;
  if (same_text(found, donor)) return;
  findings.add("generation", found, donor, TagWeight::attention,
               "Another generation of the maker: equal plugs do not mean equal pins.");
}

void compare_boards(Findings& findings, const Pair& pair) {
  const std::string& found = pair.found.tags.board;
  const std::string& donor = pair.donor.tags.board;
  if (!findings.both_stated("board", found, donor,
                            "the number printed on the board itself; a case label may be of another one")) {
    return;
  }
  const bool same_label = !pair.found.name.empty() && same_text(pair.found.name, pair.donor.name);
  if (!same_text(found, donor)) {
    findings.add("board", found, donor, TagWeight::attention,
                 same_label ? "The case labels say the same, the boards do not: the board counts."
                            : "Another board: what stands behind each pin is proved, not assumed.");
  } else if (!pair.found.tags.generation.empty() && !pair.donor.tags.generation.empty() &&
             !same_text(pair.found.tags.generation, pair.donor.tags.generation)) {
    findings.add("board", found, donor, TagWeight::note,
                 "One board under two generations: the program makes the difference.");
  }
}

std::string gearbox_reason(const Pair& pair, const GearboxCircuits& circuits) {
  if (circuits.concerned.empty()) return "No circuit of the pin tables is known to belong to the gearbox.";
  std::string reason = "Circuits concerned: " + join(circuits.concerned) + ".";
  if (!pair.donor.pins.empty() && !circuits.missing.empty()) {
    reason += " The other side does not have: " + join(circuits.missing) + ".";
  }
  return reason;
}

void compare_gearboxes(Findings& findings, const Pair& pair) {
  const std::string& donor = pair.donor.tags.transmission;
  if (!findings.both_stated("transmission", pair.found_gearbox, donor,
                            "the vehicle it came from, and for gearbox circuits in its pin table")) {
    return;
  }
  const Gearbox here = read_gearbox(pair.found_gearbox);
  const Gearbox there = read_gearbox(donor);
  if (same_text(pair.found_gearbox, donor) || (here == there && here != Gearbox::unknown)) return;
  if (here == Gearbox::automatic && there == Gearbox::manual) {
    const GearboxCircuits circuits = gearbox_circuits(pair.found, pair.donor, here);
    findings.add("transmission", pair.found_gearbox, donor, TagWeight::stop,
                 "A manual donor in an automatic vehicle: the gearbox may lose its controller or the signals "
                 "it needs. " +
                     gearbox_reason(pair, circuits));
  } else {
    const GearboxCircuits circuits = gearbox_circuits(pair.donor, pair.found, there);
    findings.add(
        "transmission", pair.found_gearbox, donor, TagWeight::attention,
        "Made for another gearbox: the donor will miss it and may limit the engine or raise codes. " +
            gearbox_reason(pair, circuits));
  }
}

// One shared circuit with all modules that use it, under whatever name.
struct SharedUse {
  const Pin* ours = nullptr;
  const Pin* theirs = nullptr;
  std::string signal;
  std::vector<std::string> listeners;
};

std::vector<SharedUse> shared_uses(const Pair& pair, const std::vector<SharedCircuit>& shared) {
  std::vector<SharedUse> all;
  for (const SharedCircuit& circuit : shared) {
    const Pin* ours = find_circuit(pair.found, circuit.signal);
    const Pin* theirs =
        ours == nullptr ? find_circuit(pair.donor, circuit.signal) : find_same(pair.donor, *ours);
    auto known = std::find_if(all.begin(), all.end(), [&](const SharedUse& other) {
      if (ours != nullptr && ours == other.ours) return true;
      if (theirs != nullptr || other.theirs != nullptr) return theirs == other.theirs;
      return ours == other.ours && circuit.signal == other.signal;
    });
    if (known == all.end()) known = all.insert(all.end(), {ours, theirs, circuit.signal, {}});
    const std::string listener = circuit.module.empty() ? "another controller" : circuit.module;
    auto& list = known->listeners;
    if (std::find(list.begin(), list.end(), listener) == list.end()) list.push_back(listener);
  }
  return all;
}

void compare_shared(Findings& findings, const Pair& pair, const std::vector<SharedCircuit>& shared) {
  if (pair.donor.pins.empty()) return;
  for (const SharedUse& circuit : shared_uses(pair, shared)) {
    const std::string found = circuit.ours == nullptr ? circuit.signal : circuit.ours->signal;
    std::string who;
    for (const std::string& listener : circuit.listeners) who += (who.empty() ? "" : ", ") + listener;
    who += circuit.listeners.size() == 1 ? " uses this circuit too" : " use this circuit too";
    if (circuit.theirs == nullptr) {
      findings.add("shared circuit", found, "", TagWeight::attention,
                   who +
                       ", and no pin of the donor goes by this function: "
                       "find out which of them feeds it before it is taken away.");
    } else {
      findings.add("shared circuit", found, circuit.theirs->signal, TagWeight::note,
                   who + ": check that level and pulses suit both.");
    }
  }
}

}  // namespace

std::vector<TagFinding> compare_tags(const Module& found, const Module& donor, const Vehicle& vehicle,
                                     const std::vector<SharedCircuit>& shared) {
  const Pair pair{found,
                  donor,
                  vehicle,
                  or_else(found.tags.years, vehicle.years),
                  or_else(found.tags.market, vehicle.market),
                  or_else(vehicle.transmission, found.tags.transmission),
                  or_else(found.tags.diagnostics, vehicle.diagnostics)};
  Findings findings;
  compare_diagnostics(findings, pair);
  compare_gearboxes(findings, pair);
  compare_generations(findings, pair);
  compare_boards(findings, pair);
  compare_years(findings, pair);
  compare_markets(findings, pair);
  compare_shared(findings, pair, shared);
  return findings.take();
}

}  // namespace loomgraft
