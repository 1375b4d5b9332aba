// One assumption at a time is turned in a copy of three load cases, solved and turned back. A check is followed only where
// those load cases decide it: its value there must be the one of the report.
#include "design/assumption_outcomes.h"

#include <algorithm>
#include <cmath>
#include <set>
#include <utility>

#include "design/figures.h"
#include "standards/network_figures.h"
#include "units/print.h"

namespace loomgraft::design {
namespace {

constexpr double near_limit = 0.5;   // margin from which on nobody minds
constexpr double told_from = 0.005;  // change of a margin worth a word

// A check of the report and the circuit that it stands in.
struct Followed {
  const CircuitDesign* circuit = nullptr;
  const AlteredCircuit* altered = nullptr;
  const Check* check = nullptr;
};

struct Outcomes {
  const SizingRun& run;
  const LoomHeat& heat;
  const std::vector<CircuitDesign>& circuits;
  std::vector<Followed> followed{};
};

bool is_close(const Check& check) {
  return check.deciding || check.margin < near_limit;
}

std::vector<Followed> followed_checks(const SizingRun& run, const std::vector<CircuitDesign>& circuits) {
  std::vector<Followed> followed;
  for (const CircuitDesign& circuit : circuits) {
    const auto altered = std::ranges::find(run.loom->circuits, circuit.id, &AlteredCircuit::id);
    if (altered == run.loom->circuits.end()) continue;
    for (const Check& check : circuit.checks) {
      if (is_close(check)) followed.push_back({&circuit, &*altered, &check});
    }
  }
  return followed;
}

// ---- the outcome that counts
AssumedOtherwise outcome_of(const Followed& item, const Check& turned, std::string instead) {
  const Check& now = *item.check;
  return {std::move(instead), item.circuit->id, now.kind,   now.subject,   turned.value, turned.limit,
          now.unit,           now.at_most,      now.margin, turned.margin, now.passes,   turned.passes};
}

double weight_of(const AssumedOtherwise& outcome) {
  const double moved = std::min(std::abs(outcome.margin - outcome.margin_now), 10.0);
  if (outcome.passes_now && !outcome.passes) return 200.0 + moved;
  return outcome.passes_now != outcome.passes ? 100.0 + moved : moved;
}

void keep_weightiest(std::optional<AssumedOtherwise>& kept, AssumedOtherwise outcome) {
  const bool moves =
      outcome.passes != outcome.passes_now || std::abs(outcome.margin - outcome.margin_now) >= told_from;
  if (moves && (!kept || weight_of(outcome) > weight_of(*kept))) kept = std::move(outcome);
}

// A check with another value or limit.
Check with_figures(const Check& check, double value, double limit) {
  return make_check(check.kind, check.subject, "", {value, limit, "", check.at_most});
}

Check with_verdict(const Check& check, const Protection& verdict) {
  Check turned = with_figures(check, std::min(verdict.margin, 1000.0), check.limit);
  turned.passes = verdict.covered;
  if (!turned.passes) turned.margin = std::min(turned.margin, -0.01);
  return turned;
}

// ---- figures of the network
std::optional<Check> evaluated(const SizingRun& run, const Followed& item) {
  const std::string& id = item.check->subject.at.at;
  const Device* device = find_device(*run.graft, id);
  switch (item.check->kind) {
    case CheckKind::wire_drop:
      return wire_drop_check(run, id);
    case CheckKind::path_drop:
      return device ? path_drop_check(run, *device) : std::nullopt;
    case CheckKind::pull_in:
      return device ? pull_in_check(run, *device) : std::nullopt;
    case CheckKind::fuse_load:
      return device ? fuse_load_check(run, *device) : std::nullopt;
    case CheckKind::driver_current:
      return driver_current_check(run, *item.altered, item.check->subject.at);
    default:
      return std::nullopt;
  }
}

bool same(double a, double b) {
  return std::abs(a - b) <= 1e-9 * std::max(1.0, std::abs(a));
}

// The three load cases, and the same with every assumed figure at the other end.
struct Turning {
  SizingRun now;
  SizingRun turned;
  std::vector<Followed> followed;  // what these load cases decide
};

bool is_decisive(const LoadCase& load_case) {
  return load_case.kind == LoadCaseKind::everything_on || load_case.kind == LoadCaseKind::running;
}

bool can_be_turned(const SizingRun& now, const SizingRun& turned) {
  return std::ranges::equal(now.load_cases, turned.load_cases, [](const LoadCase& a, const LoadCase& b) {
    return a.kind == b.kind && a.corner == b.corner && are_alike(a.network, b.network);
  });
}

// The other ends are needed only for figures of the network.
std::optional<Turning> turning_of(const Outcomes& outcomes, bool with_network) {
  const SizingRun& run = outcomes.run;
  Turning turning{
      {run.graft, run.loom, run.rules, run.frame, run.planned, run.sizes, run.fuses, {}, {}, run.heat_plan},
      {},
      {}};
  for (const LoadCase& load_case : run.load_cases) {
    if (is_decisive(load_case)) turning.now.load_cases.push_back(load_case);
  }
  if (!std::ranges::all_of(turning.now.load_cases, &LoadCase::solved)) return std::nullopt;
  if (with_network) turning.turned = turned_run(run);
  if (with_network && !can_be_turned(turning.now, turning.turned)) return std::nullopt;
  for (const Followed& item : outcomes.followed) {
    const auto here = evaluated(turning.now, item);
    if (here && same(here->value, item.check->value) && same(here->limit, item.check->limit))
      turning.followed.push_back(item);
  }
  return turning;
}

void exchange(LoadCase& a, LoadCase& b, const NetworkBranch& branch) {
  Circuit& one = a.network.circuit;
  Circuit& other = b.network.circuit;
  switch (branch.list) {
    case ElementList::resistor:
      return std::swap(one.resistors[branch.index], other.resistors[branch.index]);
    case ElementList::source:
      return std::swap(one.sources[branch.index], other.sources[branch.index]);
    case ElementList::diode:
      return std::swap(one.diodes[branch.index], other.diodes[branch.index]);
  }
}

void exchange(Turning& turning, const std::string& subject) {
  for (std::size_t k = 0; k < turning.now.load_cases.size(); ++k) {
    LoadCase& load_case = turning.now.load_cases[k];
    const auto branches = load_case.index->branches.find(subject);
    if (branches == load_case.index->branches.end()) continue;
    for (const std::size_t branch : branches->second)
      exchange(load_case, turning.turned.load_cases[k], load_case.network.branches[branch]);
    load_case.stale = true;
  }
}

// What carries next to nothing moves nothing that is judged here.
bool carries(const SizingRun& run, const std::string& subject) {
  const double least = design_figure("outcome_from_a");
  return std::ranges::any_of(run.load_cases, [&](const LoadCase& load_case) {
    const auto branches = load_case.index->branches.find(subject);
    return is_decisive(load_case) && load_case.solved && branches != load_case.index->branches.end() &&
           std::ranges::any_of(branches->second, [&](std::size_t branch) {
             return std::abs(branch_current(load_case.network, load_case.solution, branch).si) > least;
           });
  });
}

std::optional<AssumedOtherwise> outcome_in(Turning& turning, const std::string& instead) {
  std::optional<AssumedOtherwise> kept;
  solve_all(turning.now);
  const bool solved = std::ranges::all_of(turning.now.load_cases, &LoadCase::solved);
  for (const Followed& item : turning.followed) {
    auto check = solved ? evaluated(turning.now, item) : std::nullopt;
    if (check) keep_weightiest(kept, outcome_of(item, *check, instead));
  }
  return kept;
}

struct Solutions {
  std::vector<NetworkSolution> of;
};

Solutions solutions_of(const Turning& turning) {
  Solutions solutions;
  for (const LoadCase& load_case : turning.now.load_cases) solutions.of.push_back(load_case.solution);
  return solutions;
}

void put_back(Turning& turning, const Solutions& solutions) {
  for (std::size_t k = 0; k < solutions.of.size(); ++k) {
    LoadCase& load_case = turning.now.load_cases[k];
    load_case.solution = solutions.of[k];
    load_case.solved = true;
    load_case.stale = false;
  }
}

std::optional<AssumedOtherwise> network_outcome(Turning& turning, const Solutions& solutions,
                                                const Assumption& item) {
  exchange(turning, item.subject);
  auto outcome = outcome_in(turning, "the other end of its spread");
  exchange(turning, item.subject);
  put_back(turning, solutions);
  return outcome;
}

// The lowest volts where the highest are taken, and the highest where the lowest are.
std::optional<AssumedOtherwise> supply_outcome(Turning& turning, const Solutions& solutions) {
  const Figure& working = network_figure("working_v", system_of(turning.now));
  std::vector<double> factors;
  for (LoadCase& load_case : turning.now.load_cases) {
    const bool low = load_case.corner == Corner::weakest && load_case.kind == LoadCaseKind::everything_on;
    factors.push_back(low ? working.high() / working.low() : working.low() / working.high());
  }
  const auto scale = [&](bool back) {
    for (std::size_t k = 0; k < factors.size(); ++k) {
      LoadCase& load_case = turning.now.load_cases[k];
      for (const NetworkBranch& branch : load_case.network.branches) {
        if (branch.kind != BranchKind::supply || branch.list != ElementList::source) continue;
        LimitedSource& source = load_case.network.circuit.sources[branch.index];
        source.voltage = source.voltage * (back ? 1.0 / factors[k] : factors[k]);
      }
      load_case.stale = true;
    }
  };
  scale(false);
  auto outcome = outcome_in(turning, "the other end of the interval");
  scale(true);
  put_back(turning, solutions);
  return outcome;
}

// ---- wires: insulation and air
struct WireSetting {
  const Insulation* insulation = nullptr;
  Celsius air;
};

struct WireOutcome {
  const Outcomes& all;
  const Wire& wire;
  const WireDesign* design = nullptr;
  WireSetting now;
  WireSetting turned;
};

double carried(const WireOutcome& item, const WireSetting& setting) {
  if (setting.air >= setting.insulation->highest) return 0.0;
  return steady_current(thermal_wire(item.all.run.sizes.at(item.wire.id), *setting.insulation),
                        setting.insulation->highest, {setting.air})
      .si;
}

std::optional<Check> protection_turned(const WireOutcome& item, const Check& check) {
  if (!item.design || !item.design->protection || check.unit != "times") return std::nullopt;
  const WireProtection& fuse = *item.design->protection;
  if (!same(std::min(fuse.verdict.margin, 1000.0), check.value)) return std::nullopt;
  if (item.turned.air >= item.turned.insulation->highest) return with_figures(check, 0.0, check.limit);
  ProtectionQuestion question = fuse.question;
  question.wire = thermal_wire(item.all.run.sizes.at(item.wire.id), *item.turned.insulation);
  question.limits = {item.turned.insulation->highest, item.turned.insulation->short_circuit};
  question.around.air = item.turned.air;
  constexpr double below = 0.1;  // K
  const double start = question.start.degrees + item.turned.air.degrees - item.now.air.degrees;
  question.start = {std::min(start, question.limits.life.degrees - below)};
  const Protection verdict = protection_of(*fuse.family, {fuse.rating.si / fuse.share}, question);
  return with_verdict(check, verdict);
}

// The rise of the conductor over its air stays about what it is.
Check heat_turned(const WireOutcome& item, const Check& check) {
  const double value = check.value + item.turned.air.degrees - item.now.air.degrees;
  const double highest = item.turned.insulation->highest.degrees;
  Check turned = with_figures(check, value, highest);
  const double allowed = highest - item.turned.air.degrees;
  turned.margin = allowed > 0.0 ? (highest - value) / allowed : -1.0;
  turned.passes = turned.margin >= 0.0;
  return turned;
}

std::optional<Check> wire_turned(const WireOutcome& item, const Check& check) {
  const double before = carried(item, item.now);
  const double share = before > 0.0 ? carried(item, item.turned) / before : 1.0;
  switch (check.kind) {
    case CheckKind::heat:
      return heat_turned(item, check);
    case CheckKind::protection:
      return protection_turned(item, check);
    case CheckKind::lead_current:
    case CheckKind::motor_wire:
      return with_figures(check, check.value * share, check.limit);
    case CheckKind::fuse_of_wire:
      return with_figures(check, check.value, check.limit * share);
    default:
      return std::nullopt;
  }
}

std::optional<AssumedOtherwise> wire_outcome(const Outcomes& all, const Assumption& assumption) {
  const Wire* wire = planned_wire(all.run, assumption.subject);
  const auto warm = all.heat.find(assumption.subject);
  if (!wire || warm == all.heat.end() || !all.run.sizes.contains(wire->id)) return std::nullopt;
  const WireSetting now{insulation_of(*wire).insulation, warm->second.air};
  WireSetting turned = now;
  std::string instead;
  if (assumption.quantity == "insulation") {
    turned.insulation = insulation("class A");
    instead = turned.insulation->name;
  } else {
    turned.air = {network_figure("engine_bay_c", system_of(all.run)).high()};
    instead = print(turned.air);
  }
  std::optional<AssumedOtherwise> kept;
  for (const Followed& item : all.followed) {
    if (item.check->subject != wire_subject(wire->id)) continue;
    const auto design = std::ranges::find(item.circuit->wires, wire->id, &WireDesign::wire);
    const WireOutcome outcome{all, *wire, design == item.circuit->wires.end() ? nullptr : &*design, now,
                              turned};
    if (auto check = wire_turned(outcome, *item.check))
      keep_weightiest(kept, outcome_of(item, *check, instead));
  }
  return kept;
}

// ---- fuses: air and family
std::optional<AssumedOtherwise> fuse_air_outcome(const Outcomes& all, const Assumption& assumption) {
  const Celsius hottest{network_figure("engine_bay_c", system_of(all.run)).high()};
  const Device* fuse = find_device(*all.run.graft, assumption.subject);
  if (!fuse) return std::nullopt;
  const double kept_now = kept_when_hot(air_at_device(*all.run.graft, *fuse));
  const double kept_then = kept_when_hot({hottest, true});
  std::optional<AssumedOtherwise> kept;
  for (const Followed& item : all.followed) {
    if (item.check->kind != CheckKind::fuse_load || item.check->subject != device_subject(fuse->id)) continue;
    Check check = with_figures(*item.check, item.check->value, item.check->limit * kept_then / kept_now);
    keep_weightiest(kept, outcome_of(item, check, print(hottest)));
  }
  return kept;
}

// Of the families that make the rating: the slowest at twice it, and the one that interrupts least.
struct OtherFamilies {
  const FuseFamily* slowest = nullptr;
  const FuseFamily* weakest = nullptr;
};

OtherFamilies other_families(const FusePart& part) {
  OtherFamilies others{part.family, part.family};
  const Amperes twice{2.0 * part.rating.si};
  for (const FuseFamily& family : fuse_families()) {
    const auto made = std::ranges::any_of(family.ratings, [&](const FuseRating& rating) {
      return std::abs(rating.rating.si - part.rating.si) < 1e-6;
    });
    if (!made) continue;
    if (longest_opening(family, part.rating, twice) > longest_opening(*others.slowest, part.rating, twice))
      others.slowest = &family;
    if (family.breaking && (!others.weakest->breaking || *family.breaking < *others.weakest->breaking))
      others.weakest = &family;
  }
  return others;
}

void keep_protection(const Followed& item, const std::string& fuse, const FuseFamily& family,
                     std::optional<AssumedOtherwise>& kept) {
  for (const WireDesign& wire : item.circuit->wires) {
    if (!wire.protection || wire.protection->fuse != fuse) continue;
    if (item.check->subject != wire_subject(wire.wire)) continue;
    const WireProtection& own = *wire.protection;
    if (!same(std::min(own.verdict.margin, 1000.0), item.check->value)) continue;
    const Protection verdict = protection_of(family, {own.rating.si / own.share}, own.question);
    keep_weightiest(kept, outcome_of(item, with_verdict(*item.check, verdict), family.name));
  }
}

std::optional<AssumedOtherwise> family_outcome(const Outcomes& all, const Assumption& assumption) {
  const Device* fuse = find_device(*all.run.graft, assumption.subject);
  if (!fuse) return std::nullopt;
  const FusePart part = fuse_part(all.run, *fuse);
  const OtherFamilies others = other_families(part);
  std::optional<AssumedOtherwise> kept;
  for (const Followed& item : all.followed) {
    const Check& check = *item.check;
    if (check.kind == CheckKind::fuse_breaking && check.subject == device_subject(fuse->id) &&
        others.weakest != part.family)
      keep_weightiest(kept, outcome_of(item, with_figures(check, check.value, others.weakest->breaking->si),
                                       others.weakest->name));
    if (check.kind == CheckKind::protection && others.slowest != part.family)
      keep_protection(item, fuse->id, *others.slowest, kept);
  }
  return kept;
}

// ---- the battery
// A short through all of the battery's resistance: what the rest of its way has is what is left of volts over current.
std::optional<AssumedOtherwise> battery_outcome(const Outcomes& all) {
  const SystemVolts system = system_of(all.run);
  const Figure& ohms = network_figure("battery_ohm", system);
  const double volts = network_figure("resting_v", system).high();
  std::optional<AssumedOtherwise> kept;
  for (const Followed& item : all.followed) {
    const Check& check = *item.check;
    if (check.kind != CheckKind::fuse_breaking || !(check.value > 0.0)) continue;
    const double current = volts / (volts / check.value + ohms.high() - ohms.low());
    keep_weightiest(kept,
                    outcome_of(item, with_figures(check, current, check.limit), print(Ohms{ohms.high()})));
  }
  return kept;
}

// Where the other end of an assumed figure comes from.
enum class OtherEnd { supply, wire, fuse_air, family, battery, network };

OtherEnd other_end_of(const SizingRun& run, const Assumption& item) {
  const Device* device = find_device(*run.graft, item.subject);
  if (item.quantity == "supply") return OtherEnd::supply;
  if (item.quantity == "insulation") return OtherEnd::wire;
  if (item.quantity == "air") return device ? OtherEnd::fuse_air : OtherEnd::wire;
  if (item.quantity == "family") return OtherEnd::family;
  const bool battery = device && device->kind == "battery";
  return battery && item.quantity == "resistance" ? OtherEnd::battery : OtherEnd::network;
}

bool turns_network(const SizingRun& run, const Assumption& item) {
  return other_end_of(run, item) == OtherEnd::network && carries(run, item.subject);
}

std::optional<AssumedOtherwise> outcome_of(const Outcomes& all, std::optional<Turning>& turning,
                                           const Solutions& solutions, const Assumption& item) {
  switch (other_end_of(all.run, item)) {
    case OtherEnd::supply:
      return turning ? supply_outcome(*turning, solutions) : std::nullopt;
    case OtherEnd::wire:
      return wire_outcome(all, item);
    case OtherEnd::fuse_air:
      return fuse_air_outcome(all, item);
    case OtherEnd::family:
      return family_outcome(all, item);
    case OtherEnd::battery:
      return battery_outcome(all);
    case OtherEnd::network:
      return turning && carries(all.run, item.subject) ? network_outcome(*turning, solutions, item)
                                                       : std::nullopt;
  }
  return std::nullopt;
}

}  // namespace

std::vector<DesignAssumption> with_outcomes(const SizingRun& run, const LoomHeat& heat,
                                            const std::vector<CircuitDesign>& circuits,
                                            const std::vector<Assumption>& assumptions) {
  const Outcomes all{run, heat, circuits, followed_checks(run, circuits)};
  const bool with_network =
      std::ranges::any_of(assumptions, [&](const Assumption& item) { return turns_network(run, item); });
  std::optional<Turning> turning = turning_of(all, with_network);
  const Solutions solutions = turning ? solutions_of(*turning) : Solutions{};
  std::vector<DesignAssumption> told;
  told.reserve(assumptions.size());
  for (const Assumption& item : assumptions)
    told.push_back({item, outcome_of(all, turning, solutions, item)});
  return told;
}

}  // namespace loomgraft::design
