#include <string>
#include <vector>

#include "base/ascii.h"
#include "network/pin_bias_internal.h"
#include "text/number.h"

namespace loomgraft::network {
namespace {

bool has(const std::string& text, std::string_view part) {
  return text.find(part) != std::string::npos;
}

// "pull-up", "pull up" and "pullup" are one word.
std::string with_joined_words(std::string_view text) {
  std::string result = lower(text);
  for (std::size_t at = result.find("pull"); at != std::string::npos; at = result.find("pull", at + 1)) {
    if (at + 4 < result.size() && (result[at + 4] == '-' || is_blank(result[at + 4])))
      result.erase(at + 4, 1);
  }
  return result;
}

Pull pull_in(const std::string& text) {
  if (trimmed(text) == "none" || has(text, "no pull") || has(text, "external pull")) return Pull::none;
  if (has(text, "pullup")) return Pull::up;
  return has(text, "pulldown") ? Pull::down : Pull::unstated;
}

// Ohms of one of the unit, or zero for a unit that is none of resistance.
double ohms_per(std::string_view unit) {
  for (const std::string_view end : {"ohms", "ohm", "\xCE\xA9", "\xE2\x84\xA6", "\xCF\x89", "r"}) {
    if (!unit.ends_with(end)) continue;
    unit.remove_suffix(end.size());
    if (unit.empty()) return 1.0;
    break;
  }
  if (unit == "k") return 1e3;
  return unit == "m" || unit == "meg" ? 1e6 : 0.0;
}

std::vector<std::string> tokens_of(const std::string& text) {
  std::vector<std::string> tokens;
  bool in_token = false;
  for (const char c : text) {
    const bool gap = is_blank(c) || c == ',' || c == ';' || c == '(' || c == ')' || c == '/';
    if (!gap && !in_token) tokens.emplace_back();
    if (!gap) tokens.back() += c;
    in_token = !gap;
  }
  return tokens;
}

}  // namespace

PinBias pin_bias(std::string_view text) {
  PinBias bias;
  const std::string joined = with_joined_words(text);
  bias.pull = pull_in(joined);
  const std::vector<std::string> tokens = tokens_of(joined);
  for (std::size_t k = 0; k < tokens.size(); ++k) {
    const auto number = read_number(tokens[k], DecimalMark::point);
    if (!number) continue;
    const bool apart = number->unit.empty() && k + 1 < tokens.size();
    const std::string& unit = apart ? tokens[k + 1] : number->unit;
    if (unit == "v" && !bias.supply) bias.supply = Volts{number->value};
    const double ohms = number->value * ohms_per(unit);
    if (ohms > 0.0 && !bias.resistance) bias.resistance = Ohms{ohms};
  }
  return bias;
}

}  // namespace loomgraft::network
