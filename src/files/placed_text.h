// A spreadsheet, or pages, as one text for the readers of tables, which remembers where each line and cell came from.
//
// Model   rows of cells become tab-delimited lines, one line a row; a line end within a cell is a character of the
//         private use area until restore() puts it back. Lines count on over all parts (sheets or pages)
// Gives   valid UTF-8 without control characters; for each line and column of it the place in the source
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "tables/table.h"

namespace loomgraft::files {

constexpr std::size_t most_cells = 300'000;  // of a file, those that separate others in their row included

// Where something stands in its part; column 0 is unknown.
struct Spot {
  std::uint32_t part = 0;
  int line = 0;
  int column = 0;
};

struct PlacedCell {
  std::string text;
  int column = 0;  // of the sheet, from 1; 0 on pages
};

enum class PartKind { sheet, page };

class PlacedText {
 public:
  explicit PlacedText(PartKind kind) : kind_(kind) {}

  void begin_part(std::string name);  // a sheet's name or a page's number
  void add_blank();
  void add_heading(std::string_view text, int line);  // and a blank line
  void add_line(std::string_view text, int line);
  void add_row(const std::vector<PlacedCell>& cells, int line);
  void add_doubt(std::string doubt);  // why the last line may be wrong

  const std::string& text() const { return text_; }
  std::size_t cells() const { return cells_; }
  bool empty() const { return lines_.empty(); }

  // `line` and `column` of text(), from 1.
  Spot spot(int line, int column) const;
  std::string place(const Spot& spot) const;       // "sheet Pins, B7"
  std::string line_place(const Spot& spot) const;  // "sheet Pins, row 7"
  const std::vector<std::string>& doubts(int line) const;

  static void restore(TableText& tables);

 private:
  struct Start {  // of a cell in its line of the text
    int at = 1;
    int column = 0;
  };
  struct Line {
    std::uint32_t part = 0;
    int line = 0;
    std::size_t starts = 0;  // index of the first one
    std::size_t doubts = 0;  // index into doubts_
  };

  void begin_line(int line);
  const Line* line_at(int line) const;

  PartKind kind_;
  std::string text_;
  std::vector<std::string> parts_;
  std::vector<Line> lines_;
  std::vector<Start> starts_;
  std::vector<std::vector<std::string>> doubts_{{}};  // the first list is that of lines without a doubt
  std::size_t cells_ = 0;
};

// "A", "Z", "AA" for 1, 26, 27.
std::string column_letters(int column);

}  // namespace loomgraft::files
