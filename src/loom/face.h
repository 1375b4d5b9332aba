// A connector's face as a person looks at it: every cavity's place, seen from one side, either way up.
//
// Model   Connector::rows are places on a plane, drawn in Connector::view. The other side is the same plane
//         mirrored left to right; a plug held the other way up is turned by half a turn. Rows that stand at
//         one height and beside one another (large blades beside small pins) are one row to the eye.
// Needs   nothing: a missing pitch, or rows on top of one another, are laid out and flagged
// Gives   x to the right and y downwards, both within the same extent on every side; row from the top and
//         column from the left within the row, both from 1, gaps not counted; the latch's side
// Fails   never. Where Connector::view is unknown the rows are taken as drawn from the wire entry, flagged in
//         `view_assumed`: a module's header drawn from its front has the same order as its plug seen from the
//         wires, and this is the picture that pin tables mostly go with (common practice, no source)
// Cost    O(n log n) for n cavities
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "loom/graft.h"
#include "units/quantity.h"

namespace loomgraft {

struct FacePlace {
  std::string cavity;
  int row = 0;
  int column = 0;
  Metres x;  // centre of the cavity
  Metres y;
  Metres pitch;           // distance to the next place of its row as drawn
  Metres terminal_width;  // 0 is unknown
};

struct Face {
  std::string connector;  // Connector::id
  View side = View::unknown;
  bool turned = false;
  Side latch = Side::unknown;
  bool view_assumed = false;      // Connector::view is unknown: wire entry taken
  bool geometry_assumed = false;  // some pitch or row height was missing and is laid out here
  int rows = 0;
  Metres left;  // extent of the cavity centres
  Metres right;
  Metres top;
  Metres bottom;
  std::vector<FacePlace> places;  // by row, then column
};

// `side` unknown gives the face as drawn.
Face face_of(const Connector& connector, View side, bool turned = false);

// The place of a cavity on the face, or null. Of two with one name the first counts.
const FacePlace* place_of(const Face& face, std::string_view cavity);

// The place at a row and column as a person counts them, or null.
const FacePlace* place_at(const Face& face, int row, int column);

struct Neighbour {
  std::string cavity;
  Metres distance;  // between centres
};

// Cavities within 1.5 pitch (the mean of both pitches), nearest first: those that a whisker, a bent pin or a
// slip of one place can reach. Diagonal neighbours of a square grid are among them (1.41 pitch).
std::vector<Neighbour> neighbours(const Face& face, std::string_view cavity);

// The same side after mirroring left to right, or after half a turn.
Side mirrored(Side side);
Side half_turned(Side side);

}  // namespace loomgraft
