// The words of a page as lines of segments.
//
// Model   words that share most of their height stand on one line; a gap wider than the blanks between words parts a line
//         into segments: what may be cells of a table
#pragma once

#include <string>
#include <vector>

#include "files/pdf_pages.h"

namespace loomgraft::files {

constexpr double widest_gap = 2.5;  // between two lines of a table, in heights of the font

// Words [first, end) of a line.
struct Segment {
  double left = 0, right = 0;
  std::size_t first = 0, end = 0;
};

struct PageLine {
  int number = 0;  // on its page, from 1
  double top = 0, bottom = 0;
  std::vector<PageWord> words;  // from left to right
  std::vector<Segment> segments;
  double size() const { return bottom - top; }
};

std::vector<PageLine> lines_of(const Page& page);

// Words joined by blanks.
std::string text_of(const PageLine& line);
// Words [first, end) of the line.
std::string text_of(const PageLine& line, std::size_t first, std::size_t end);

}  // namespace loomgraft::files
