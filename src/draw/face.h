// A connector's face as a sheet: what a person contains against the plug.
//
// Model   housing outline with its latch, cavities to scale, in each its name, the wire as it looks with
//         its colour letters, and the verdict's mark; beside or below, a list with the same as text.
//         Lengths on the sheet are millimetres.
// Gives   one SVG document without scripts, links, fonts or images from elsewhere. The side is written on
//         it, with the warning that the other side is its mirror image. A face wider than the
//         sheet is cut into strips. Groups carry `data-cavity`, so that a page can highlight a cavity. Same
//         input, same bytes.
// Fails   never: a connector without cavities gives a sheet with a note; marks for cavities that the face
//         does not have appear in the list, flagged; guessed geometry is written on the sheet
// Cost    linear in cavities and marks, but for layout (face_layout.h)
#pragma once

#include <string>
#include <vector>

#include "draw/verdict_mark.h"
#include "draw/wire_paint.h"
#include "loom/graft.h"

namespace loomgraft {

// The wire in one cavity and what happens to it. A cavity without one is drawn as empty.
struct FaceMark {
  std::string cavity{};
  std::string signal;
  Colour colour;
  Mark mark = Mark::none;
  std::string note;   // "to C2 cavity 14"
  bool bare = false;  // no wire is here; the mark says why
};

struct FaceOptions {
  std::string title;        // the connector's name where empty
  double width_mm = 190.0;  // of the sheet: A4 between margins. 90 suits a phone
  double text_mm = 0.0;     // size of the text in cells; 0 is 2.4, and 3.0 on sheets narrower than 120 mm
  WireInk ink = WireInk::colour;  // black: patterns instead of colours
  bool list = true;
  // Only the part of the plug that contains this one, with its side, its cautions and the text of the cavity,
  // for probing.
  std::string cavity{};
  // The marks show what the plan altered (planned_face_marks()); the sheet states that it is the loom as
  // planned.
  bool planned = false;
};

// `side` unknown gives the side that the source draws.
std::string draw_face(const Connector& connector, const std::vector<FaceMark>& marks, View side,
                      const FaceOptions& options = {});

// Both sides on one sheet: beside one another where the width allows it, else one above the other.
std::string draw_faces(const Connector& connector, const std::vector<FaceMark>& marks,
                       const FaceOptions& options = {});

}  // namespace loomgraft
