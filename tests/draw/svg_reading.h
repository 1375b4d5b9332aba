// Reads what a drawing holds back out of its SVG text.
#pragma once

#include <cstdlib>
#include <string>
#include <utility>
#include <vector>

#include "draw/text_extent.h"

namespace loomgraft {

struct TextBox {
  double left;
  double right;
  double top;
  double bottom;
  std::string text;
};

inline std::string plain(std::string text) {
  const std::pair<const char*, const char*> entities[] = {
      {"&lt;", "<"}, {"&gt;", ">"}, {"&quot;", "\""}, {"&#39;", "'"}, {"&amp;", "&"}};
  for (const auto& [entity, character] : entities) {
    for (std::size_t at = text.find(entity); at != std::string::npos; at = text.find(entity, at + 1)) {
      text.replace(at, std::string(entity).size(), character);
    }
  }
  return text;
}

// The value of an attribute of the element that starts at `at`, empty where it has none.
inline std::string attribute(const std::string& svg, std::size_t at, const std::string& name) {
  const std::size_t end = svg.find('>', at);
  const std::size_t found = svg.find(" " + name + "=\"", at);
  if (found == std::string::npos || found > end) return {};
  const std::size_t begin = found + name.size() + 3;
  return svg.substr(begin, svg.find('"', begin) - begin);
}

inline double number(const std::string& svg, std::size_t at, const std::string& name) {
  return std::strtod(attribute(svg, at, name).c_str(), nullptr);
}

inline std::vector<std::size_t> elements(const std::string& svg, const std::string& start) {
  std::vector<std::size_t> found;
  for (std::size_t at = svg.find(start); at != std::string::npos; at = svg.find(start, at + 1))
    found.push_back(at);
  return found;
}

// The boxes of all texts: the font's widths, capitals 0.73 high, descenders 0.2 deep.
inline std::vector<TextBox> text_boxes(const std::string& svg) {
  std::vector<TextBox> boxes;
  for (const std::size_t at : elements(svg, "<text ")) {
    const double x = number(svg, at, "x");
    const double y = number(svg, at, "y");
    const double size = number(svg, at, "font-size");
    const std::size_t begin = svg.find('>', at) + 1;
    const std::string text = plain(svg.substr(begin, svg.find('<', begin) - begin));
    const double width = text_width(text, size, attribute(svg, at, "font-weight") == "bold");
    const double left = attribute(svg, at, "text-anchor") == "middle" ? x - 0.5 * width : x;
    boxes.push_back({left, left + width, y - 0.73 * size, y + 0.2 * size, text});
  }
  return boxes;
}

}  // namespace loomgraft
