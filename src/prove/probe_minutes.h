// What each act of the hands takes (data/probe_minutes.csv).
//
// Fails   an unknown name is a bug: std::logic_error
#pragma once

#include <string_view>

namespace loomgraft::prove {

double probe_minutes(std::string_view name);

}  // namespace loomgraft::prove
