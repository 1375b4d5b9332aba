// What the readers of the table forms share: the document as lines, locations of cells, the budget of cells.
//
// Model   a document is read from top to bottom; at each line the readers are tried in turn, and the first
//         one whose table starts there claims a region of whole lines
// Needs   a reader that finds no table has looked at a bounded number of lines; one that finds a table may
//         look at all of its region: so the time stays linear
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/ascii.h"
#include "tables/table.h"
#include "text/signal_words.h"

namespace loomgraft::tables {

using Row = std::vector<Cell>;

// Bounds that keep any input within reach of a small machine.
constexpr std::size_t max_text_bytes = std::size_t{32} << 20;
constexpr std::size_t max_lines = 200'000;
constexpr std::size_t max_cells = 500'000;
constexpr std::size_t max_cells_in_row = 20'000;
constexpr std::size_t max_cell_characters = 10'000;
constexpr std::size_t max_problems_of_a_kind = 1'000;
constexpr std::size_t lines_examined = 24;     // before a reader decides
constexpr std::size_t bytes_examined = 4'096;  // of each of those lines

struct Document {
  std::string file;
  std::string_view text;                // UTF-8
  std::vector<std::string_view> lines;  // views into `text`, without line ends

  std::size_t offset_of(std::size_t line) const {
    return static_cast<std::size_t>(lines[line].data() - text.data());
  }
};

// Cuts at LF, CR LF and CR, in any mix. Gives the number of bytes that were used (less than all beyond
// max_lines).
std::size_t split_lines(std::string_view text, std::vector<std::string_view>& lines);

// The column (in characters, from 1) of byte positions of one line; cheap from left to right.
class ColumnCursor {
 public:
  explicit ColumnCursor(std::string_view line) : line_(line) {}
  int at(std::size_t byte);

 private:
  std::string_view line_;
  std::size_t byte_ = 0;
  int column_ = 1;
};

// Line and column of offsets into the document; cheap in rising order.
class LocationCursor {
 public:
  explicit LocationCursor(const Document& document) : document_(document), column_(std::string_view{}) {}
  void move_to(std::size_t offset);
  int line() const { return static_cast<int>(line_) + 1; }
  int column() const { return at_; }

 private:
  const Document& document_;
  std::size_t line_ = static_cast<std::size_t>(-1);
  ColumnCursor column_;
  int at_ = 1;
};

struct Region {
  std::size_t end = 0;  // line after the last claimed one
  std::vector<Table> tables;
  std::string heading;  // a heading inside the region that tables further down may carry
  std::vector<std::string>
      prose;  // lines of the region before its first table, or all of them without a table
};

// What a line shows of one delimiter; kept for recent lines, since each is examined from several starts.
struct DelimiterTraits {
  std::size_t line = static_cast<std::size_t>(-1);
  std::size_t count = 0;
  bool prose = false, closing = false, doubled = false, blank = false;
};

// The state of one reading of one document.
class Reader {
 public:
  Reader(const Document& document, Problems& problems) : document_(document), problems_(problems) {}
  const Document& document() const { return document_; }
  std::string_view line(std::size_t index) const { return document_.lines[index]; }
  std::size_t line_count() const { return document_.lines.size(); }
  bool blank(std::size_t index) const;

  void report(Severity severity, ProblemCode code, int line, int column, std::string message,
              std::string remedy);
  // Takes cells off the budget; false (with one Problem) where too few are left: reading stops there.
  bool spend(std::size_t cells, int line);
  bool exhausted() const { return exhausted_; }
  DelimiterTraits& traits(std::size_t delimiter, std::size_t line) {
    return traits_[delimiter][line % traits_kept];
  }
  bool json_given_up = false;  // after an unclosed bracket, brackets in prose are not tried again

 private:
  const Document& document_;
  Problems& problems_;
  std::vector<std::pair<ProblemCode, std::size_t>> counts_;
  static constexpr std::size_t traits_kept = 32;
  std::array<std::array<DelimiterTraits, traits_kept>, 3> traits_;
  std::size_t cells_left_ = max_cells;
  bool exhausted_ = false;
};

// Characters and words. Unlike trimmed() of base/ascii.h, trim() drops no-break blanks and zero-width
// characters too: spreadsheets and web pages leave them around cells.
std::string_view trim(std::string_view text);
std::size_t count_characters(std::string_view utf8);
bool starts_with_word(std::string_view text, std::string_view word);  // whatever the case

// "A1", "12", "105a", "C101-12", "4AA", "3/13": what can stand for a cavity. Whole text.
bool looks_like_cavity(std::string_view text);
bool is_cavity_word(std::string_view text);  // "Pin", "Cavity #", "Klemme" ...
bool is_header_word(std::string_view text);  // the above and "Signal", "Farbe", "Function" ...

// Adds the trimmed text of [begin, end) of a line as a cell.
void add_cell(Row& row, int line_number, std::string_view line, ColumnCursor& column, std::size_t begin,
              std::size_t end);

// Appends the cells of a further line to those of its row; empty cells change nothing.
void join_wrapped(Row& into, const Row& row);

// Moves the first row into the header where words and content say that it is one.
void take_header_row(Table& table);
bool looks_like_header(const Row& first, const std::vector<Row>& below, std::size_t below_from = 0);

// Markdown and HTML marks inside one cell.
std::string without_markdown(std::string_view text);
std::string decode_entities(std::string_view text);
std::string without_tags(std::string_view html);
std::string without_footnotes(std::string_view text);  // reStructuredText's "[1]_" and "[note]_"
bool opens_html_table(std::string_view line);

// Headings.
struct Heading {
  std::string text;
  std::size_t lines = 1;  // an underlined one has two, with overline three
  int level = 1;          // 1 is the outermost
};
constexpr int bold_level = 7;  // a bold line or "Connector: X437" stands below all headings

std::optional<Heading> heading_at(const Reader& reader, std::size_t line);
// A short line ending in a colon: a title only for what follows at once.
std::optional<std::string> caption_of(std::string_view line);
// A short line without a full stop that stands alone right above a table.
std::optional<std::string> title_of_paragraph(std::string_view line);
// One group of dashes or equals signs and nothing else.
bool is_rule(std::string_view line);
// "```" with or without the name of a language: it parts what stands above and below like an empty line.
bool is_fence(std::string_view line);

// The forms. Each gives a region if one of its tables starts at this line.
std::optional<Region> claim_html(Reader& reader, std::size_t line);
std::optional<Region> claim_json(Reader& reader, std::size_t line);
std::optional<Region> claim_yaml(Reader& reader, std::size_t line);
std::optional<Region> claim_wiki(Reader& reader, std::size_t line);
std::optional<Region> claim_grid(Reader& reader, std::size_t line);
std::optional<Region> claim_pipes(Reader& reader, std::size_t line);
std::optional<Region> claim_ruled(Reader& reader, std::size_t line);
std::optional<Region> claim_prose(Reader& reader, std::size_t line);
// A line that is no item of a list of pins right above two that are: its commas part no cells.
bool stands_over_list(Reader& reader, std::size_t line);
std::optional<Region> claim_delimited(Reader& reader, std::size_t line);
std::optional<Region> claim_aligned(Reader& reader, std::size_t line);
std::optional<Region> claim_bare_prose(Reader& reader, std::size_t line);  // "1 GND" with nothing between

bool is_pipe_ruler(std::string_view line);
// Column starts of a ruler such as "=== =====" (two groups or more), empty where the line is none.
std::vector<std::size_t> ruler_columns(std::string_view line);

// A line with tabs expanded to multiples of eight, so that columns can be compared by eye position.
struct VisualLine {
  std::string_view line;
  std::vector<std::uint32_t> bytes;  // byte offset per visual position, one more at the end
  std::size_t width() const { return bytes.size() - 1; }
  bool blank_at(std::size_t position) const { return position >= width() || is_blank(line[bytes[position]]); }
};
VisualLine expand(std::string_view line);

}  // namespace loomgraft::tables
