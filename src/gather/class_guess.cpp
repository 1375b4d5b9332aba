#include "gather/class_guess.h"

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include "standards/data_table.h"
#include "text/signal.h"

namespace loomgraft::gather {
namespace {

// A dictionary of the phrases of one scope: the term holds "firm", "loose", "in" or "out", the hint the
// class.
TermDictionary load(std::string_view scope) {
  std::vector<TermPhrase> phrases;
  const DataTable table("class_words.csv");
  const std::size_t scope_column = table.column("scope");
  const std::size_t phrase = table.column("phrase");
  const std::size_t strength = table.column("strength");
  const std::size_t pin_class = table.column("class");
  for (std::size_t row = 0; row < table.rows(); ++row) {
    if (table.at(row, scope_column) != scope) continue;
    phrases.push_back({table.at(row, phrase), table.at(row, strength), "", table.at(row, pin_class)});
  }
  return TermDictionary(phrases);
}

struct ClassClue {
  PinClass pin_class = PinClass::unknown;
  bool firm = false;
};

ClassClue clue_in(const TermDictionary& words, std::string_view text) {
  if (text.empty()) return {};
  const SignalName name = words.normalise(text);
  if (name.class_hint.empty()) return {};
  return {pin_class_of(name.class_hint).value_or(PinClass::unknown), name.term == "firm"};
}

enum class Flow { unknown, in, out };

Flow flow_of(std::string_view direction) {
  static const TermDictionary words = load("direction");
  if (direction.empty()) return Flow::unknown;
  const SignalName name = words.normalise(direction);
  if (!name.words.empty()) return Flow::unknown;  // both ways
  if (name.term == "in") return Flow::in;
  return name.term == "out" ? Flow::out : Flow::unknown;
}

// Classes between which a loose word does not choose.
bool same_family(PinClass a, PinClass b) {
  static const std::vector<std::vector<PinClass>> families{
      {PinClass::power_earth, PinClass::sensor_earth, PinClass::shield},
      {PinClass::supply_30, PinClass::supply_15, PinClass::supply_output, PinClass::reference_5v},
      {PinClass::voltage_input, PinClass::thermistor_input, PinClass::oxygen_sensor, PinClass::knock,
       PinClass::digital_sensor_input, PinClass::variable_reluctance, PinClass::switch_to_earth_input,
       PinClass::switch_to_supply_input},
      {PinClass::low_side_driver, PinClass::high_side_driver, PinClass::push_pull, PinClass::injector,
       PinClass::ignition_trigger, PinClass::supply_output},
      {PinClass::can_high, PinClass::can_low}};
  const auto holds = [](const std::vector<PinClass>& family, PinClass c) {
    return std::find(family.begin(), family.end(), c) != family.end();
  };
  return std::any_of(families.begin(), families.end(),
                     [&](const auto& family) { return holds(family, a) && holds(family, b); });
}

bool is_plain_driver(PinClass c) {
  return c == PinClass::low_side_driver || c == PinClass::high_side_driver;
}

bool is_plain_input(PinClass c) {
  return c == PinClass::switch_to_earth_input || c == PinClass::switch_to_supply_input ||
         c == PinClass::voltage_input;
}

// Remarks only decide what the name leaves open.
PinClass refined_by_note(PinClass from_name, PinClass from_note) {
  if (from_note == PinClass::unknown || from_note == PinClass::no_connection) return from_name;
  if (from_name == PinClass::unknown) return from_note;
  const bool both_driven = is_plain_driver(from_name) && is_plain_driver(from_note);
  const bool switch_kind =
      from_note == PinClass::switch_to_earth_input || from_note == PinClass::switch_to_supply_input;
  const bool both_switched = switch_kind && (from_name == PinClass::switch_to_earth_input ||
                                             from_name == PinClass::switch_to_supply_input);
  return both_driven || both_switched ? from_note : from_name;
}

PinClass with_flow(PinClass from_name, Flow flow, PinClass from_note) {
  if (flow == Flow::out) {
    const bool driven = is_plain_driver(from_note) || from_note == PinClass::push_pull;
    if (driven && (is_plain_input(from_name) || from_name == PinClass::digital_sensor_input))
      return from_note;
    if (from_name == PinClass::supply_30 || from_name == PinClass::supply_15) return PinClass::supply_output;
    if (is_plain_input(from_name)) return PinClass::low_side_driver;
  }
  if (flow == Flow::in) {
    if (from_name == PinClass::supply_output) return PinClass::supply_15;
    if (is_plain_driver(from_name)) return PinClass::switch_to_earth_input;
  }
  return from_name;
}

}  // namespace

PinClass guess_class(const ClassClues& clues) {
  static const TermDictionary types = load("type");
  static const TermDictionary directions = load("direction");
  const PinClass from_name = pin_class_of(clues.hint).value_or(PinClass::unknown);
  const ClassClue type = clue_in(types, clues.type);
  if (type.pin_class != PinClass::unknown) {
    if (type.firm || from_name == PinClass::unknown) return type.pin_class;
    return same_family(type.pin_class, from_name) ? from_name : type.pin_class;
  }
  const ClassClue direction = clue_in(directions, clues.direction);
  if (direction.pin_class != PinClass::unknown && !same_family(direction.pin_class, from_name)) {
    return direction.pin_class;
  }
  static const TermDictionary notes = load("note");
  const PinClass note = clue_in(notes, clues.note).pin_class;
  return with_flow(refined_by_note(from_name, note), flow_of(clues.direction), note);
}

}  // namespace loomgraft::gather
