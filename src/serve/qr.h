// A text as a QR code (ISO/IEC 18004), drawn as SVG.
//
// Gives   one SVG document of dark squares with the quiet zone of four modules around; error correction M
// Fails   an empty text where the code cannot be made: more than about two thousand characters
#pragma once

#include <string>

namespace loomgraft::serve {

std::string qr_svg(const std::string& text);

}  // namespace loomgraft::serve
