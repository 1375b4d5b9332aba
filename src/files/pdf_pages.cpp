#include "files/pdf_pages.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>

#include "files/child_process.h"
#include "tables/table.h"

namespace loomgraft::files {
namespace {

constexpr std::size_t most_words = 2'000'000;
constexpr int most_pages = 5'000;
constexpr double farthest = 20'000;  // points: the largest page that PDF allows is 14,400

double number_of(std::string_view tag, std::string_view name) {
  const std::size_t at = tag.find(name);
  double value = 0;
  if (at != std::string_view::npos)
    std::from_chars(tag.data() + at + name.size(), tag.data() + tag.size(), value);
  return std::isfinite(value) ? std::clamp(value, -farthest, farthest) : 0.0;
}

std::string without_entities(std::string_view text) {
  constexpr std::pair<std::string_view, char> entities[] = {
      {"&amp;", '&'}, {"&lt;", '<'}, {"&gt;", '>'}, {"&quot;", '"'}, {"&apos;", '\''}, {"&#39;", '\''}};
  std::string out;
  for (std::size_t i = 0; i < text.size();) {
    const auto* found = std::ranges::find_if(entities, [&](const auto& entity) {
      return text[i] == '&' && text.substr(i).starts_with(entity.first);
    });
    out += found == std::end(entities) ? text[i] : found->second;
    i += found == std::end(entities) ? 1 : found->first.size();
  }
  return out;
}

Problem problem_of(const std::string& file, ProblemCode code, std::string message, std::string remedy) {
  return {Severity::error, code, {file, 0, 0, ""}, std::move(message), std::move(remedy)};
}

Problem problem_of(const ChildResult& result, const std::string& file) {
  if (result.end == ChildEnd::not_installed)
    return problem_of(
        file, "unreadable", "PDF files are read with the program pdftotext, which is not installed.",
        "Install the package poppler-utils, or select the table in a PDF viewer, copy it and paste it.");
  if (result.end == ChildEnd::too_long || result.end == ChildEnd::too_much)
    return problem_of(file, "too-large", "The PDF holds more than can be read at once.",
                      "Print the pages with the pin tables into a PDF of their own and read that.");
  if (result.errors.find("ncorrect password") != std::string::npos)
    return problem_of(file, "encrypted-file", "The PDF is locked with a password.",
                      "Open it in a PDF viewer with its password, print it into a new PDF and read that.");
  if (result.errors.find("Copying of text") != std::string::npos)
    return problem_of(file, "encrypted-file", "The PDF does not allow its text to be copied.",
                      "Ask its maker for one that does, or type the table in.");
  return problem_of(file, "file-damaged", "The PDF is damaged or not complete.",
                    "Get it again from where it came from, or print it into a new PDF and read that.");
}

// A person must learn that a page was not read.
void report_pictures(PdfPages& result, const std::string& file) {
  std::vector<int> empty;
  for (const Page& page : result.pages)
    if (page.words.empty()) empty.push_back(page.number);
  if (empty.empty()) return;
  if (empty.size() == result.pages.size()) {
    result.problems.push_back(problem_of(
        file, "scanned-pages", "The pages of this PDF are pictures: there is no text on them.",
        "Run a text recogniser over it and check each cell, or type the table in; then read that."));
    result.pages.clear();
    return;
  }
  if (empty.size() * 2 <= result.pages.size()) return;  // blank pages between chapters
  result.problems.push_back({Severity::warning,
                             "scanned-pages",
                             {file, 0, 0, ""},
                             fmt::format("{} of {} pages have no text, the first of them page {}.",
                                         empty.size(), result.pages.size(), empty.front()),
                             "If they are not blank they are pictures: type their tables in."});
}

}  // namespace

std::vector<Page> pages_of_bbox(std::string_view xhtml) {
  std::vector<Page> pages;
  std::size_t words = 0;
  for (std::size_t at = xhtml.find('<'); at != std::string_view::npos; at = xhtml.find('<', at + 1)) {
    const std::size_t end = xhtml.find('>', at);
    if (end == std::string_view::npos) break;
    const std::string_view tag = xhtml.substr(at, end - at);
    if (tag.starts_with("<page ")) {
      if (static_cast<int>(pages.size()) == most_pages) break;
      pages.push_back({static_cast<int>(pages.size()) + 1, {}});
    } else if (tag.starts_with("<word ") && !pages.empty() && words < most_words) {
      const std::size_t close = std::min(xhtml.find('<', end), xhtml.size());
      PageWord word{number_of(tag, "xMin=\""), number_of(tag, "yMin=\""), number_of(tag, "xMax=\""),
                    number_of(tag, "yMax=\""), without_entities(xhtml.substr(end + 1, close - end - 1))};
      if (word.right > word.left && word.bottom > word.top && !word.text.empty()) {
        pages.back().words.push_back(std::move(word));
        ++words;
      }
    }
    at = end;
  }
  return pages;
}

PdfPages read_pdf_pages(std::string_view bytes, const std::string& file) {
  const ChildResult result = run_child("pdftotext", {"-bbox", "-enc", "UTF-8", "-", "-"}, bytes);
  PdfPages pages;
  if (result.end == ChildEnd::finished && result.status == 0) pages.pages = pages_of_bbox(result.output);
  if (pages.pages.empty()) {
    pages.problems.push_back(problem_of(result, file));
    return pages;
  }
  report_pictures(pages, file);
  return pages;
}

}  // namespace loomgraft::files
