#include "cli/paper.h"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>

namespace loomgraft::cli {
namespace {

bool is_continuation(char c) {
  return (static_cast<unsigned char>(c) & 0xc0) == 0x80;
}

std::size_t width_of(std::string_view text) {
  return static_cast<std::size_t>(
      std::count_if(text.begin(), text.end(), [](char c) { return !is_continuation(c); }));
}

std::string padded(std::string_view text, std::size_t width) {
  const std::size_t own = width_of(text);
  return std::string(text) + std::string(own < width ? width - own : 0, ' ');
}

// Breaks at blanks; a word longer than the line stands alone.
std::vector<std::string> wrapped(std::string_view text, std::size_t width) {
  std::vector<std::string> lines(1);
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t end = std::min(text.find(' ', at), text.size());
    const std::string_view word = text.substr(at, end - at);
    std::string& line = lines.back();
    if (!line.empty() && width_of(line) + 1 + width_of(word) > width) {
      lines.emplace_back(word);
    } else {
      if (!line.empty()) line += ' ';
      line += word;
    }
    at = end + 1;
  }
  return lines;
}

}  // namespace

bool wants_colour() {
  return isatty(STDOUT_FILENO) != 0 && std::getenv("NO_COLOR") == nullptr;
}

std::string inked(std::string_view text, Ink ink, bool colour) {
  if (!colour || ink == Ink::plain) return std::string(text);
  constexpr const char* codes[] = {"", "1", "2", "32", "36", "33", "1;31"};
  return fmt::format("\033[{}m{}\033[0m", codes[static_cast<int>(ink)], text);
}

std::string harmless(std::string_view text) {
  std::string out;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    out += byte < 0x20 || byte == 0x7f ? '?' : c;
  }
  return out;
}

Columns::Columns(std::vector<std::string> head, std::size_t width) : head_(std::move(head)), width_(width) {}

void Columns::row(std::vector<std::string> cells, Ink ink) {
  for (std::string& cell : cells) cell = harmless(cell);
  rows_.push_back({std::move(cells), ink});
}

std::vector<std::size_t> Columns::column_widths() const {
  std::vector<std::size_t> widths;
  for (const std::string& cell : head_) widths.push_back(width_of(cell));
  for (const Row& row : rows_) {
    for (std::size_t i = 0; i + 1 < row.cells.size() && i < widths.size(); ++i) {
      widths[i] = std::max(widths[i], width_of(row.cells[i]));
    }
  }
  // One very long cell must not push the others off the page.
  for (std::size_t& width : widths) width = std::min<std::size_t>(width, 40);
  return widths;
}

std::string Columns::print(bool colour) const {
  const std::vector<std::size_t> widths = column_widths();
  std::size_t indent = 0;
  for (std::size_t i = 0; i + 1 < widths.size(); ++i) indent += widths[i] + 2;
  const std::size_t room = std::max<std::size_t>(width_ > indent ? width_ - indent : 0, 30);
  const auto line_of = [&](const std::vector<std::string>& cells) {
    std::string line;
    for (std::size_t i = 0; i < cells.size(); ++i) {
      if (i + 1 < cells.size()) {
        line += padded(cells[i], widths[i]) + "  ";
        continue;
      }
      const auto lines = wrapped(cells[i], room);
      for (std::size_t k = 0; k < lines.size(); ++k)
        line += (k > 0 ? "\n" + std::string(indent, ' ') : "") + lines[k];
    }
    while (!line.empty() && line.back() == ' ') line.pop_back();
    return line;
  };
  std::string out = inked(line_of(head_), Ink::faint, colour) + "\n";
  for (const Row& row : rows_) out += inked(line_of(row.cells), row.ink, colour) + "\n";
  return out;
}

std::string print(const Problems& problems, bool colour) {
  std::string out;
  for (const Problem& problem : problems) {
    std::string where = harmless(problem.location.file);
    const bool counted = problem.location.place.empty() && problem.location.line > 0;
    if (counted) where += fmt::format(":{}", problem.location.line);
    if (counted && problem.location.column > 0) where += fmt::format(":{}", problem.location.column);
    if (!problem.location.place.empty())
      where += (where.empty() ? "" : ", ") + harmless(problem.location.place);
    if (!problem.location.pointer.empty())
      where += (where.empty() ? "" : " ") + harmless(problem.location.pointer);
    if (!where.empty()) where += ": ";
    const Ink ink = problem.severity == Severity::error     ? Ink::danger
                    : problem.severity == Severity::warning ? Ink::warning
                                                            : Ink::faint;
    out +=
        fmt::format("{}{} {} {}\n", where, inked(std::string(name_of(problem.severity)) + ":", ink, colour),
                    harmless(problem.message), harmless(problem.remedy));
  }
  return out;
}

}  // namespace loomgraft::cli
