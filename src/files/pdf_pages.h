// The words of a PDF's pages with their places, as the program `pdftotext` of the Poppler tools gives them.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/problem.h"

namespace loomgraft::files {

// Points from the top left corner of the page; top and bottom are those of the font, not of the letters.
struct PageWord {
  double left = 0, top = 0, right = 0, bottom = 0;
  std::string text;
};

struct Page {
  int number = 0;  // from 1
  std::vector<PageWord> words;
};

struct PdfPages {
  std::vector<Page> pages;  // none where nothing can be read
  Problems problems;
};

PdfPages read_pdf_pages(std::string_view bytes, const std::string& file);

// What `pdftotext -bbox` writes, as pages.
std::vector<Page> pages_of_bbox(std::string_view xhtml);

}  // namespace loomgraft::files
