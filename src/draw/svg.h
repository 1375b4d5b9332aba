// A small writer of SVG text.
//
// Model   elements are written in order; every text and attribute goes through one escape, every number
//         through one printer
// Gives   well-formed XML whatever the strings hold: a name such as "<img onerror=...>" stays text. The
//         same calls give the same bytes on every machine and in every locale.
// Fails   never; bytes that are no UTF-8, characters that XML does not allow and marks that turn the
//         reading direction come out as U+FFFD; a number that is not finite comes out as 0
#pragma once

#include <initializer_list>
#include <string>
#include <string_view>

namespace loomgraft {

// At most three decimals, no exponent, no trailing zeros.
std::string print_number(double value);

// For text and for attribute values in double quotes.
std::string escape_xml(std::string_view text);

struct SvgAttribute {
  std::string_view name;
  std::string value;
  SvgAttribute(std::string_view attribute, double number) : name(attribute), value(print_number(number)) {}
  SvgAttribute(std::string_view attribute, std::string_view text)
      : name(attribute), value(escape_xml(text)) {}
  SvgAttribute(std::string_view attribute, const char* text)
      : SvgAttribute(attribute, std::string_view(text)) {}
  SvgAttribute(std::string_view attribute, const std::string& text)
      : SvgAttribute(attribute, std::string_view(text)) {}
};
using SvgAttributes = std::initializer_list<SvgAttribute>;

enum class Anchor { start, middle, end };

struct TextStyle {
  double size = 1.0;
  bool bold = false;
  Anchor anchor = Anchor::start;
  std::string_view fill = "#1c1c1c";
};

class Svg {
 public:
  void open(std::string_view element, SvgAttributes attributes = {});
  void close(std::string_view element);
  void empty(std::string_view element, SvgAttributes attributes);
  void title(std::string_view text);  // the tooltip and screen reader text of the group just opened
  void text(double x, double y, std::string_view content, const TextStyle& style);
  void line(double x1, double y1, double x2, double y2, std::string_view stroke, double width);

  const std::string& written() const { return out_; }

 private:
  void start(std::string_view element, SvgAttributes attributes);
  std::string out_;
};

}  // namespace loomgraft
