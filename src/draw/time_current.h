// A fuse against its wire: time over current, both in log scale.
//
// Model   the band between the fuse's shortest and longest opening, the time that the wire withstands, the load, the
//         dead short, and where fuse and wire come nearest. Lengths on the sheet are millimetres
// Needs   rating, load and dead short > 0; others are not drawn
// Gives   one SVG document without scripts, links or fonts from elsewhere. Lines differ by stroke and carry
//         letters that a list below explains, so black and white prints lose nothing. Letters never
//         overlap. Same input, same bytes
// Fails   never: a family without gates gives a plot without a band, a wire that nothing harms one without
//         its line, and the list says so
// Cost    a few hundred times of the wire: about a millisecond
#pragma once

#include <string>

#include "heat/protection.h"

namespace loomgraft {

struct TimeCurrentPlot {
  std::string title;
  const FuseFamily* family = nullptr;
  Amperes rating;
  ProtectionQuestion question;  // the wire, and the dead short
  Protection verdict;
  Amperes load;
  double width_mm = 160.0;  // between 70 and 400
};

std::string draw_time_current(const TimeCurrentPlot& plot);

}  // namespace loomgraft
