// Judgements of a design that no rule set holds: data/design_figures.csv.
//
// Fails   an unknown name is a bug: std::logic_error
#pragma once

#include <string_view>

namespace loomgraft::design {

double design_figure(std::string_view name);

}  // namespace loomgraft::design
