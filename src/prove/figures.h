// Minutes of each manual operation (data/probe_minutes.csv), and the limits of a test plan
// (data/prove_figures.csv).
//
// Fails   an unknown name is a bug: std::logic_error
#pragma once

#include <string_view>

namespace loomgraft::prove {

double probe_minutes(std::string_view name);
double prove_figure(std::string_view name);

}  // namespace loomgraft::prove
