#include "compare/pin_key.h"

#include <algorithm>

#include "base/ascii.h"
#include "contention/qualifiers.h"
#include "standards/dictionary.h"
#include "text/legend.h"

namespace loomgraft {
std::string canonical_cavity(std::string_view cavity) {
  std::string out;
  for (std::size_t i = 0; i < cavity.size(); ++i) {
    const bool starts_number = is_digit(cavity[i]) && (i == 0 || !is_digit(cavity[i - 1]));
    if (starts_number) {
      while (i + 1 < cavity.size() && cavity[i] == '0' && is_digit(cavity[i + 1])) ++i;
    }
    out += cavity[i];
  }
  return out;
}

std::string canonical_connector(std::string_view name) {
  std::string out;
  for (const char c : name) {
    const bool plain = is_digit(c) || is_letter(c) || static_cast<unsigned char>(c) >= 0x80;
    if (plain) out += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  }
  return out;
}

bool is_bus(PinClass pin_class) {
  return pin_class == PinClass::can_high || pin_class == PinClass::can_low ||
         pin_class == PinClass::serial_line;
}

std::string bus_network(const Module& module, const Pin& pin) {
  if (!is_bus(pin.pin_class)) return {};
  for (const std::string& line : module.legend) {
    const std::optional<LegendLine> legend = read_legend_line(line);
    if (legend && legend_is_meant(legend->name, pin.signal)) return network_in(legend->meaning);
  }
  return {};
}

KeyTable::KeyTable() : functions_(term_dictionary()) {}

std::uint32_t KeyTable::intern(const std::string& name) {
  if (name.empty()) return 0;
  return names_.emplace(name, static_cast<std::uint32_t>(names_.size() + 1)).first->second;
}

FunctionId KeyTable::function_of(const Pin& pin) {
  if (pin.note.empty() || pin.signal.empty()) return functions_.add(pin.signal);
  return functions_.add(pin.signal + qualifiers_in(pin.note));
}

PinKey KeyTable::pin_key(const Module& module, const Pin& pin, std::uint16_t connector) {
  PinKey key;
  key.function = function_of(pin);
  const FunctionId network = functions_.add(bus_network(module, pin));
  key.networked = network != 0;
  key.far_end = key.networked ? network : functions_.add(pin.far_end);
  key.cavity = intern("cavity " + canonical_cavity(pin.at.cavity));
  key.connector = connector;
  if (pin.colour.known()) {
    key.colour = static_cast<std::uint16_t>(intern("colour " + pin.colour.base + "/" + pin.colour.tracer));
  }
  key.pin_class = pin.pin_class;
  key.populated = pin.populated.value_or(true);
  key.hardware = pin.hardware.value_or(true);
  key.absent = pin.pin_class == PinClass::no_connection;
  if (key.absent) key.function = 0;
  return key;
}

ModuleKey KeyTable::key_of(const Module& module, const std::vector<Connector>& connectors) {
  ModuleKey key;
  for (const std::string& id : module.connectors) {
    const auto found =
        std::find_if(connectors.begin(), connectors.end(), [&](const Connector& c) { return c.id == id; });
    const std::string name = found == connectors.end() ? id : found->name;
    key.connectors.push_back({intern("connector " + canonical_connector(name))});
  }
  key.pins.reserve(module.pins.size());
  for (const Pin& pin : module.pins) {
    const auto place = std::find(module.connectors.begin(), module.connectors.end(), pin.at.connector);
    key.pins.push_back(pin_key(module, pin, static_cast<std::uint16_t>(place - module.connectors.begin())));
  }
  return key;
}

}  // namespace loomgraft
