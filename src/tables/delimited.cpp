// Text with a delimiter between cells: comma, semicolon, tab; cells may stand in quotes and then hold line
// ends.
#include <algorithm>
#include <array>
#include <utility>

#include "tables/table_internal.h"
#include "text/cavity.h"

namespace loomgraft::tables {
namespace {

constexpr std::size_t max_lines_in_quotes = 100;

// How many delimiters a line has outside quotes; looks at the beginning of very long lines only.
std::size_t count_delimiters(std::string_view line, char delimiter) {
  line = line.substr(0, bytes_examined);
  std::size_t count = 0;
  bool quoted = false;
  for (const char c : line) {
    if (c == '"') quoted = !quoted;
    if (c == delimiter && !quoted) ++count;
  }
  if (!quoted || count > 0) return count;
  return static_cast<std::size_t>(std::count(line.begin(), line.end(), delimiter));
}

// Sentences have commas too: mostly a blank behind each, long pieces, a full stop at the end.
bool reads_like_prose(std::string_view line, char delimiter, std::size_t count) {
  if (delimiter == '\t' || line.find('"') != std::string_view::npos) return false;
  if (looks_like_cavity(line.substr(0, line.find(delimiter)))) return false;
  line = trim(line.substr(0, bytes_examined));
  std::size_t with_blank = 0, words = 1;
  for (std::size_t i = 0; i + 1 < line.size(); ++i) {
    with_blank += line[i] == ',' && line[i + 1] == ' ' ? 1U : 0U;
    words += line[i] == ' ' && line[i + 1] != ' ' ? 1U : 0U;
  }
  return with_blank == count && words > 3 * (count + 1);
}

struct Sample {
  std::size_t lines = 0;     // looked at
  std::size_t agreeing = 0;  // of these have the usual count or one more or less
  std::size_t usual = 0;     // delimiters per line
  std::size_t first = 0;     // delimiters of the first line
  std::size_t prose = 0;
  std::size_t doubled = 0;  // lines with two delimiters side by side
  std::size_t largest = 0, least = 0;
  std::size_t closing = 0;  // lines whose only delimiter is their last mark, as in program text
};

constexpr std::array delimiters = {'\t', ';', ','};

const DelimiterTraits& traits_of(Reader& reader, std::size_t line, std::size_t index) {
  DelimiterTraits& traits = reader.traits(index, line);
  if (traits.line == line) return traits;
  const char delimiter = delimiters[index];
  const std::string_view text = reader.line(line).substr(0, bytes_examined);
  const std::string_view bare = trim(text);
  traits = {};
  traits.line = line;
  traits.blank = bare.empty();
  if (traits.blank) return traits;
  // Tabs in front of the text may be indentation only.
  traits.count = count_delimiters(delimiter == '\t' ? bare : text, delimiter);
  // A bar in front is a line block or a table of bars, never the first cell of delimited text.
  traits.prose = reads_like_prose(text, delimiter, traits.count) || bare.front() == '|';
  traits.doubled = bare.find(std::string(2, delimiter)) != std::string_view::npos;
  traits.closing = traits.count == 1 && (bare.back() == delimiter || bare.front() == '<');
  return traits;
}

// The usual count is the one that most lines share; ties go to the larger.
Sample take_sample(Reader& reader, std::size_t line, std::size_t index) {
  Sample sample;
  std::array<std::size_t, lines_examined> counts{};
  for (std::size_t at = line; at < reader.line_count() && sample.lines < lines_examined; ++at) {
    const DelimiterTraits& traits = traits_of(reader, at, index);
    if (traits.blank) break;
    counts[sample.lines++] = traits.count;
    sample.prose += traits.prose ? 1U : 0U;
    sample.doubled += traits.doubled ? 1U : 0U;
    sample.closing += traits.closing ? 1U : 0U;
  }
  sample.first = counts[0];
  if (sample.lines > 0) {
    const auto range =
        std::minmax_element(counts.begin(), counts.begin() + static_cast<std::ptrdiff_t>(sample.lines));
    sample.least = *range.first;
    sample.largest = *range.second;
  }
  std::size_t best = 0;
  for (std::size_t i = 0; i < sample.lines; ++i) {
    const auto votes = static_cast<std::size_t>(
        std::count(counts.begin(), counts.begin() + static_cast<std::ptrdiff_t>(sample.lines), counts[i]));
    if (counts[i] > 0 && (votes > best || (votes == best && counts[i] > sample.usual))) {
      best = votes;
      sample.usual = counts[i];
    }
  }
  for (std::size_t i = 0; i < sample.lines; ++i)
    if (counts[i] > 0 && counts[i] + 1 >= sample.usual) ++sample.agreeing;
  return sample;
}

bool is_table_with(const Sample& sample, char delimiter) {
  if (sample.usual == 0 || sample.lines < 2 || sample.first == 0) return false;
  // Tabs in runs of changing length only line up columns by eye.
  if (delimiter == '\t' && sample.doubled * 2 >= sample.lines && sample.largest != sample.least) return false;
  if (sample.usual == 1 && sample.closing * 2 > sample.lines) return false;
  if (sample.first + 1 < sample.usual && sample.first * 2 < sample.usual)
    return false;  // a line before the table
  // Every other line may hold a quoted cell's further lines, but a comma is too common in prose for that.
  const std::size_t share = delimiter == ',' ? 10 * sample.agreeing / sample.lines : 10;
  if (share < 6 || sample.prose * 2 >= sample.lines) return false;
  return sample.agreeing * 2 >= sample.lines;
}

std::optional<char> find_delimiter(Reader& reader, std::size_t line) {
  const std::string_view text = reader.line(line).substr(0, bytes_examined);
  std::optional<char> best;
  std::size_t best_usual = 0;
  for (std::size_t index = 0; index < delimiters.size(); ++index) {
    const char delimiter = delimiters[index];
    if (text.find(delimiter) == std::string_view::npos) continue;
    const Sample sample = take_sample(reader, line, index);
    if (!is_table_with(sample, delimiter)) continue;
    // A semicolon wins over commas (decimal commas, lists in cells) when it parts lines as regularly.
    if (best && (delimiter == ',' ? sample.usual <= 2 * best_usual : sample.usual <= best_usual)) continue;
    best = delimiter;
    best_usual = sample.usual;
  }
  return best;
}

// Reads rows that may go on over several lines.
class RowReader {
 public:
  RowReader(Reader& reader, char delimiter) : reader_(reader), delimiter_(delimiter) {}

  // Reads the row at `line` and moves `line` behind it.
  Row read(std::size_t& line) {
    Row row;
    row.reserve(last_size_);
    line_ = line;
    at_ = 0;
    std::string_view text = reader_.line(line_);
    ColumnCursor column(text);
    while (true) {
      const std::size_t cell_line = line_;
      read_cell(row, column);
      if (line_ != cell_line) {
        text = reader_.line(line_);
        column = ColumnCursor(text);
      }
      if (at_ >= text.size()) break;
      ++at_;  // the delimiter
      if (row.size() + 1 == max_cells_in_row) {
        add_cell(row, number(), text, column, at_, text.size());
        break;
      }
    }
    line = line_ + 1;
    last_size_ = row.size();
    return row;
  }

 private:
  int number() const { return static_cast<int>(line_) + 1; }

  void read_cell(Row& row, ColumnCursor& column) {
    const std::string_view text = reader_.line(line_);
    std::size_t begin = at_;
    while (begin < text.size() && text[begin] == ' ') ++begin;
    if (begin < text.size() && text[begin] == '"' && read_quoted(row, column, begin)) return;
    std::size_t end = text.find(delimiter_, at_);
    if (end == std::string_view::npos) end = text.size();
    add_cell(row, number(), text, column, at_, end);
    at_ = end;
  }

  // The next quote mark that is not doubled, from (line_, at); text in between goes to `cell`.
  bool find_closing(std::string& cell, std::size_t& line, std::size_t& at) const {
    const std::size_t first = line;
    while (true) {
      const std::string_view text = reader_.line(line);
      const std::size_t quote = text.find('"', at);
      cell.append(text.substr(at, quote == std::string_view::npos ? std::string_view::npos : quote - at));
      if (quote == std::string_view::npos) {
        if (++line >= reader_.line_count() || line - first > max_lines_in_quotes ||
            cell.size() > max_cell_characters)
          return false;
        cell.push_back('\n');
        at = 0;
        continue;
      }
      at = quote + 1;
      if (at >= text.size() || text[at] != '"') return true;
      cell.push_back('"');
      ++at;
    }
  }

  bool read_quoted(Row& row, ColumnCursor& column, std::size_t quote) {
    std::string cell;
    std::size_t line = line_;
    std::size_t at = quote + 1;
    bool closed = find_closing(cell, line, at);
    const std::string_view text = closed ? reader_.line(line) : std::string_view{};
    std::size_t after = at;
    while (closed && after < text.size() && text[after] == ' ') ++after;
    const bool at_delimiter = closed && (after >= text.size() || text[after] == delimiter_);
    if (closed && !at_delimiter && line == line_) {
      // "12" ring terminal: the quotes are part of the text, up to the delimiter.
      return false;
    }
    closed = closed && at_delimiter;
    if (!closed) {
      reader_.report(
          Severity::warning, "unclosed-quote", number(), column.at(quote),
          "A quotation mark opens a cell here and no other closes it.",
          "The mark was taken as text up to the end of the line. Close the cell or remove the mark.");
      return false;
    }
    const int cell_column = column.at(std::min(quote + 1, reader_.line(line_).size()));
    row.push_back({std::string(trim(cell)), number(), cell_column, {}});
    line_ = line;
    at_ = after;
    return true;
  }

  Reader& reader_;
  char delimiter_;
  std::size_t line_ = 0;
  std::size_t at_ = 0;
  std::size_t last_size_ = 1;
};

std::size_t filled(const Row& row) {
  return static_cast<std::size_t>(
      std::count_if(row.begin(), row.end(), [](const Cell& cell) { return !cell.text.empty(); }));
}

// Cells up to the last one that holds something.
std::size_t width_of(const Row& row) {
  std::size_t width = row.size();
  while (width > 0 && row[width - 1].text.empty()) --width;
  return width;
}

// A spreadsheet's blank line: nothing but delimiters.
bool only_delimiters(std::string_view line, char delimiter) {
  return std::all_of(line.begin(), line.end(),
                     [&](char c) { return c == delimiter || is_blank(c) || c == '"'; });
}

// A line that titles another table: one filled cell, and below it a head like the one of this table.
bool titles_next_table(Reader& reader, std::size_t line, char delimiter, const Table& table) {
  if (line + 1 >= reader.line_count() || table.rows.empty()) return false;
  const std::string_view text = reader.line(line);
  const std::size_t count = count_delimiters(text, delimiter);
  const std::string_view title = trim(text);
  if (count > 0 && !only_delimiters(text.substr(std::min(text.size(), text.find(delimiter))), delimiter))
    return false;
  if (title.empty() || title.size() > 200) return false;
  std::size_t next = line + 1;
  const std::string_view below = reader.line(next);
  if (below.size() > bytes_examined || count_delimiters(below, delimiter) == 0) return false;
  Problems ignored;
  Reader peek(reader.document(), ignored);
  const Row head = RowReader(peek, delimiter).read(next);
  return filled(head) >= 2 && looks_like_header(head, {});
}

// As wide as the head, or as the last row where that ends early.
bool as_wide(std::size_t cells, const Table& table) {
  return cells == table.rows.front().size() || cells == table.rows.back().size();
}

// After a blank line the table goes on if as many cells follow and the first of them is no head. A shorter
// row that stands alone would be lost: it goes on where it begins with a cavity.
bool continues_after_blank(Reader& reader, std::size_t line, char delimiter, const Table& table) {
  if (line >= reader.line_count() || table.rows.empty()) return false;
  const std::size_t cells = count_delimiters(reader.line(line), delimiter) + 1;
  const bool alone = line + 1 >= reader.line_count() || reader.blank(line + 1);
  const bool wide = as_wide(cells, table);
  if (!wide && !alone) return false;
  if (reader.line(line).size() > bytes_examined || find_delimiter(reader, line) == std::nullopt) {
    if (line + 1 < reader.line_count() && !reader.blank(line + 1)) return false;
  }
  Problems ignored;
  Reader peek(reader.document(), ignored);
  std::size_t next = line;
  const Row row = RowReader(peek, delimiter).read(next);
  const bool fits = width_of(row) <= table.rows.front().size() && looks_like_cavities(row[0].text);
  if (!wide && !fits) return false;
  return filled(row) >= 2 && !looks_like_header(row, table.rows);
}

// Skips blank lines; gives false where the table ends before them.
bool cross_blank(Reader& reader, std::size_t& at, char delimiter, const Table& table) {
  std::size_t next = at;
  while (next < reader.line_count() && next < at + 4 && only_delimiters(reader.line(next), delimiter)) ++next;
  if (!continues_after_blank(reader, next, delimiter, table)) return false;
  at = next;
  return true;
}

std::string title_of(std::string_view line) {
  while (!line.empty() && (is_blank(line.back()) || line.back() == ',' || line.back() == ';'))
    line.remove_suffix(1);
  while (!line.empty() && (is_blank(line.front()) || line.front() == '"')) line.remove_prefix(1);
  while (!line.empty() && (line.back() == '"' || line.back() == ':')) line.remove_suffix(1);
  return std::string(line);
}

}  // namespace

// Title lines of a spreadsheet: text in the first cell, the others empty. They stand above the head.
std::size_t take_titles(Reader& reader, std::size_t line, char delimiter, Region& region) {
  while (line < reader.line_count()) {
    const std::string_view text = reader.line(line);
    const std::size_t cut = text.find(delimiter);
    if (cut == std::string_view::npos || text.size() > 1'000 || trim(text.substr(0, cut)).empty() ||
        !only_delimiters(text.substr(cut), delimiter))
      break;
    region.heading = title_of(text);
    region.prose.push_back(region.heading);
    ++line;
  }
  return line;
}

std::optional<Region> claim_delimited(Reader& reader, std::size_t line) {
  const auto delimiter = find_delimiter(reader, line);
  if (!delimiter || (*delimiter == ',' && stands_over_list(reader, line))) return std::nullopt;
  RowReader rows(reader, *delimiter);
  Table table;
  table.form = TableForm::delimited;
  Region region;
  std::size_t at = take_titles(reader, line, *delimiter, region);
  if (at > line && (at == reader.line_count() || only_delimiters(reader.line(at), *delimiter))) {
    region.end = at;
    return region;
  }
  table.name = std::exchange(region.heading, {});
  while (at < reader.line_count()) {
    const std::string_view text = reader.line(at);
    if (only_delimiters(text.substr(0, bytes_examined), *delimiter) && only_delimiters(text, *delimiter) &&
        !cross_blank(reader, at, *delimiter, table))
      break;
    if (titles_next_table(reader, at, *delimiter, table)) {
      region.heading = title_of(reader.line(at));
      ++at;
      break;
    }
    const int number = static_cast<int>(at) + 1;
    table.rows.push_back(rows.read(at));
    if (!reader.spend(table.rows.back().size(), number)) break;
  }
  take_header_row(table);
  region.end = std::max(at, line + 1);
  region.tables.push_back(std::move(table));
  return region;
}

}  // namespace loomgraft::tables
