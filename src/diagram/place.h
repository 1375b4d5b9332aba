// Places of an ordered net: rows for ports, tracks for wires.
//
// Model   rows are at least one pitch apart within a column. In a channel a leg runs level from its first
//         port to a track, along the track, and level to its second port; a leg whose ports are at one height
//         runs straight. x is given as a track number, for the drawing to scale.
// Gives   at one height, a channel holds the ports of one leg only, so no two legs share a level stretch;
//         legs on one track are at least `clearance` apart. Legs cross once where they must and not
//         otherwise: legs with both ends at the left side are left of the others, inner ones first; of legs
//         going down the lower are left, of legs going up the upper; legs with both ends at the right are
//         right. The order among all of them has no cycle.
// Cost    legs of a channel squared
// Method  heights by isotonic regression (pool adjacent violators) towards the left neighbours; tracks by
//         left-edge packing under that order
#pragma once

#include <array>
#include <cstddef>
#include <vector>

#include "diagram/net.h"

namespace loomgraft::diagram {

struct PlaceOptions {
  double pitch = 4.4;      // between rows
  double gap = 2.0;        // between parts, beyond their head and foot
  double band_gap = 4.0;   // more between bands
  double clearance = 1.0;  // between legs on one track
};

struct PlacedPart {
  std::vector<std::vector<double>> rows;  // y of each row of each group
  double top = 0.0;                       // with head and foot
  double bottom = 0.0;
};

struct NetPlaces {
  std::vector<PlacedPart> parts;
  std::vector<std::array<double, 2>> ends;  // y of both ends of each leg
  std::vector<std::size_t> track;           // of each leg in its channel; `nothing` where it runs straight
  std::vector<std::size_t> tracks;          // number of tracks of each channel
  double height = 0.0;
};

NetPlaces place_net(const DiagramNet& net, const PlaceOptions& options);

}  // namespace loomgraft::diagram
