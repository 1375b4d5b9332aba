#include "gather/file_colours.h"

#include <algorithm>

#include "base/ascii.h"
#include "gather/surroundings.h"
#include "standards/dictionary.h"
#include "text/signal_words.h"

namespace loomgraft::gather {
namespace {

// The notation with the rules in place of the same codes.
ColourNotation with_rules(const ColourNotation& notation, const ColourCodes& rules) {
  ColourNotation ruled{notation.name, {}, notation.full_words};
  for (const auto& [code, colour] : rules)
    ruled.codes.emplace_back(notation.full_words ? lower_case(code) : upper(code), colour);
  for (const auto& code : notation.codes) {
    const auto same = [&](const auto& rule) { return lower_case(rule.first) == lower_case(code.first); };
    if (std::none_of(rules.begin(), rules.end(), same)) ruled.codes.push_back(code);
  }
  return ruled;
}

}  // namespace

ColourReading read_file_colours(std::span<const std::string_view> raw, const std::vector<std::string>& lines,
                                const ColourCodes& rules) {
  const ColourCodes legend = read_colour_legend(lines);
  if (legend.empty() && rules.empty()) return read_colours(raw, colour_notations());
  std::vector<ColourNotation> published;
  for (const ColourNotation& notation : colour_notations()) published.push_back(with_rules(notation, rules));
  if (legend.empty()) return read_colours(raw, published);
  std::vector<ColourNotation> notations{with_rules({"the file's own legend", legend, false}, rules)};
  std::copy_if(published.begin(), published.end(), std::back_inserter(notations),
               [](const ColourNotation& notation) { return notation.full_words; });
  ColourReading own = read_colours(raw, notations);
  const auto known =
      std::count_if(own.colours.begin(), own.colours.end(), [](const Colour& c) { return c.known(); });
  if (10 * static_cast<std::size_t>(known) >= 9 * raw.size()) return own;
  notations.resize(1);
  notations.insert(notations.end(), published.begin(), published.end());
  return read_colours(raw, notations);
}

}  // namespace loomgraft::gather
