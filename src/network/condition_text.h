// A condition of the vehicle written as text.
//
// Model   the name of a condition of the document, or of a key position ("off", "on", "crank"), or
//         facts: "key=on,supply=12.6,work=S1,drive=C1:4,unplug=C2,remove=F3,ambient=40,battery=off"
// Fails   a Problem that names the part it cannot read
#pragma once

#include <optional>
#include <string>
#include <tl/expected.hpp>

#include "loom/graft.h"
#include "network/loom_network.h"

namespace loomgraft {

tl::expected<Condition, Problem> condition_of(const Graft& graft, const std::string& text);

// "nominal", "weakest", "strongest".
std::optional<Corner> corner_of(const std::string& word);

}  // namespace loomgraft
