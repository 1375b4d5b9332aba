// Plain text in columns without a ruler: two blanks or more between cells, or columns that begin at the same position.
#include <algorithm>

#include "text/table_internal.h"

namespace loomgraft::table_forms {
namespace {

struct Piece {
  std::size_t begin, end;  // visual positions
};

constexpr std::size_t max_width = 2'000;
constexpr std::size_t max_columns = 40;

// Pieces parted by two blanks or more. A tab parts as well, even where it stands for one blank only.
std::vector<Piece> split_wide(const VisualLine& line) {
  std::vector<Piece> pieces;
  std::size_t at = 0;
  while (at < line.width()) {
    while (at < line.width() && line.blank_at(at)) ++at;
    if (at >= line.width()) break;
    const std::size_t begin = at;
    while (at < line.width()) {
      if (line.blank_at(at) && (line.blank_at(at + 1) || line.line[line.bytes[at]] == '\t')) break;
      ++at;
    }
    pieces.push_back({begin, at});
  }
  return pieces;
}

struct Column {
  std::size_t begin = 0, end = 0;  // span over all agreeing lines
};

struct Block {
  std::vector<VisualLine> lines;
  std::vector<std::vector<Piece>> pieces;
};

Block look_ahead(const Reader& reader, std::size_t line) {
  Block block;
  for (std::size_t at = line; at < reader.line_count() && block.lines.size() < lines_looked_ahead; ++at) {
    if (reader.line(at).size() > max_width || reader.blank(at)) break;
    block.lines.push_back(expand(reader.line(at)));
    block.pieces.push_back(split_wide(block.lines.back()));
  }
  return block;
}

std::size_t usual_count(const Block& block) {
  std::vector<std::size_t> votes(max_columns + 1, 0);
  for (const auto& pieces : block.pieces) ++votes[std::min(pieces.size(), max_columns)];
  std::size_t best = 0;
  for (std::size_t count = 2; count <= max_columns; ++count)
    if (votes[count] > 0 && (best == 0 || votes[count] >= votes[best])) best = count;
  return best;
}

// Spans of the columns over the lines with the usual number of pieces; empty where they overlap.
std::vector<Column> columns_of(const Block& block, std::size_t count, std::size_t& agreeing) {
  std::vector<Column> columns;
  agreeing = 0;
  for (const auto& pieces : block.pieces) {
    if (pieces.size() != count) continue;
    ++agreeing;
    if (columns.empty()) {
      for (const Piece piece : pieces) columns.push_back({piece.begin, piece.end});
      continue;
    }
    for (std::size_t i = 0; i < count; ++i) {
      columns[i].begin = std::min(columns[i].begin, pieces[i].begin);
      columns[i].end = std::max(columns[i].end, pieces[i].end);
    }
  }
  for (std::size_t i = 0; i + 1 < columns.size(); ++i)
    if (columns[i].end > columns[i + 1].begin) return {};
  return columns;
}

// Every line's text must be cut where the columns are cut; a first line that does not fit is prose above the table.
bool line_fits(const VisualLine& line, const std::vector<Column>& columns) {
  std::size_t cuts = 0;
  for (std::size_t i = 1; i < columns.size(); ++i) {
    if (line.width() <= columns[i].begin) break;
    if (!line.blank_at(columns[i].begin - 1)) return false;
    ++cuts;
  }
  return cuts > 0;
}

// Cuts by columns: a piece goes to the last column that begins before its end.
Row cut_row(const VisualLine& line, int number, const std::vector<Column>& columns) {
  Row row;
  ColumnCursor column(line.line);
  std::size_t begin = 0;
  for (std::size_t i = 0; i < columns.size() && begin < line.width(); ++i) {
    std::size_t end = line.width();
    if (i + 1 < columns.size()) {
      end = std::min(columns[i + 1].begin, line.width());
      // Text across the border: cut at the blank before it, or behind it.
      while (end < line.width() && end > begin && !line.blank_at(end - 1)) --end;
      if (end == begin) {
        end = std::min(columns[i + 1].begin, line.width());
        while (end < line.width() && !line.blank_at(end)) ++end;
      }
    }
    add_cell(row, number, line.line, column, line.bytes[begin], line.bytes[end]);
    begin = end;
  }
  while (!row.empty() && row.back().text.empty()) row.pop_back();
  return row;
}

// A wrapped cell: nothing in the first column, text in one other.
bool is_wrapped(const Row& row) {
  const auto filled = std::count_if(row.begin(), row.end(), [](const Cell& cell) { return !cell.text.empty(); });
  return row.size() >= 2 && row[0].text.empty() && filled == 1;
}

void join_wrapped(Row& into, const Row& row) {
  const Cell& more = row.back();
  while (into.size() < row.size()) into.push_back({"", more.line, more.column, ""});
  std::string& text = into[row.size() - 1].text;
  if (text.empty())
    into[row.size() - 1] = more;
  else
    text += " " + more.text;
}

std::size_t cavities_in_front(const Block& block) {
  std::size_t count = 0;
  for (const VisualLine& line : block.lines) {
    const std::string_view text = trim(line.line);
    const std::string_view word = text.substr(0, text.find_first_of(" \t"));
    count += word.size() < 8 && looks_like_cavity(word) ? 1U : 0U;
  }
  return count;
}

// Columns parted by a single blank in the widest row: positions where every line is blank and most lines begin a word
// right behind. Only for lines that begin with cavities, where a chance gap is unlikely to matter.
std::vector<Column> columns_by_gaps(const Block& block) {
  const std::size_t lines = block.lines.size();
  if (lines < 3 || cavities_in_front(block) * 3 < lines * 2) return {};
  std::vector<Column> columns{{0, 0}};
  for (std::size_t at = 1; at < 200; ++at) {
    std::size_t starts = 0, wide = 0;
    const bool gap = std::all_of(block.lines.begin(), block.lines.end(),
                                 [&](const VisualLine& line) { return line.blank_at(at - 1); });
    if (!gap) continue;
    for (const VisualLine& line : block.lines) {
      starts += line.blank_at(at) ? 0U : 1U;
      wide += !line.blank_at(at) && at >= 2 && line.blank_at(at - 2) ? 1U : 0U;
    }
    if (starts * 3 >= lines * 2 && wide > 0) columns.push_back({at, at + 1});
  }
  return columns.size() >= 2 ? columns : std::vector<Column>{};
}

bool regular_enough(const Block& block, const std::vector<Column>& columns, std::size_t agreeing) {
  if (columns.size() < 2 || agreeing < 2) return false;
  const auto fits = static_cast<std::size_t>(std::count_if(
      block.lines.begin(), block.lines.end(), [&](const VisualLine& line) { return line_fits(line, columns); }));
  if (fits * 3 < block.lines.size() * 2 || !line_fits(block.lines[0], columns)) return false;
  // At least half of the lines begin each column within its span's first third: justified prose does not.
  for (std::size_t i = 1; i < columns.size(); ++i) {
    std::size_t seen = 0, same = 0;
    for (const auto& pieces : block.pieces) {
      if (pieces.size() != columns.size()) continue;
      ++seen;
      same += pieces[i].begin <= columns[i].begin + 1 || pieces[i].end + 1 >= columns[i].end ? 1U : 0U;
    }
    if (same * 2 < seen) return false;
  }
  return true;
}

std::vector<Column> find_columns(const Block& block) {
  if (block.lines.size() < 2) return {};
  std::size_t agreeing = 0;
  const std::size_t count = usual_count(block);
  if (count >= 2 && count < max_columns) {
    auto columns = columns_of(block, count, agreeing);
    if (agreeing * 2 >= block.lines.size() && regular_enough(block, columns, agreeing)) return columns;
  }
  return columns_by_gaps(block);
}

}  // namespace

std::optional<Region> claim_aligned(Reader& reader, std::size_t line) {
  // Cheap refusal first: this line or the next must have a wide gap.
  if (reader.line(line).size() > max_width) return std::nullopt;
  const auto has_gap = [&](std::size_t at) {
    return at < reader.line_count() && trim(reader.line(at).substr(0, max_width)).find_first_of('\t') != std::string_view::npos;
  };
  const auto has_blanks = [&](std::size_t at) {
    return at < reader.line_count() && trim(reader.line(at).substr(0, max_width)).find("  ") != std::string_view::npos;
  };
  if (!has_gap(line) && !has_gap(line + 1) && !has_blanks(line) && !has_blanks(line + 1)) return std::nullopt;
  const Block block = look_ahead(reader, line);
  const std::vector<Column> columns = find_columns(block);
  if (columns.empty()) return std::nullopt;
  Table table;
  table.form = TableForm::aligned;
  std::size_t at = line;
  for (; at < reader.line_count() && !reader.blank(at); ++at) {
    if (at > line && heading_at(reader, at)) break;
    Row row = cut_row(expand(reader.line(at).substr(0, 20'000)), static_cast<int>(at) + 1, columns);
    if (!reader.spend(row.size() + 1, static_cast<int>(at) + 1)) break;
    if (!table.rows.empty() && is_wrapped(row))
      join_wrapped(table.rows.back(), row);
    else if (!row.empty())
      table.rows.push_back(std::move(row));
  }
  take_header_row(table);
  Region region;
  region.end = std::max(at, line + 1);
  region.tables.push_back(std::move(table));
  return region;
}

}  // namespace loomgraft::table_forms
