// Tables among the lines of a page.
//
// Model   lines with two segments or more that follow each other closely are rows, or parts of rows, of one table. Segments
//         that overlap from line to line make a column; one that would join two columns each of which has other segments is a
//         title over both. A line without a word in the column of cavities, or closer to its neighbour than rows are, is
//         a part of that row
// Gives   rows of as many cells as there are columns; a row has a doubt where a word runs over the edge of a column
#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include "files/page_lines.h"

namespace loomgraft::files {

struct PageColumn {
  double left = 0, right = 0;
  std::size_t segments = 0;
};

struct PageRow {
  int line = 0;  // number of its first line
  std::vector<std::string> cells;
  bool runs_over = false;
};

std::vector<PageColumn> columns_of(std::span<const PageLine> lines);

// Whether nearly no word of the lines runs over the edge of a column.
bool fits_columns(std::span<const PageLine> lines, const std::vector<PageColumn>& columns);

// The number of lines, from the first one on, that are one table; 0 where no table begins.
std::size_t table_length(std::span<const PageLine> lines);

// A head of columns that nearly touch looks like a sentence: it is cut where the columns of the rows below it are.
void cut_heads(std::vector<PageLine>& lines);

std::vector<PageRow> rows_of(std::span<const PageLine> lines, const std::vector<PageColumn>& columns);

}  // namespace loomgraft::files
