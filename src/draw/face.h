// A connector's face as a sheet: what a person holds against the plug.
//
// Model   housing outline with its latch, cavities to scale, in each its name, the wire as it looks with
//         its colour letters, and the verdict's mark; beside or below, a list that says the same in words.
//         Lengths on the sheet are millimetres.
// Gives   one SVG document without scripts, links, fonts or images from elsewhere. The side is written on
//         it in words, with the warning that the other side is its mirror image. A face wider than the
//         sheet is cut into strips. Groups carry `data-cavity`, so that a page can light a cavity up. Same
//         input, same bytes.
// Fails   never: a connector without cavities gives a sheet that says so; marks for cavities that the face
//         does not have stand in the list, flagged; guessed geometry is written on the sheet
// Cost    linear in cavities and marks, but for layout (face_layout.h)
#pragma once

#include <string>
#include <vector>

#include "draw/verdict_mark.h"
#include "draw/wire_paint.h"
#include "loom/graft.h"

namespace loomgraft {

// What stands in one cavity and what happens to it. A cavity without one is drawn as empty.
struct FaceMark {
  std::string cavity{};
  std::string signal;
  Colour colour;
  Mark mark = Mark::none;
  std::string note;   // "to C2 cavity 14"
  bool bare = false;  // no wire stands here; the mark says why
};

struct FaceOptions {
  std::string title;        // the connector's name where empty
  double width_mm = 190.0;  // of the sheet: A4 between margins. 90 suits a phone
  double text_mm = 0.0;     // size of the text in cells; 0 is 2.4, and 3.0 on sheets narrower than 120 mm
  WireInk ink = WireInk::colour;  // black: patterns instead of colours
  bool list = true;
  // Only the part of the plug that holds this one, with its side, its cautions and the words of the cavity:
  // to probe by.
  std::string cavity{};
  // The marks tell what the plan altered (planned_face_marks()); the sheet says that it is the loom as
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
