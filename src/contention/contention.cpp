#include "contention/contention.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <atomic>
#include <cmath>
#include <memory>
#include <vector>

#include "contention/pair.h"
#include "contention/qualifiers.h"
#include "contention/text.h"
#include "standards/dictionary.h"
#include "standards/supply.h"
#include "units/print.h"

namespace loomgraft {

using namespace contention;
namespace {

constexpr std::size_t class_count = pin_class_names.size();

struct Pairing {
  PinClass loom = PinClass::unknown;
  PinClass pin = PinClass::unknown;
  SystemVolts system = SystemVolts::nominal_12;
  bool two_circuits = false;
  int load = -1;  // by its name

  bool assumed() const { return loom == PinClass::unknown || pin == PinClass::unknown; }
  bool same_class() const { return loom == pin && !assumed(); }
  bool matched() const { return same_class() && !two_circuits; }
  // One feed or earth is as good as another.
  bool serves_alike() const {
    if (!same_class()) return false;
    const PinKind kind = corner_model(pin, PinSide::module, system).ratings.kind;
    return kind == PinKind::feed_in || kind == PinKind::earth;
  }
};

// What an unknown side could be is a guess: it may forbid plugging in, but it is never graded as fire.
void mark_assumed(Contention& result) {
  result.assumed = true;
  result.grade = std::min(result.grade, Grade::damage);
  result.reason = "Assumed, as a class is unknown: " + result.reason;
}

// The answer for a pair, and apart from it what works or reads unasked.
struct Outcome {
  Contention worst;
  std::optional<Contention> operated, misread, disturbed;
};

Outcome solve_models(const Pairing& pairing, const CornerModel& loom, const CornerModel& pin) {
  const Findings found = worst_of_models(loom, pin, pairing.system, !pairing.matched());
  const auto described = [&](const Finding& finding) {
    Contention result = describe(finding, loom.ratings, pin.ratings, pairing.matched());
    if (pairing.assumed()) mark_assumed(result);
    return result;
  };
  Outcome outcome{described(found.worst), {}, {}, {}};
  if (found.operated) outcome.operated = described(*found.operated);
  if (found.misread) outcome.misread = described(*found.misread);
  if (found.disturbed) outcome.disturbed = described(*found.disturbed);
  return outcome;
}

CornerModel model_of_loom(const Pairing& pairing) {
  const CornerModel& model = corner_model(pairing.loom, PinSide::loom, pairing.system);
  const bool named = pairing.load >= 0 && model.ratings.kind == PinKind::load &&
                     pairing.loom != PinClass::unknown && !pairing.matched();
  if (named) return load_model(pairing.loom, pairing.load, pairing.system);
  if (!pairing.matched()) return model;
  // A pin made for such a load stands its inrush.
  CornerModel own = model;
  std::erase_if(own.states, &CornerState::inrush);
  return own;
}

// Outcomes by pair of classes, each solved when it is first asked for. Threads that ask for the same one at once
// solve it twice and keep the first.
class OutcomeTable {
 public:
  explicit OutcomeTable(SystemVolts system)
      : system_(system), cells_(class_count * class_count * (2 + static_cast<std::size_t>(load_count()))) {}
  OutcomeTable(const OutcomeTable&) = delete;
  OutcomeTable& operator=(const OutcomeTable&) = delete;
  ~OutcomeTable() {
    for (const auto& cell : cells_) delete cell.load();
  }

  const Outcome& at(Pairing pairing) {
    pairing.system = system_;
    std::atomic<const Outcome*>& cell = cells_[place_of(pairing)];
    if (const Outcome* known = cell.load(std::memory_order_acquire)) return *known;
    auto fresh = std::make_unique<const Outcome>(
        solve_models(pairing, model_of_loom(pairing), corner_model(pairing.pin, PinSide::module, system_)));
    const Outcome* expected = nullptr;
    if (cell.compare_exchange_strong(expected, fresh.get())) return *fresh.release();
    return *expected;
  }

 private:
  static std::size_t place_of(const Pairing& pairing) {
    const std::size_t pair =
        static_cast<std::size_t>(pairing.loom) * class_count + static_cast<std::size_t>(pairing.pin);
    const bool two = pairing.two_circuits && pairing.same_class();
    const std::size_t variant =
        pairing.load >= 0 ? 2 + static_cast<std::size_t>(pairing.load) : (two ? 1U : 0U);
    return variant * class_count * class_count + pair;
  }

  SystemVolts system_;
  std::vector<std::atomic<const Outcome*>> cells_;
};

OutcomeTable& table_of(SystemVolts system) {
  if (system == SystemVolts::nominal_24) {
    static OutcomeTable table(SystemVolts::nominal_24);
    return table;
  }
  static OutcomeTable table(SystemVolts::nominal_12);
  return table;
}

// Grades of the classes alone, all of them: ranking asks for millions.
using Grades = std::array<Grade, class_count * class_count>;

Grades all_grades(SystemVolts system) {
  Grades grades{};
  for (std::size_t cell = 0; cell < grades.size(); ++cell) {
    const Pairing pairing{static_cast<PinClass>(cell / class_count),
                          static_cast<PinClass>(cell % class_count), system};
    grades[cell] = table_of(system).at(pairing).worst.grade;
  }
  return grades;
}

bool positive(const std::optional<Amperes>& current) {
  return current && current->si > 0.0;
}

CornerModel with_limits(const PinLimits& limits, CornerModel model) {
  if (positive(limits.current)) model.ratings.allowed = limits.current;
  if (limits.voltage && limits.voltage->si > 0.0) model.ratings.highest = limits.voltage;
  if (limits.clamp_energy && limits.clamp_energy->si >= 0.0) {
    model.ratings.clamp_energy = limits.clamp_energy;
  }
  return model;
}

// A load made for a pin of a given current draws no more than that, once it has started.
void limit_load(CornerModel& model, const PinLimits& limits, SystemVolts system) {
  if (!positive(limits.current) || model.ratings.kind != PinKind::load) return;
  const Ohms smallest = supply_volts(system) / *limits.current;
  for (CornerState& corner : model.states) {
    if (corner.inrush) continue;
    corner.state.lowest = std::max(corner.state.lowest, smallest);
    corner.state.highest = std::max(corner.state.lowest, corner.state.highest);
  }
}

struct WireSize {
  SquareMetres area;
  Amperes carries;
};

// The smallest usual wire that a fuse protects; the largest of the table where none does.
WireSize wire_for(Amperes fuse) {
  constexpr std::array<std::pair<const char*, double>, 11> sizes{{{"wire_0.5_current", 0.5},
                                                                  {"wire_0.75_current", 0.75},
                                                                  {"wire_1_current", 1.0},
                                                                  {"wire_1.5_current", 1.5},
                                                                  {"wire_2_current", 2.0},
                                                                  {"wire_2.5_current", 2.5},
                                                                  {"wire_3_current", 3.0},
                                                                  {"wire_4_current", 4.0},
                                                                  {"wire_6_current", 6.0},
                                                                  {"wire_8.5_current", 8.5},
                                                                  {"wire_10_current", 10.0}}};
  WireSize size;
  for (const auto& [rule, area] : sizes) {
    size = {square_millimetres(area), Amperes{contention_rule(rule, SystemVolts::nominal_12)}};
    if (size.carries >= fuse) break;
  }
  return size;
}

// The fuse that the wire's text states takes the place of the usual one.
void apply_fuse(CornerModel& model, const StatedFuse& fuse) {
  PinRatings& ratings = model.ratings;
  const bool feed = ratings.kind == PinKind::feed;
  if (!feed && !ratings.fuse) return;
  if (feed && ratings.allowed == ratings.fuse) ratings.allowed = fuse.rating;
  ratings.fuse = fuse.rating;
  if (feed && !fuse.name.empty()) ratings.text += " behind fuse " + fuse.name;
  const WireSize wire = wire_for(fuse.rating);
  if (!feed || wire.carries <= ratings.wire_current) return;
  ratings.wire = wire.area;
  ratings.wire_current = wire.carries;
}

bool has_limits(const PinLimits& limits) {
  return limits.current || limits.voltage || limits.clamp_energy;
}

// Of the table, or solved into `own` where a side has figures of its own.
const Outcome& outcome_of(const MeetingSide& loom_side, const MeetingSide& pin, const Pairing& pairing,
                          Outcome& own) {
  if (!has_limits(pin.limits) && !has_limits(loom_side.limits) && !loom_side.fuse)
    return table_of(pairing.system).at(pairing);
  CornerModel loom = model_of_loom(pairing);
  limit_load(loom, loom_side.limits, pairing.system);
  if (loom_side.fuse) apply_fuse(loom, *loom_side.fuse);
  own = solve_models(pairing, loom,
                     with_limits(pin.limits, corner_model(pairing.pin, PinSide::module, pairing.system)));
  return own;
}

// Two circuits by the words that tell them apart: their terms, or as their sources word them.
struct Names {
  std::string loom, pin;
  bool known() const { return !loom.empty() && !pin.empty(); }
};

Names names_of(const MeetingSide& loom, const MeetingSide& pin) {
  const bool by_term = !loom.term.empty() && !pin.term.empty() && loom.term != pin.term;
  return by_term ? Names{loom.term, pin.term} : Names{loom.signal, pin.signal};
}

// Electrically a match, but it would read or drive something else.
void check_function(Contention& result, const MeetingSide& loom, const MeetingSide& pin, PinKind kind,
                    const Outcome& outcome) {
  const bool carries_signal = kind == PinKind::input || kind == PinKind::output || kind == PinKind::bus;
  const bool only_misread =
      result.grade == Grade::false_signal && (outcome.misread || outcome.disturbed) && !outcome.operated;
  if (!carries_signal || !(result.grade == Grade::harmless || only_misread)) return;
  const Names names = names_of(loom, pin);
  if (!names.known() || (names.loom == names.pin && result.grade != Grade::harmless)) return;
  result.grade = Grade::false_signal;
  result.reason =
      fmt::format("The wire suits the pin electrically, but it carries {} where the donor expects {}.",
                  names.loom, names.pin);
}

// Pulses are read by more than one controller: a driver on their wire corrupts them for the others.
void check_pulses(Contention& result, const MeetingSide& loom, const MeetingSide& pin, PinKind kind) {
  if (result.grade != Grade::harmless || kind != PinKind::output) return;
  const Names names = names_of(loom, pin);
  if (!names.known() || names.loom == names.pin) return;
  result.grade = Grade::false_signal;
  result.reason = fmt::format(
      "The donor drives {} on the wire that carries the pulses of {}: other modules that read them are "
      "misled.",
      names.pin, names.loom);
}

// Something that works or is read unasked, and the harm that comes of it.
struct Harm {
  const Contention* contention = nullptr;
  const Consequence* consequence = nullptr;
  const std::string* signal = nullptr;
};

Harm worst_harm(const Outcome& outcome, const MeetingSide& loom, const MeetingSide& pin) {
  const PinKind loom_kind = corner_model(loom.pin_class, PinSide::loom, SystemVolts::nominal_12).ratings.kind;
  const PinKind pin_kind = corner_model(pin.pin_class, PinSide::module, SystemVolts::nominal_12).ratings.kind;
  Harm worst;
  const auto consider = [&](const std::optional<Contention>& contention, const MeetingSide& side) {
    const Consequence* consequence = side.consequences.worked;
    if (!contention || !consequence) return;
    if (worst.consequence && consequence->worked <= worst.consequence->worked) return;
    worst = {&*contention, consequence, &side.signal};
  };
  consider(outcome.operated, loom);
  if (pin_kind == PinKind::input) consider(outcome.misread, pin);
  if (loom_kind == PinKind::bus) consider(outcome.disturbed, loom);
  return worst;
}

void add_harm(Contention& result, const Harm& harm) {
  if (!harm.consequence) return;
  const Grade grade = grade_of(harm.consequence->worked);
  const std::string may = harm.signal->empty()
                              ? fmt::format("The circuit {}.", harm.consequence->may)
                              : fmt::format("\"{}\" {}.", *harm.signal, harm.consequence->may);
  // What breaks keeps its figures; else those of what works unasked count.
  if (grade > result.grade && result.grade < Grade::damage) result = *harm.contention;
  if (grade >= result.grade) {
    result.grade = grade;
    result.reason = may + " " + result.reason;
  } else {
    result.reason += " Besides, " + may;
  }
  result.consequence = harm.consequence;
}

// Two pins of one circuit: where one class is not known it is taken for the other.
void share_class(Pairing& pairing) {
  if (pairing.loom == PinClass::unknown) pairing.loom = pairing.pin;
  if (pairing.pin == PinClass::unknown) pairing.pin = pairing.loom;
}

// One circuit whose kind nobody states: only stated limits can be held against each other.
Contention one_unknown_circuit(const MeetingSide& loom, const MeetingSide& pin) {
  Contention result;
  result.assumed = true;
  result.reason = "The same circuit on both sides.";
  if (!positive(loom.limits.current) || !positive(pin.limits.current)) return result;
  result.current = *loom.limits.current;
  if (*loom.limits.current <= *pin.limits.current) return result;
  result.grade = Grade::damage;
  result.limit = "donor pin " + print(*pin.limits.current);
  result.reason = fmt::format(
      "The same circuit on both sides, but the vehicle's pin is made for {} and the donor's for {}.",
      print(*loom.limits.current), print(*pin.limits.current));
  return result;
}

CircuitConsequences consequences_of_pin(const Pin& pin) {
  const std::vector<std::string_view> texts{pin.signal, pin.far_end, pin.note};
  const CircuitConsequences known = consequences_of(texts, pin.term);
  if (known.worked || known.lost || !pin.term.empty()) return known;
  return consequences_of(texts, term_dictionary().normalise(pin.signal).term);
}

MeetingSide side_of(const Pin& pin, bool nothing) {
  MeetingSide side;
  side.pin_class = nothing ? PinClass::no_connection : pin.pin_class;
  side.limits = pin.limits;
  side.signal = pin.signal + qualifiers_in(pin.note);
  side.term = pin.term;
  side.consequences = consequences_of_pin(pin);
  return side;
}

}  // namespace

Grade grade_of(HarmSeverity severity) {
  constexpr Grade grades[] = {Grade::harmless, Grade::false_signal, Grade::false_signal, Grade::damage,
                              Grade::injury};
  return grades[static_cast<int>(severity)];
}

MeetingSide loom_side_of(const Pin& loom_side) {
  MeetingSide side = side_of(loom_side, loom_side.populated == false);
  for (const std::string* text : {&loom_side.signal, &loom_side.note, &loom_side.far_end, &loom_side.bias}) {
    if (!side.fuse && !text->empty()) side.fuse = stated_fuse(*text);
  }
  for (const std::string* text : {&loom_side.signal, &loom_side.far_end}) {
    if (side.load < 0 && !text->empty()) side.load = named_load(*text);
  }
  return side;
}

MeetingSide donor_side_of(const Pin& pin) {
  return side_of(pin, pin.hardware == false);
}

Contention contend(const MeetingSide& loom_side, const MeetingSide& pin, const ContentionOptions& options,
                   Circuits circuits) {
  const bool other_term = !loom_side.term.empty() && !pin.term.empty() && loom_side.term != pin.term;
  if (circuits == Circuits::not_told && other_term) circuits = Circuits::two;
  Pairing pairing{loom_side.pin_class, pin.pin_class, system_of(options.supply), circuits == Circuits::two,
                  -1};
  if (pairing.serves_alike()) pairing.two_circuits = false;
  if (circuits == Circuits::one) share_class(pairing);
  if (circuits == Circuits::one && pairing.assumed()) return one_unknown_circuit(loom_side, pin);
  const PinKind loom_kind = corner_model(pairing.loom, PinSide::loom, pairing.system).ratings.kind;
  const bool load_counts = circuits != Circuits::not_told && loom_kind == PinKind::load &&
                           !pairing.matched() && pairing.loom != PinClass::unknown;
  if (load_counts) pairing.load = loom_side.load;
  Outcome own;
  const Outcome& outcome = outcome_of(loom_side, pin, pairing, own);
  Contention result = outcome.worst;
  const PinKind kind = corner_model(pairing.pin, PinSide::module, pairing.system).ratings.kind;
  if (circuits == Circuits::one) {
    if (result.grade == Grade::harmless) result.reason = "The same circuit on both sides.";
    return result;
  }
  if (pairing.same_class() && pairing.two_circuits) check_function(result, loom_side, pin, kind, outcome);
  if (pairing.loom == PinClass::digital_sensor_input && !pairing.same_class())
    check_pulses(result, loom_side, pin, kind);
  add_harm(result, worst_harm(outcome, loom_side, pin));
  return result;
}

Contention contend(const Pin& loom_side, const Pin& pin, const ContentionOptions& options,
                   Circuits circuits) {
  return contend(loom_side_of(loom_side), donor_side_of(pin), options, circuits);
}

Grade class_grade(PinClass loom, PinClass pin, Volts supply) {
  static const std::array<Grades, 2> grades{all_grades(SystemVolts::nominal_12),
                                            all_grades(SystemVolts::nominal_24)};
  return grades[static_cast<std::size_t>(system_of(supply))]
               [static_cast<std::size_t>(loom) * class_count + static_cast<std::size_t>(pin)];
}

}  // namespace loomgraft
