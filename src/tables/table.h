// From the bytes of any file to the tables in it, every cell with its location.
//
// Model   a document may hold several tables among prose: delimited text; Markdown, wiki, drawn or ruled
//         pipes; fixed-width columns under a ruler; aligned plain text; HTML tables and lists; prose lines
//         ("Pin 3 - +12 V output"); YAML or JSON lists of records and maps keyed by cavity. UTF-8, UTF-16,
//         Windows-1252. Program text between code marks that name its language ("```c") is passed over
// Gives   the tables in their order; cells are UTF-8, trimmed, with line and column (in characters) of the
//         original text, from 1; without characters that nobody sees (text/unseen.h). A cell keeps line ends of its own ("<br>", quoted cells) as "\n". Records
//         have their keys as header ("pin" and "signal" for maps keyed by cavity); prose has no header and
//         the cells {cavities, text}, the first one empty for a list item without a cavity
// Fails   never as a whole: what cannot be used is a Problem with its location, and the rest is still read.
//         Errors: empty-input, binary-input, no-table, too-large. Warnings: unclosed-quote, bad-record,
//         too-many-keys, cell-too-long, nested-too-deep, no-rows. Notes: encoding-guessed,
//         text-outside-cell. At most a thousand of one code
// Cost    linear in the size of the input; reads 32 MiB of text, 200,000 lines and 500,000 cells at most
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/problem.h"

namespace loomgraft {

struct Cell {
  std::string text;
  int line = 0;
  int column = 0;
  // Text that the file's own rules cut off here, such as what YAML takes for a comment; shown as a doubt,
  // never used.
  std::string cut_off;
};

enum class TableForm { delimited, pipes, ruled, aligned, html, prose, records };

// Rows may be shorter or longer than the header; missing cells are simply not there.
struct Table {
  std::string name;                       // the nearest heading or title above, empty where there is none
  std::vector<std::string> outer_names;   // headings of higher levels around it, the nearest first
  std::vector<std::string> lines_before;  // prose between the previous table and this one, one entry a line
  std::vector<std::string>
      lines_after;  // prose after it, up to the next heading or table: legends stand here
  TableForm form = TableForm::delimited;
  std::vector<Cell> header;  // empty where no header row was recognised
  std::vector<std::vector<Cell>> rows;
};

// A line that is in no table and no heading.
struct ProseLine {
  std::string text;
  int line = 0;
  std::size_t tables_before = 0;  // how many tables stand above it
};

struct TableText {
  std::vector<Table> tables;
  std::vector<ProseLine> prose;
  Problems problems;
};

// `file` is the name shown in locations; nothing is opened.
TableText find_tables(std::string_view bytes, const std::string& file);

}  // namespace loomgraft
