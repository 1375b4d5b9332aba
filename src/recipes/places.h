// Places and usual distances of a vehicle shape (data/vehicle_places.csv, data/place_distances.csv), for a job whose places
// nobody has measured.
//
// Gives   places with a guessed temperature and where they are on a plan view; paths with a typical length and the interval
//         it lies in; parts and plugs without a place get the one that their names suggest. What the job states stays
// Fails   the graft unchanged with a Problem for an unknown shape
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "recipes/complete.h"

namespace loomgraft {

std::vector<std::string> vehicle_shapes();

Completion with_places(const Graft& graft, std::string_view shape);

// Places for the devices and plugs that have none, by their names; nothing where the job has no shape.
void suggest_places(Graft& graft);

// For wires that the plan adds into places hotter than the usual insulation withstands: the lowest temperature class
// (ISO 6722-1, ISO 19642) that does, where none is stated.
void suggest_insulation(Graft& graft);

}  // namespace loomgraft
