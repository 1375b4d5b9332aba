// Reading a drawing back: its texts with their places, what lies over what, whether it is well-formed.
#pragma once

#include <gtest/gtest.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <string>
#include <utility>
#include <vector>

#include "diagram/diagram.h"
#include "draw/text_extent.h"

namespace loomgraft {

struct TextBox {
  double left, right, top, bottom;
  double size;
  std::string text;
};

inline std::string attribute(const std::string& tag, const std::string& name) {
  const std::size_t found = tag.find(" " + name + "=\"");
  if (found == std::string::npos) return {};
  const std::size_t begin = found + name.size() + 3;
  return tag.substr(begin, tag.find('"', begin) - begin);
}

inline double number(const std::string& tag, const std::string& name) {
  return std::strtod(attribute(tag, name).c_str(), nullptr);
}

// The same of the element that starts at `at`.
inline std::string attribute(const std::string& svg, std::size_t at, const std::string& name) {
  return attribute(svg.substr(at, svg.find('>', at) - at), name);
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

inline std::string plain(std::string text) {
  const std::pair<const char*, const char*> entities[] = {
      {"&lt;", "<"}, {"&gt;", ">"}, {"&quot;", "\""}, {"&#39;", "'"}, {"&amp;", "&"}};
  for (const auto& [entity, character] : entities) {
    for (std::size_t at = text.find(entity); at != std::string::npos; at = text.find(entity, at + 1))
      text.replace(at, std::string(entity).size(), character);
  }
  return text;
}

struct SvgShift {
  double x = 0.0, y = 0.0, scale = 1.0;
};

// Boxes of all texts, shifted and scaled by the groups they are in: capitals 0.73 high, descenders 0.2 deep.
inline std::vector<TextBox> text_boxes(const std::string& svg) {
  std::vector<TextBox> boxes;
  std::vector<SvgShift> shifts{{}};
  for (std::size_t at = svg.find('<'); at != std::string::npos; at = svg.find('<', at + 1)) {
    const std::string tag = svg.substr(at, svg.find('>', at) - at);
    const SvgShift now = shifts.back();
    if (tag.starts_with("<g")) {
      SvgShift own;
      std::sscanf(attribute(tag, "transform").c_str(), "translate(%lf %lf) scale(%lf", &own.x, &own.y,
                  &own.scale);
      shifts.push_back({now.x + now.scale * own.x, now.y + now.scale * own.y, now.scale * own.scale});
    } else if (tag.starts_with("</g")) {
      shifts.pop_back();
    } else if (tag.starts_with("<text ")) {
      const std::size_t begin = svg.find('>', at) + 1;
      const std::string text = plain(svg.substr(begin, svg.find('<', begin) - begin));
      const double size = now.scale * number(tag, "font-size");
      const double width = text_width(text, size, attribute(tag, "font-weight") == "bold");
      double left = now.x + now.scale * number(tag, "x");
      const double y = now.y + now.scale * number(tag, "y");
      if (attribute(tag, "text-anchor") == "middle") left -= 0.5 * width;
      if (attribute(tag, "text-anchor") == "end") left -= width;
      boxes.push_back({left, left + width, y - 0.73 * size, y + 0.2 * size, size, text});
    }
  }
  return boxes;
}

// What lies over what, in words; empty where nothing does.
inline std::string overlaps(const std::vector<TextBox>& boxes) {
  std::string found;
  for (std::size_t i = 0; i < boxes.size(); ++i) {
    for (std::size_t j = 0; j < i; ++j) {
      const TextBox& a = boxes[i];
      const TextBox& b = boxes[j];
      const bool over = a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
      if (over) found += "'" + a.text + "' over '" + b.text + "'\n";
    }
  }
  return found;
}

// Which wires run through which texts; `half` is the wire's own ink to either side.
inline std::string wires_through(const std::vector<TextBox>& boxes, const std::vector<DiagramLine>& lines,
                                 double half = 0.4) {
  std::string found;
  for (const DiagramLine& line : lines) {
    for (std::size_t i = 1; i < line.points.size(); ++i) {
      const auto& [x1, y1] = line.points[i - 1];
      const auto& [x2, y2] = line.points[i];
      for (const TextBox& box : boxes) {
        const bool through = std::min(x1, x2) - half < box.right && box.left < std::max(x1, x2) + half &&
                             std::min(y1, y2) - half < box.bottom && box.top < std::max(y1, y2) + half;
        if (through) found += "wire " + line.wire + " through '" + box.text + "'\n";
      }
    }
  }
  return found;
}

inline std::size_t count_of(const std::string& text, const std::string& what) {
  std::size_t count = 0;
  for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + 1)) ++count;
  return count;
}

inline constexpr const char* xml_check = R"(
import sys, xml.etree.ElementTree as tree
patterns = sys.argv[1] == "patterns"
allowed = set("svg title g rect text line path circle".split() + ["defs", "pattern"] * patterns)
for name in sys.argv[2:]:
    root = tree.parse(name).getroot()
    for element in root.iter():
        tag = element.tag.split("}")[1]
        assert tag in allowed, (name, tag)
        for attribute, value in element.attrib.items():
            assert not attribute.startswith("on") and "href" not in attribute, (name, attribute)
            assert "script" not in value and ("url(" not in value or patterns and value.startswith("url(#wire-")), value
    texts = "".join(root.itertext())
    assert "nasty" not in name or "<img src=x onerror=" in texts.replace("\n", " "), name
print("well-formed", len(sys.argv) - 2)
)";

// The number of files that are well-formed and hold nothing but shapes and text, or the patterns of wires
// too; -1 where one does not.
inline int well_formed(const std::vector<std::string>& files, bool patterns = false) {
  const std::string script = testing::TempDir() + "svg_check.py";
  std::ofstream(script) << xml_check;
  std::string command = "/usr/bin/python3 " + script + (patterns ? " patterns" : " plain");
  for (const std::string& file : files) command += " " + file;
  std::FILE* pipe = popen(command.c_str(), "r");
  int checked = -1;
  if (pipe == nullptr) return -1;
  if (std::fscanf(pipe, "well-formed %d", &checked) != 1) checked = -1;
  return pclose(pipe) == 0 ? checked : -1;
}

}  // namespace loomgraft
