// Figures and lists of a report as JSON.
#pragma once

#include <cmath>
#include <nlohmann/json.hpp>

namespace loomgraft {

// Rounded to so many significant digits, fewer than any figure of a report means: short, and the same on
// every machine. Not-a-number and infinity are null.
inline nlohmann::ordered_json json_figure(double value, int digits) {
  if (!std::isfinite(value)) return {};
  if (value == 0.0) return 0.0;
  const double scale = std::pow(10.0, digits - 1.0 - std::floor(std::log10(std::abs(value))));
  return std::round(value * scale) / scale;
}

template <class List, class Write>
nlohmann::ordered_json json_list(const List& items, Write write) {
  nlohmann::ordered_json array = nlohmann::ordered_json::array();
  for (const auto& item : items) array.push_back(write(item));
  return array;
}

}  // namespace loomgraft
