#include "gather/class_guess.h"

#include <fmt/format.h>

#include <algorithm>
#include <initializer_list>
#include <string>
#include <utility>
#include <vector>

#include "base/ascii.h"
#include "standards/data_table.h"
#include "standards/dictionary.h"
#include "text/signal.h"
#include "text/signal_words.h"

namespace loomgraft::gather {
namespace {

constexpr std::size_t kLongestGrounds = 60;

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
  bool known() const { return pin_class != PinClass::unknown; }
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

bool is_one_of(PinClass c, std::initializer_list<PinClass> classes) {
  return std::find(classes.begin(), classes.end(), c) != classes.end();
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
  return is_one_of(c, {PinClass::low_side_driver, PinClass::high_side_driver});
}

bool is_driver(PinClass c) {
  return is_plain_driver(c) || is_one_of(c, {PinClass::push_pull, PinClass::injector});
}

bool is_switch_input(PinClass c) {
  return is_one_of(c, {PinClass::switch_to_earth_input, PinClass::switch_to_supply_input});
}

bool is_plain_input(PinClass c) {
  return is_switch_input(c) || c == PinClass::voltage_input;
}

bool is_input(PinClass c) {
  return is_plain_input(c) ||
         is_one_of(c, {PinClass::digital_sensor_input, PinClass::thermistor_input, PinClass::oxygen_sensor,
                       PinClass::knock, PinClass::variable_reluctance});
}

bool is_supply(PinClass c) {
  return is_one_of(c, {PinClass::supply_30, PinClass::supply_15, PinClass::reference_5v});
}

// A name that says what the pin is, against a type that cannot be meant so.
bool name_outranks(PinClass name, const ClassClue& type, std::string_view signal) {
  if (is_one_of(name, {PinClass::can_high, PinClass::can_low}))
    return !is_one_of(type.pin_class,
                      {PinClass::can_high, PinClass::can_low, PinClass::no_connection, PinClass::shield}) ||
           !type.firm;
  // A coil's or an injector's stage is given by its side as well.
  if (is_one_of(name, {PinClass::ignition_trigger, PinClass::injector})) return is_driver(type.pin_class);
  const bool earth = is_one_of(name, {PinClass::power_earth, PinClass::sensor_earth});
  const bool certain = signal.find('?') == std::string_view::npos;
  if (earth && !type.firm) return certain && !same_family(name, type.pin_class);
  const bool singular =
      is_one_of(name, {PinClass::push_pull, PinClass::knock, PinClass::shield, PinClass::serial_line});
  return singular && !type.firm;
}

// Remarks only decide what the name leaves open.
PinClass refined_by_note(PinClass from_name, PinClass from_note) {
  if (from_note == PinClass::unknown || from_note == PinClass::no_connection) return from_name;
  if (from_name == PinClass::unknown) return from_note;
  const bool both_driven =
      is_plain_driver(from_name) && (is_plain_driver(from_note) || from_note == PinClass::push_pull);
  const bool both_switched = is_switch_input(from_note) && is_switch_input(from_name);
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

// "AIN (5V)" without its volts: "AIN ()".
std::string without_volts(std::string_view text) {
  std::string result;
  for (std::size_t i = 0; i < text.size();) {
    std::size_t end = i;
    while (end < text.size() && (is_digit(text[end]) || (end > i && text[end] == '.'))) ++end;
    std::size_t unit = end;
    while (unit < text.size() && text[unit] == ' ') ++unit;
    const bool volts = end > i && unit < text.size() && lower(text[unit]) == 'v' &&
                       (unit + 1 == text.size() || !is_letter(text[unit + 1]));
    if (volts) {
      i = unit + 1;
    } else {
      const std::size_t next = std::max(end, i + 1);
      result += text.substr(i, next - i);
      i = next;
    }
  }
  return result;
}

ClassClue type_clue(std::string_view text) {
  static const TermDictionary types = load("type");
  const ClassClue whole = clue_in(types, text);
  if (whole.known() && !is_supply(whole.pin_class)) return whole;
  const ClassClue bare = clue_in(types, without_volts(text));
  const bool directed = bare.known() && !is_supply(bare.pin_class) && (bare.firm || is_input(bare.pin_class));
  return directed ? bare : whole;
}

PinClass note_clue(std::string_view text) {
  static const TermDictionary notes = load("note");
  return clue_in(notes, text).pin_class;
}

// A column "activation" says which way an output pulls, or where a switch leads.
PinClass with_activation(PinClass from_rest, std::string_view activation) {
  static const TermDictionary words = load("activation");
  const PinClass way = clue_in(words, activation).pin_class;
  if (way == PinClass::unknown) return from_rest;
  const bool earth = way == PinClass::low_side_driver;
  if (is_switch_input(from_rest))
    return earth ? PinClass::switch_to_earth_input : PinClass::switch_to_supply_input;
  return is_plain_driver(from_rest) || from_rest == PinClass::unknown ? way : from_rest;
}

std::string said(std::string_view what, std::string_view text) {
  return fmt::format("{} \"{}\"", what, text.substr(0, kLongestGrounds));
}

class Guesser {
 public:
  explicit Guesser(const ClassClues& clues) : clues_(clues) {
    static const TermDictionary directions = load("direction");
    name_ = pin_class_of(clues.hint).value_or(PinClass::unknown);
    type_ = type_clue(clues.type);
    if (!type_.firm) note_ = note_clue(clues.note);
    direction_ = clue_in(directions, clues.direction).pin_class;
  }

  ClassGuess run() {
    if (type_.known()) {
      by_type();
    } else if (direction_ != PinClass::unknown && !same_family(direction_, name_)) {
      take(direction_, said("direction", clues_.direction));
    } else {
      by_name();
    }
    by_activation();
    if (guess_.pin_class == PinClass::unknown) by_far_end();
    return std::move(guess_);
  }

 private:
  void take(PinClass c, std::string grounds) {
    if (c == PinClass::unknown) return;
    guess_.pin_class = c;
    guess_.grounds = std::move(grounds);
  }

  void by_type() {
    if (name_outranks(name_, type_, clues_.signal)) {
      take(name_, said("signal", clues_.signal));
      if (!same_family(name_, type_.pin_class)) contradict();
      return;
    }
    const std::string grounds = said("type", clues_.type);
    if (type_.firm || name_ == PinClass::unknown) {
      const bool split = type_.firm && name_ != PinClass::unknown && !same_family(name_, type_.pin_class);
      if (split && excludes(name_, type_.pin_class)) contradict();
      return take(refined(type_.pin_class), grounds);
    }
    if (same_family(type_.pin_class, name_))
      return take(refined(name_), grounds + ", " + said("signal", clues_.signal));
    if (excludes(name_, type_.pin_class)) contradict();
    take(refined(type_.pin_class), grounds);
  }

  // What the wording and the remarks say within the family of a loose type.
  PinClass refined(PinClass c) const {
    static const TermDictionary earths = load("earth");
    if (type_.firm) return c;
    if (c == PinClass::power_earth && clue_in(earths, clues_.signal).known()) return PinClass::sensor_earth;
    return refined_by_note(c, same_family(note_, c) ? note_ : PinClass::unknown);
  }

  // A feed where the name says earth, an output where it says sensor: one of the two is wrong.
  static bool excludes(PinClass name, PinClass type) {
    const auto side = [](PinClass c) {
      if (is_supply(c) || c == PinClass::supply_output) return 1;
      if (is_one_of(c, {PinClass::power_earth, PinClass::sensor_earth})) return 2;
      if (is_one_of(c, {PinClass::can_high, PinClass::can_low, PinClass::serial_line})) return 3;
      return 0;
    };
    return side(name) != 0 && side(type) != 0 && side(name) != side(type);
  }

  void contradict() {
    guess_.contradiction =
        fmt::format("the type \"{}\" and the signal \"{}\" do not go together",
                    clues_.type.substr(0, kLongestGrounds), clues_.signal.substr(0, kLongestGrounds));
  }

  void by_name() {
    const PinClass noted = refined_by_note(name_, note_);
    const PinClass result = with_flow(noted, flow_of(clues_.direction), note_);
    if (result == PinClass::unknown) return;
    std::string grounds = name_ == PinClass::unknown ? "" : said("signal", clues_.signal);
    if (noted != name_ || name_ == PinClass::unknown)
      grounds += (grounds.empty() ? "" : ", ") + said("remark", clues_.note);
    if (result != noted) grounds += ", " + said("direction", clues_.direction);
    take(result, std::move(grounds));
  }

  void by_activation() {
    if (clues_.activation.empty()) return;
    const PinClass result = with_activation(guess_.pin_class, clues_.activation);
    if (result == guess_.pin_class) return;
    take(result,
         guess_.grounds + (guess_.grounds.empty() ? "" : ", ") + said("activation", clues_.activation));
  }

  void by_far_end() {
    if (clues_.far_end.empty()) return;
    const SignalName name = term_dictionary().normalise(clues_.far_end);
    if (!name.absent)
      take(pin_class_of(name.class_hint).value_or(PinClass::unknown), said("goes to", clues_.far_end));
  }

  const ClassClues& clues_;
  PinClass name_ = PinClass::unknown;
  PinClass note_ = PinClass::unknown;
  ClassClue type_;
  PinClass direction_ = PinClass::unknown;
  ClassGuess guess_;
};

}  // namespace

ClassGuess guess_class(const ClassClues& clues) {
  return Guesser(clues).run();
}

}  // namespace loomgraft::gather
