// Lines that explain a name used in a table: "CAN2: Body".
//
// Model   "NAME: meaning"; the name is one word, or a word and a number. A name is meant by a signal that
//         holds it as a word ("CAN2" in "CAN2-H", not in "CAN21-H"); a numbered name also in another spelling
//         ("CAN 2 high")
// Fails   never: what is not recognised is prose
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace loomgraft {

struct LegendLine {
  std::string name;
  std::string meaning;
  std::string line;
};
std::optional<LegendLine> read_legend_line(std::string_view line);

bool legend_is_meant(std::string_view name, std::string_view signal);

// The name a bus goes by in its meaning: "Powertrain @500Kbps: ABS, TCM" is "Powertrain".
std::string network_in(std::string_view meaning);

}  // namespace loomgraft
