#include "serve/qr.h"

#include <fmt/format.h>
#include <qrencode.h>

#include <memory>

#include "draw/svg.h"

namespace loomgraft::serve {
namespace {
constexpr int quiet_zone = 4;  // modules; ISO/IEC 18004, section 5.3.8
}  // namespace

std::string qr_svg(const std::string& text) {
  const std::unique_ptr<QRcode, decltype(&QRcode_free)> code(
      QRcode_encodeString8bit(text.c_str(), 0, QR_ECLEVEL_M), &QRcode_free);
  if (!code) return {};
  std::string path;
  for (int y = 0; y < code->width; ++y) {
    for (int x = 0; x < code->width; ++x) {
      if ((code->data[y * code->width + x] & 1U) != 0)
        path += fmt::format("M{} {}h1v1h-1z", x + quiet_zone, y + quiet_zone);
    }
  }
  const double side = code->width + 2 * quiet_zone;
  Svg svg;
  svg.open("svg", {{"xmlns", "http://www.w3.org/2000/svg"},
                   {"viewBox", fmt::format("0 0 {:.0f} {:.0f}", side, side)},
                   {"shape-rendering", "crispEdges"}});
  svg.empty("rect", {{"width", side}, {"height", side}, {"fill", "#ffffff"}});
  svg.empty("path", {{"d", path}, {"fill", "#000000"}});
  svg.close("svg");
  return svg.written();
}

}  // namespace loomgraft::serve
