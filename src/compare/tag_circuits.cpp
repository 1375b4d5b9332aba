#include "compare/tag_circuits.h"

#include <algorithm>
#include <set>

#include "standards/data_table.h"
#include "standards/dictionary.h"
#include "text/signal_words.h"

namespace loomgraft::compare {
namespace {

struct GearboxTerm {
  std::string term;                    // a dictionary term, or empty
  std::string phrase;                  // words in a signal's name, lower case
  Gearbox gearbox = Gearbox::unknown;  // unknown: either kind has it
};

std::vector<GearboxTerm> load() {
  std::vector<GearboxTerm> terms;
  const DataTable table("gearbox_terms.csv");
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const auto field = [&](std::string_view column) { return table.at(row, table.column(column)); };
    terms.push_back({field("term"), field("phrase"), read_gearbox(field("gearbox"))});
  }
  return terms;
}

const std::vector<GearboxTerm>& gearbox_terms() {
  static const std::vector<GearboxTerm> terms = load();
  return terms;
}

bool belongs_to(const Pin& pin, Gearbox gearbox) {
  const std::string signal = lower_case(pin.signal);
  return std::any_of(gearbox_terms().begin(), gearbox_terms().end(), [&](const GearboxTerm& term) {
    if (term.gearbox != gearbox && term.gearbox != Gearbox::unknown) return false;
    if (!term.term.empty() && term.term == pin.term) return true;
    return signal.find(term.phrase) != std::string::npos;
  });
}

bool is_nothing(const Pin& pin) {
  return pin.pin_class == PinClass::no_connection || pin.signal.empty();
}

// Terms for a kind of wire, not for one circuit: two pins of such a term are not one circuit.
bool names_one_function(const Pin& pin) {
  switch (pin.pin_class) {
    case PinClass::supply_30:
    case PinClass::supply_15:
    case PinClass::supply_output:
    case PinClass::power_earth:
    case PinClass::sensor_earth:
    case PinClass::reference_5v:
    case PinClass::shield:
      return false;
    default:
      return !pin.term.empty();
  }
}

}  // namespace

Gearbox read_gearbox(std::string_view text) {
  const std::string word = lower_case(text);
  const auto has = [&](std::string_view part) { return word.find(part) != std::string::npos; };
  if (has("automat") || has("auto") || has("cvt") || has("robot") || has("dual clutch"))
    return Gearbox::automatic;
  return has("manual") || has("stick") ? Gearbox::manual : Gearbox::unknown;
}

GearboxCircuits gearbox_circuits(const Module& module, const Module& other, Gearbox gearbox) {
  GearboxCircuits circuits;
  std::set<std::string> seen;
  for (const Pin& pin : module.pins) {
    if (is_nothing(pin) || !belongs_to(pin, gearbox) || !seen.insert(lower_case(pin.signal)).second) continue;
    circuits.concerned.push_back(pin.signal);
    if (find_same(other, pin) == nullptr) circuits.missing.push_back(pin.signal);
  }
  return circuits;
}

const Pin* find_circuit(const Module& module, std::string_view name) {
  const std::string wanted = lower_case(name);
  const Pin* by_term = nullptr;
  const SignalName normal = term_dictionary().normalise(name);
  for (const Pin& pin : module.pins) {
    if (is_nothing(pin)) continue;
    if (lower_case(pin.signal) == wanted) return &pin;
    const bool same_term = !pin.term.empty() && (lower_case(pin.term) == wanted || pin.term == normal.term);
    if (by_term == nullptr && same_term) by_term = &pin;
  }
  return by_term;
}

const Pin* find_same(const Module& module, const Pin& pin) {
  const std::string wanted = lower_case(pin.signal);
  const Pin* by_term = nullptr;
  for (const Pin& candidate : module.pins) {
    if (is_nothing(candidate)) continue;
    if (lower_case(candidate.signal) == wanted) return &candidate;
    if (by_term == nullptr && names_one_function(pin) && candidate.term == pin.term) by_term = &candidate;
  }
  return by_term;
}

}  // namespace loomgraft::compare
