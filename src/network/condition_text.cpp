#include "network/condition_text.h"

#include <algorithm>
#include <array>

#include "loom/end_id.h"
#include "text/number.h"

namespace loomgraft {
namespace {

constexpr std::array<std::pair<const char*, KeyPosition>, 3> keys{
    {{"off", KeyPosition::off}, {"on", KeyPosition::on}, {"crank", KeyPosition::crank}}};

Problem bad_condition(const std::string& part) {
  return {Severity::error,
          "bad-condition",
          {},
          "The condition \"" + part + "\" says nothing.",
          "Name a condition of the document, or one of off, on, crank, or give facts: key=on,supply=12.6,"
          "work=S1,drive=C1:4,unplug=C2,remove=F3,ambient=40,battery=off."};
}

std::optional<KeyPosition> key_of(const std::string& word) {
  for (const auto& [name, position] : keys) {
    if (word == name) return position;
  }
  return std::nullopt;
}

std::optional<CavityRef> cavity_of(const std::string& text) {
  const WireEnd place = end_from(text);
  if (place.at.empty() || place.cavity.empty()) return std::nullopt;
  return CavityRef{place.at, place.cavity};
}

// False if the fact cannot be read.
bool add_fact(Condition& condition, const std::string& name, const std::string& value) {
  if (value.empty()) return false;
  if (name == "work") condition.worked.push_back(value);
  if (name == "unplug") condition.unplugged.push_back(value);
  if (name == "remove") condition.removed.push_back(value);
  if (name == "work" || name == "unplug" || name == "remove") return true;
  if (name == "drive") {
    const auto at = cavity_of(value);
    if (at) condition.driven.push_back(*at);
    return at.has_value();
  }
  if (name == "key") {
    const auto key = key_of(value);
    if (key) condition.key = *key;
    return key.has_value();
  }
  if (name == "battery") {
    condition.battery_off = value == "off";
    return value == "off" || value == "on";
  }
  const auto number = read_number(value, DecimalMark::point);
  if (!number) return false;
  if (name == "supply") condition.supply = Volts{number->value};
  if (name == "ambient") condition.ambient = Celsius{number->value};
  return name == "supply" || name == "ambient";
}

}  // namespace

std::optional<Corner> corner_of(const std::string& word) {
  if (word == "nominal") return Corner::nominal;
  if (word == "weakest") return Corner::weakest;
  if (word == "strongest") return Corner::strongest;
  return std::nullopt;
}

tl::expected<Condition, Problem> condition_of(const Graft& graft, const std::string& text) {
  const auto named = std::find_if(graft.conditions.begin(), graft.conditions.end(),
                                  [&](const Condition& condition) { return condition.name == text; });
  if (named != graft.conditions.end()) return *named;
  Condition condition;
  condition.name = text;
  if (const auto key = key_of(text)) {
    condition.key = *key;
    return condition;
  }
  for (std::size_t at = 0; at <= text.size();) {
    const std::size_t end = std::min(text.find(',', at), text.size());
    const std::string part = text.substr(at, end - at);
    at = end + 1;
    const std::size_t equals = part.find('=');
    if (equals == std::string::npos || !add_fact(condition, part.substr(0, equals), part.substr(equals + 1)))
      return tl::unexpected(bad_condition(part));
  }
  return condition;
}

}  // namespace loomgraft
