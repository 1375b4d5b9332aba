// What the commands print: aligned columns, colour on a terminal, plain text in a pipe.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/problem.h"

namespace loomgraft::cli {

enum class Ink { plain, strong, faint, good, change, warning, danger };

// True if standard output is a terminal and NO_COLOR is not set.
bool wants_colour();

std::string inked(std::string_view text, Ink ink, bool colour);

// Columns as wide as their widest cell, the last one free; a long last cell wraps under itself at `width`.
class Columns {
 public:
  explicit Columns(std::vector<std::string> head, std::size_t width = 118);
  void row(std::vector<std::string> cells, Ink ink = Ink::plain);
  std::string print(bool colour) const;
  bool empty() const { return rows_.empty(); }

 private:
  struct Row {
    std::vector<std::string> cells;
    Ink ink;
  };
  std::vector<std::size_t> column_widths() const;
  std::vector<std::string> head_;
  std::vector<Row> rows_;
  std::size_t width_;
};

// Control characters are shown as "?", so that a table from a stranger cannot control the terminal.
std::string harmless(std::string_view text);

// "file:12:3: warning: message Remedy." for each problem.
std::string print(const Problems& problems, bool colour);

}  // namespace loomgraft::cli
