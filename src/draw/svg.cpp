#include "draw/svg.h"

#include <cmath>
#include <cstdint>

#include "base/decimal.h"

namespace loomgraft {
namespace {

constexpr std::string_view replacement = "\xEF\xBF\xBD";  // U+FFFD

struct Decoded {
  std::uint32_t code = 0;
  std::size_t length = 0;  // 0: no valid character starts here
};

bool continues(unsigned char byte) {
  return (byte & 0xC0U) == 0x80U;
}

// One character of UTF-8 (RFC 3629): shortest form, no surrogates, at most U+10FFFF.
Decoded decode(std::string_view text) {
  const auto lead = static_cast<unsigned char>(text[0]);
  if (lead < 0x80U) return {lead, 1};
  const std::size_t length = lead >= 0xF0U ? 4 : lead >= 0xE0U ? 3 : 2;
  if (lead < 0xC2U || lead > 0xF4U || text.size() < length) return {};
  std::uint32_t code = lead & (0x7FU >> length);
  for (std::size_t i = 1; i < length; ++i) {
    const auto byte = static_cast<unsigned char>(text[i]);
    if (!continues(byte)) return {};
    code = code << 6U | (byte & 0x3FU);
  }
  constexpr std::uint32_t smallest[] = {0, 0, 0x80, 0x800, 0x10000};
  if (code < smallest[length] || code > 0x10FFFFU || (code >= 0xD800U && code <= 0xDFFFU)) return {};
  return {code, length};
}

bool is_control(std::uint32_t code) {
  return code < 0x20U || (code >= 0x7FU && code < 0xA0U);
}

// Not allowed in XML 1.0 (section 2.2), or able to disguise a name.
bool is_unwanted(std::uint32_t code) {
  const bool non_character = (code & 0xFFFEU) == 0xFFFEU || (code >= 0xFDD0U && code <= 0xFDEFU);
  const bool turns_direction = (code >= 0x202AU && code <= 0x202EU) || (code >= 0x2066U && code <= 0x2069U);
  return is_control(code) || non_character || turns_direction;
}

void append_escaped(std::string& out, std::string_view character, std::uint32_t code) {
  switch (code) {
    case '&':
      out += "&amp;";
      break;
    case '<':
      out += "&lt;";
      break;
    case '>':
      out += "&gt;";
      break;
    case '"':
      out += "&quot;";
      break;
    case '\'':
      out += "&#39;";
      break;
    case '\t':
    case '\n':
    case '\r':
      out += ' ';
      break;
    default:
      out += is_unwanted(code) ? replacement : character;
  }
}

}  // namespace

std::string print_number(double value) {
  if (!std::isfinite(value)) return "0";
  constexpr double largest = 1e12;  // no drawing is that large; keeps the digits few
  if (value > largest) value = largest;
  if (value < -largest) value = -largest;
  return print_rounded(value, 3);
}

std::string escape_xml(std::string_view text) {
  std::string out;
  out.reserve(text.size() + 8);
  while (!text.empty()) {
    const Decoded character = decode(text);
    if (character.length == 0) {
      out += replacement;
      text.remove_prefix(1);
    } else {
      append_escaped(out, text.substr(0, character.length), character.code);
      text.remove_prefix(character.length);
    }
  }
  return out;
}

void Svg::start(std::string_view element, SvgAttributes attributes) {
  out_ += '<';
  out_ += element;
  for (const SvgAttribute& attribute : attributes) {
    out_ += ' ';
    out_ += attribute.name;
    out_ += "=\"";
    out_ += attribute.value;
    out_ += '"';
  }
}

void Svg::open(std::string_view element, SvgAttributes attributes) {
  start(element, attributes);
  out_ += ">\n";
}

void Svg::close(std::string_view element) {
  out_ += "</";
  out_ += element;
  out_ += ">\n";
}

void Svg::empty(std::string_view element, SvgAttributes attributes) {
  start(element, attributes);
  out_ += "/>\n";
}

void Svg::title(std::string_view text) {
  out_ += "<title>" + escape_xml(text) + "</title>\n";
}

void Svg::text(double x, double y, std::string_view content, const TextStyle& style) {
  constexpr const char* anchors[] = {"start", "middle", "end"};
  start("text", {{"x", x},
                 {"y", y},
                 {"font-size", style.size},
                 {"font-weight", style.bold ? "bold" : "normal"},
                 {"text-anchor", anchors[static_cast<int>(style.anchor)]},
                 {"fill", style.fill}});
  out_ += '>';
  out_ += escape_xml(content);
  out_ += "</text>\n";
}

void Svg::line(double x1, double y1, double x2, double y2, std::string_view stroke, double width) {
  empty("line",
        {{"x1", x1}, {"y1", y1}, {"x2", x2}, {"y2", y2}, {"stroke", stroke}, {"stroke-width", width}});
}

}  // namespace loomgraft
