#include "files/page_tables.h"

#include <algorithm>

#include "base/ascii.h"

namespace loomgraft::files {
namespace {

constexpr double larger_font = 1.12;  // a line in it is a heading
constexpr double gap_of_heads = 0.35;
constexpr std::size_t lines_compared = 8;
constexpr double closer = 0.8;          // lines of one row to rows
constexpr double over_the_edge = 0.25;  // of a word's width
constexpr std::size_t words_of_short_cell = 3;
constexpr std::size_t most_short_text = 5;
constexpr std::size_t most_lines = 1'000;  // of a table on one page
constexpr std::size_t most_columns_of_page = 100;

bool is_row_like(const PageLine& line) {
  return line.segments.size() >= 2;
}

// Every cluster that the segment touches.
std::vector<std::size_t> touched(const std::vector<PageColumn>& columns, const Segment& segment) {
  std::vector<std::size_t> found;
  for (std::size_t i = 0; i < columns.size(); ++i)
    if (segment.left < columns[i].right && columns[i].left < segment.right) found.push_back(i);
  return found;
}

std::vector<PageColumn> clusters_of(std::span<const PageLine> lines) {
  std::vector<Segment> segments;
  for (const PageLine& line : lines)
    if (is_row_like(line)) segments.insert(segments.end(), line.segments.begin(), line.segments.end());
  std::ranges::stable_sort(segments, {}, [](const Segment& segment) { return segment.right - segment.left; });
  std::vector<PageColumn> columns;
  for (const Segment& segment : segments) {
    const std::vector<std::size_t> found = touched(columns, segment);
    const auto supported =
        std::ranges::count_if(found, [&](std::size_t i) { return columns[i].segments >= 2; });
    if (supported >= 2) continue;  // a title over both
    PageColumn joined{segment.left, segment.right, 1};
    for (const std::size_t i : found) {
      joined.left = std::min(joined.left, columns[i].left);
      joined.right = std::max(joined.right, columns[i].right);
      joined.segments += columns[i].segments;
    }
    // From the last one, so that the others stay where they are.
    for (std::size_t k = found.size(); k-- > 0;)
      columns.erase(columns.begin() + static_cast<std::ptrdiff_t>(found[k]));
    columns.push_back(joined);
    if (columns.size() > most_columns_of_page) return {};
  }
  std::ranges::sort(columns, {}, &PageColumn::left);
  return columns;
}

bool fills(const PageLine& line, const PageColumn& column) {
  return std::ranges::any_of(line.segments, [&](const Segment& segment) {
    return segment.left < column.right && column.left < segment.right;
  });
}

// A head that stands beside its narrow column, not above it: the head's line alone fills the one, never both.
void join_heads_beside(std::vector<PageColumn>& columns, std::span<const PageLine> lines) {
  const auto head = std::ranges::find_if(lines, is_row_like);
  if (head == lines.end()) return;
  for (std::size_t i = 0; i + 1 < columns.size();) {
    const PageColumn& one = columns[i];
    const PageColumn& other = columns[i + 1];
    const bool head_alone =
        fills(*head, one) != fills(*head, other) && (fills(*head, one) ? one : other).segments == 1;
    const bool both = std::ranges::any_of(lines, [&](const PageLine& line) {
      return is_row_like(line) && fills(line, one) && fills(line, other);
    });
    if (!head_alone || both) {
      ++i;
      continue;
    }
    columns[i] = {one.left, other.right, one.segments + other.segments};
    columns.erase(columns.begin() + static_cast<std::ptrdiff_t>(i) + 1);
  }
}

// Further lines of a cell can be longer than its first one.
void take_wrapped(std::vector<PageColumn>& columns, std::span<const PageLine> lines) {
  for (const PageLine& line : lines) {
    if (line.segments.size() != 1) continue;
    const std::vector<std::size_t> found = touched(columns, line.segments.front());
    if (found.size() != 1) continue;
    PageColumn& column = columns[found.front()];
    column.left = std::min(column.left, line.segments.front().left);
    column.right = std::max(column.right, line.segments.front().right);
  }
}

bool crosses(const PageLine& line, const std::vector<PageColumn>& columns) {
  return columns.size() >= 2 && std::ranges::any_of(line.segments, [&](const Segment& segment) {
           return touched(columns, segment).size() >= 2;
         });
}

std::vector<PageLine> rows_near(std::span<const PageLine> lines, std::size_t at, bool before) {
  std::vector<PageLine> rows;
  for (std::size_t step = 1; step <= 2 * lines_compared && rows.size() < lines_compared; ++step) {
    if (before ? step > at : at + step >= lines.size()) break;
    const PageLine& line = lines[before ? at - step : at + step];
    const PageLine& next = lines[before ? at - step + 1 : at + step - 1];
    if (std::max(line.size(), next.size()) > larger_font * std::min(line.size(), next.size())) break;
    if (is_row_like(line)) rows.push_back(line);
  }
  return rows;
}

// A line of one segment that belongs to no column: a heading or a sentence.
bool parts_tables(std::span<const PageLine> lines, std::size_t at) {
  const PageLine& line = lines[at];
  if (line.segments.size() != 1) return false;
  if (line.size() > larger_font * lines[at - 1].size()) return true;
  if (text_of(line).size() <= most_short_text) return false;
  return crosses(line, clusters_of(rows_near(lines, at, true))) ||
         crosses(line, clusters_of(rows_near(lines, at, false)));
}

bool looks_like_cavity(std::string_view text) {
  if (text.empty() || text.size() > most_short_text) return false;
  return text.size() == 1 || std::ranges::any_of(text, is_digit);
}

std::size_t column_at(const std::vector<PageColumn>& columns, double x) {
  std::size_t column = 0;
  while (column + 1 < columns.size() && x > (columns[column].right + columns[column + 1].left) / 2) ++column;
  return column;
}

// Where a word belongs: mostly to the column in whose segment it stands.
struct CellLine {
  std::vector<std::string> cells;
  bool runs_over = false;
};

CellLine cells_of(const PageLine& line, const std::vector<PageColumn>& columns) {
  CellLine result{std::vector<std::string>(columns.size()), false};
  for (const Segment& segment : line.segments) {
    std::size_t first = segment.first;
    while (first < segment.end) {
      const auto column_of_word = [&](std::size_t i) {
        return column_at(columns, (line.words[i].left + line.words[i].right) / 2);
      };
      const std::size_t column = column_of_word(first);
      std::size_t end = first + 1;
      while (end < segment.end && column_of_word(end) == column) ++end;
      std::string& cell = result.cells[column];
      cell += (cell.empty() ? "" : " ") + text_of(line, first, end);
      first = end;
    }
  }
  for (const PageWord& word : line.words) {
    const double edge = over_the_edge * (word.right - word.left);
    const std::size_t column = column_at(columns, word.left);
    result.runs_over = result.runs_over ||
                       (column + 1 < columns.size() && word.left + edge < columns[column].right + edge &&
                        columns[column + 1].segments >= 2 && word.right - edge > columns[column + 1].left);
  }
  return result;
}

// The column by which rows are told: cavities if there are any, else the leftmost that is not nearly empty.
std::size_t key_column(const std::vector<CellLine>& lines, std::size_t columns) {
  std::vector<std::size_t> filled(columns), cavities(columns);
  for (const CellLine& line : lines) {
    for (std::size_t i = 0; i < columns; ++i) {
      filled[i] += line.cells[i].empty() ? 0U : 1U;
      cavities[i] += looks_like_cavity(line.cells[i]) ? 1U : 0U;
    }
  }
  const std::size_t most = *std::ranges::max_element(filled);
  for (std::size_t i = 0; i < columns; ++i)
    if (cavities[i] * 10 >= filled[i] * 7 && filled[i] * 10 >= most * 3 && cavities[i] > 0) return i;
  for (std::size_t i = 0; i < columns; ++i)
    if (filled[i] * 10 >= most * 4) return i;
  return 0;
}

// For each line the one above it, by their tops.
std::vector<double> pitches_of(std::span<const PageLine> lines) {
  std::vector<double> pitches(lines.size());
  for (std::size_t i = 1; i < lines.size(); ++i) pitches[i] = lines[i].top - lines[i - 1].top;
  return pitches;
}

// The usual distance between lines that both begin a row.
double usual_pitch(const std::vector<double>& pitches, const std::vector<CellLine>& lines, std::size_t key) {
  std::vector<double> found;
  for (std::size_t i = 1; i < lines.size(); ++i)
    if (!lines[i].cells[key].empty() && !lines[i - 1].cells[key].empty()) found.push_back(pitches[i]);
  if (found.empty()) return 0;
  std::ranges::nth_element(found, found.begin() + static_cast<std::ptrdiff_t>(found.size() / 2));
  return found[found.size() / 2];
}

// Which row each line belongs to.
std::vector<std::size_t> group_lines(std::span<const PageLine> lines, const std::vector<CellLine>& cells,
                                     std::size_t key) {
  const std::vector<double> pitches = pitches_of(lines);
  const double usual = usual_pitch(pitches, cells, key);
  std::vector<std::size_t> rows(lines.size());
  bool joins_next = false;
  for (std::size_t i = 1; i < lines.size(); ++i) {
    const bool keyed = !cells[i].cells[key].empty();
    const bool last = i + 1 == lines.size();
    bool joins = pitches[i] < closer * usual;
    // Cavities in the middle of a row of several lines: the line is closer to the one below it.
    const bool closer_below = !keyed && !last && pitches[i + 1] < closer * pitches[i];
    if (!keyed && !closer_below) joins = true;
    if (joins_next) joins = true;
    rows[i] = rows[i - 1] + (joins ? 0 : 1);
    joins_next = !keyed && closer_below;
  }
  return rows;
}

// The words of the line column by column; nothing where words of two columns stand no further apart than words of one.
std::vector<Segment> segments_in(const PageLine& line, const std::vector<PageColumn>& columns) {
  std::vector<Segment> segments;
  std::size_t column = columns.size();
  for (std::size_t i = 0; i < line.words.size(); ++i) {
    const PageWord& word = line.words[i];
    const std::size_t own = column_at(columns, (word.left + word.right) / 2);
    if (own == column) {
      segments.back().right = word.right;
      segments.back().end = i + 1;
      continue;
    }
    if (i > 0 && word.left - line.words[i - 1].right < gap_of_heads * line.size()) return {};
    segments.push_back({word.left, word.right, i, i + 1});
    column = own;
  }
  return segments;
}

void fill_down(std::vector<PageRow>& rows, std::size_t key) {
  for (std::size_t column = 0; column < key; ++column)
    for (std::size_t i = 2; i < rows.size(); ++i)
      if (rows[i].cells[column].empty()) rows[i].cells[column] = rows[i - 1].cells[column];
}

// Sentences in two columns, or with wide blanks, are no table: none of its columns would have short cells.
bool has_short_column(std::span<const PageLine> lines, const std::vector<PageColumn>& columns) {
  std::vector<std::size_t> segments(columns.size()), words(columns.size());
  for (const PageLine& line : lines) {
    for (const Segment& segment : line.segments) {
      const std::size_t column = column_at(columns, (segment.left + segment.right) / 2);
      ++segments[column];
      words[column] += segment.end - segment.first;
    }
  }
  for (std::size_t i = 0; i < columns.size(); ++i)
    if (segments[i] > 0 && words[i] <= words_of_short_cell * segments[i]) return true;
  return false;
}

}  // namespace

std::vector<PageColumn> columns_of(std::span<const PageLine> lines) {
  std::vector<PageColumn> columns = clusters_of(lines);
  join_heads_beside(columns, lines);
  take_wrapped(columns, lines);
  return columns;
}

bool fits_columns(std::span<const PageLine> lines, const std::vector<PageColumn>& columns) {
  std::size_t words = 0, over = 0;
  for (const PageLine& line : lines) {
    words += line.words.size();
    for (const PageWord& word : line.words)
      over += column_at(columns, word.left) != column_at(columns, word.right) ? 1U : 0U;
  }
  return over * 20 <= words;
}

std::size_t table_length(std::span<const PageLine> lines) {
  if (lines.empty() || !is_row_like(lines.front())) return 0;
  std::size_t end = 1;
  while (end < std::min(lines.size(), most_lines)) {
    const PageLine& line = lines[end];
    if (line.top - lines[end - 1].bottom > widest_gap * line.size()) break;
    ++end;
  }
  lines = lines.first(end);
  for (std::size_t at = 1; at < end; ++at)
    if (parts_tables(lines, at)) end = at;
  lines = lines.first(end);
  const auto rows = std::ranges::count_if(lines, is_row_like);
  if (rows < 2) return 0;
  const std::vector<PageColumn> columns = columns_of(lines);
  return columns.size() >= 2 && has_short_column(lines, columns) ? end : 0;
}

void cut_heads(std::vector<PageLine>& lines) {
  for (std::size_t at = 0; at + 1 < lines.size(); ++at) {
    PageLine& head = lines[at];
    if (head.segments.size() != 1 || head.words.size() < 2 || !is_row_like(lines[at + 1])) continue;
    const std::span<const PageLine> below = std::span<const PageLine>(lines).subspan(at + 1);
    if (below[0].top - head.bottom > head.size() || below[0].size() > larger_font * head.size()) continue;
    const std::size_t length = table_length(below);
    if (length == 0) continue;
    std::vector<Segment> cut = segments_in(head, columns_of(below.first(length)));
    if (cut.size() >= 2) head.segments = std::move(cut);
  }
}

std::vector<PageRow> rows_of(std::span<const PageLine> lines, const std::vector<PageColumn>& columns) {
  std::vector<CellLine> cells;
  cells.reserve(lines.size());
  for (const PageLine& line : lines) cells.push_back(cells_of(line, columns));
  const std::size_t key = key_column(cells, columns.size());
  const std::vector<std::size_t> groups = group_lines(lines, cells, key);
  std::vector<PageRow> rows;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    if (i == 0 || groups[i] != groups[i - 1])
      rows.push_back({lines[i].number, std::vector<std::string>(columns.size()), false});
    PageRow& row = rows.back();
    for (std::size_t c = 0; c < columns.size(); ++c)
      if (!cells[i].cells[c].empty()) row.cells[c] += (row.cells[c].empty() ? "" : " ") + cells[i].cells[c];
    row.runs_over = row.runs_over || cells[i].runs_over;
  }
  fill_down(rows, key);
  return rows;
}

}  // namespace loomgraft::files
