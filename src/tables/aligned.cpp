// Plain text in columns without a ruler: two blanks or more between cells, or columns that begin at the same
// position.
#include <algorithm>

#include "tables/table_internal.h"

namespace loomgraft::tables {
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

// "</pre>" right below the last row.
bool is_tag_line(std::string_view line) {
  line = trim(line);
  return line.size() > 2 && line.front() == '<' && (is_letter(line[1]) || line[1] == '/');
}

Block look_ahead(const Reader& reader, std::size_t line) {
  Block block;
  for (std::size_t at = line; at < reader.line_count() && block.lines.size() < lines_examined; ++at) {
    if (reader.line(at).size() > max_width || reader.blank(at)) break;
    if (is_rule(reader.line(at))) continue;
    if (is_tag_line(reader.line(at))) break;
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

// Every line's text must be cut where the columns are cut; a first line that does not fit is prose above the
// table.
bool line_fits(const VisualLine& line, const std::vector<Column>& columns) {
  std::size_t cuts = 0;
  for (std::size_t i = 1; i < columns.size(); ++i) {
    if (line.width() <= columns[i].begin) break;
    if (!line.blank_at(columns[i].begin - 1)) return false;
    ++cuts;
  }
  return cuts > 0;
}

// As many pieces as columns, each within reach of its own: then the gaps tell better than the positions.
bool pieces_match(const std::vector<Piece>& pieces, const std::vector<Column>& columns) {
  if (pieces.size() != columns.size()) return false;
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    if (i > 0 && pieces[i].begin < columns[i].begin) return false;
    if (i + 1 < columns.size() && pieces[i].begin >= columns[i + 1].begin) return false;
  }
  return true;
}

// Text across the border at `end`: cut at the nearer end of the word that stands there.
std::size_t nearest_cut(const VisualLine& line, std::size_t begin, std::size_t end) {
  std::size_t before = end;
  while (before > begin && !line.blank_at(before - 1)) --before;
  std::size_t behind = end;
  while (behind < line.width() && !line.blank_at(behind)) ++behind;
  return before == begin || behind - end < end - before ? behind : before;
}

Row cut_row(const VisualLine& line, int number, const std::vector<Column>& columns) {
  Row row;
  ColumnCursor column(line.line);
  const std::vector<Piece> pieces = split_wide(line);
  if (pieces_match(pieces, columns)) {
    for (const Piece piece : pieces)
      add_cell(row, number, line.line, column, line.bytes[piece.begin], line.bytes[piece.end]);
    return row;
  }
  std::size_t begin = 0;
  for (std::size_t i = 0; i < columns.size() && begin < line.width(); ++i) {
    std::size_t end = line.width();
    if (i + 1 < columns.size()) {
      end = std::min(columns[i + 1].begin, line.width());
      // Text across the border: cut at the blank before it, or behind it.
      if (!line.blank_at(end)) end = nearest_cut(line, begin, end);
    }
    add_cell(row, number, line.line, column, line.bytes[begin], line.bytes[end]);
    begin = end;
  }
  while (!row.empty() && row.back().text.empty()) row.pop_back();
  return row;
}

// Wrapped cells: nothing in the first column, text in one other, or in several that all go on in lower case.
bool is_wrapped(const Row& row) {
  if (row.size() < 2 || !row[0].text.empty()) return false;
  std::size_t filled = 0, going_on = 0;
  for (const Cell& cell : row) {
    if (cell.text.empty()) continue;
    ++filled;
    going_on += (cell.text[0] >= 'a' && cell.text[0] <= 'z') || cell.text[0] == '(' ? 1U : 0U;
  }
  return filled == 1 || going_on == filled;
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

// Columns parted by a single blank in the widest row: positions where every line is blank and most lines
// begin a word right behind. Only for lines that begin with cavities, where a chance gap is unlikely to
// matter.
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
  const auto fits = static_cast<std::size_t>(
      std::count_if(block.lines.begin(), block.lines.end(),
                    [&](const VisualLine& line) { return line_fits(line, columns); }));
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

std::string_view first_piece(const Block& block, std::size_t index) {
  const VisualLine& line = block.lines[index];
  const Piece piece = block.pieces[index][0];
  return line.line.substr(line.bytes[piece.begin], line.bytes[piece.end] - line.bytes[piece.begin]);
}

// "Plug X1 (grey, 16 way)" right above the columns: a title, and the table begins below it.
bool is_title_above(const Block& block) {
  if (block.lines.size() < 4 || block.pieces[0].size() != 1 || block.pieces[1].size() < 2 ||
      block.pieces[2].size() < 2 || !title_of_paragraph(block.lines[0].line))
    return false;
  if (is_header_word(first_piece(block, 1)) || !looks_like_cavity(block.lines[0].line)) return true;
  // "X2" over "1  V  K line": a letter over numbers alone.
  const auto numbered = [&](std::size_t line) {
    const std::string_view piece = first_piece(block, line);
    return std::all_of(piece.begin(), piece.end(), is_digit);
  };
  return numbered(1) && numbered(2) && is_letter(trim(block.lines[0].line).front());
}

std::vector<Column> find_columns(const Block& block) {
  if (block.lines.size() < 2 || is_title_above(block)) return {};
  std::size_t agreeing = 0;
  const std::size_t count = usual_count(block);
  if (count >= 2 && count < max_columns) {
    auto columns = columns_of(block, count, agreeing);
    if (agreeing * 2 >= block.lines.size() && regular_enough(block, columns, agreeing)) return columns;
  }
  // A caption right above has nothing in the further columns.
  if (block.pieces[0].size() < 2 && caption_of(block.lines[0].line)) return {};
  return columns_by_gaps(block);
}

// "A10 Ignition" in the first column of nearly every row: cavity and text with a single blank between them.
std::size_t behind_first_word(const Cell& cell) {
  const std::size_t blank = cell.text.find(' ');
  if (blank > 8) return 0;  // none at all, too
  return looks_like_cavity(cell.text.substr(0, blank)) ? blank + 1 : 0;
}

void split_first_column(std::vector<Row>& rows) {
  std::size_t joined = 0, single = 0;
  for (const Row& row : rows) {
    joined += behind_first_word(row[0]) > 0 ? 1U : 0U;
    single += looks_like_cavity(row[0].text) ? 1U : 0U;
  }
  if (rows.empty() || single > 0 || (joined + 1) * 10 < rows.size() * 9 || joined < 2) return;
  for (Row& row : rows) {
    std::size_t cut = behind_first_word(row[0]);
    // A head such as "Pin Name" is cut at its first blank as well.
    if (cut == 0) cut = row[0].text.find(' ') + 1;
    Cell rest{"", row[0].line, row[0].column, ""};
    if (cut > 0) {
      rest.column += static_cast<int>(count_characters(row[0].text.substr(0, cut)));
      rest.text = trim(row[0].text.substr(cut));
      row[0].text.resize(cut - 1);
    }
    row.insert(row.begin() + 1, std::move(rest));
  }
}

// The rows above a plain rule are the head, one or two lines of it.
void head_from_rows(Table& table) {
  if (!table.header.empty() || table.rows.empty() || table.rows.size() > 3) return;
  table.header = std::move(table.rows.front());
  for (std::size_t i = 1; i < table.rows.size(); ++i) join_wrapped(table.header, table.rows[i]);
  table.rows.clear();
}

}  // namespace

std::optional<Region> claim_aligned(Reader& reader, std::size_t line) {
  // Cheap refusal first: this line or the next must have a wide gap.
  if (reader.line(line).size() > max_width) return std::nullopt;
  const auto has_gap = [&](std::size_t at) {
    return at < reader.line_count() &&
           trim(reader.line(at).substr(0, max_width)).find_first_of('\t') != std::string_view::npos;
  };
  const auto has_blanks = [&](std::size_t at) {
    return at < reader.line_count() &&
           trim(reader.line(at).substr(0, max_width)).find("  ") != std::string_view::npos;
  };
  if (is_rule(reader.line(line)) || is_tag_line(reader.line(line))) return std::nullopt;
  if (!has_gap(line) && !has_gap(line + 1) && !has_blanks(line) && !has_blanks(line + 1)) return std::nullopt;
  const Block block = look_ahead(reader, line);
  const std::vector<Column> columns = find_columns(block);
  if (columns.empty()) return std::nullopt;
  Table table;
  table.form = TableForm::aligned;
  std::size_t at = line;
  for (; at < reader.line_count() && !reader.blank(at); ++at) {
    if (is_rule(reader.line(at))) {
      head_from_rows(table);
      continue;
    }
    if (at > line && (heading_at(reader, at) || is_tag_line(reader.line(at)))) break;
    Row row = cut_row(expand(reader.line(at).substr(0, 20'000)), static_cast<int>(at) + 1, columns);
    if (!reader.spend(row.size() + 1, static_cast<int>(at) + 1)) break;
    if (!table.rows.empty() && is_wrapped(row))
      join_wrapped(table.rows.back(), row);
    else if (!row.empty())
      table.rows.push_back(std::move(row));
  }
  if (table.header.empty()) split_first_column(table.rows);
  take_header_row(table);
  Region region;
  region.end = std::max(at, line + 1);
  region.tables.push_back(std::move(table));
  return region;
}

}  // namespace loomgraft::tables
