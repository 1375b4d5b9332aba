#include "files/sheet_text.h"

#include <algorithm>
#include <array>
#include <map>
#include <optional>
#include <set>

#include "base/ascii.h"

namespace loomgraft::files {
namespace {

constexpr int most_head_rows = 3;
constexpr int most_blank_rows = 3;

// Names that programs give, in the languages in which they are met, and names that only say what is on the sheet.
constexpr std::array given_names = {"sheet", "tabelle", "feuil",    "feuille", "hoja", "foglio",
                                    "blad",  "ark",     "planilha", "arkusz",  "list", "taulukko",
                                    "pins",  "pinout",  "table",    "data"};

bool is_given_name(std::string_view name) {
  std::string word = lower(trimmed(name));
  while (!word.empty() && (is_digit(word.back()) || word.back() == ' ' || word.back() == '_'))
    word.pop_back();
  return word.empty() ? name.find_first_not_of(' ') == std::string_view::npos
                      : std::ranges::find(given_names, word) != given_names.end();
}

const SheetCell* cell_of(const SheetRow& row, int column) {
  const auto found = std::ranges::find(row.cells, column, &SheetCell::column);
  return found == row.cells.end() ? nullptr : &*found;
}

void put(SheetRow& row, int column, const std::string& text) {
  auto at = std::ranges::lower_bound(row.cells, column, {}, &SheetCell::column);
  if (at != row.cells.end() && at->column == column)
    at->text = text;
  else
    row.cells.insert(at, {column, text, ""});
}

class SheetWriter {
 public:
  SheetWriter(PlacedText& text, Sheet& sheet) : text_(text), sheet_(sheet) {}

  bool run() {
    for (SheetRow& row : sheet_.rows) std::ranges::stable_sort(row.cells, {}, &SheetCell::column);
    std::ranges::stable_sort(sheet_.rows, {}, &SheetRow::number);
    join_heads();
    repeat_merged();
    text_.begin_part(sheet_.name);
    if (!is_given_name(sheet_.name)) text_.add_heading(sheet_.name, 0);
    for (const std::vector<int>& columns : tables_side_by_side())
      if (!write(columns)) return false;
    text_.add_blank();
    return true;
  }

 private:
  SheetRow* row_numbered(int number) {
    const auto at = std::ranges::lower_bound(sheet_.rows, number, {}, &SheetRow::number);
    return at != sheet_.rows.end() && at->number == number ? &*at : nullptr;
  }

  // "Pin" over two rows beside "Wire" over two columns, with "Colour" and "Size" below it: one head, "Wire Colour".
  void join_heads() {
    std::set<int> joined;
    for (const Merge& down : sheet_.merges) {
      if (down.bottom <= down.top || down.bottom - down.top >= most_head_rows || joined.contains(down.top))
        continue;
      const bool groups = std::ranges::any_of(sheet_.merges, [&](const Merge& across) {
        return across.top == down.top && across.bottom == down.top && across.right > across.left;
      });
      SheetRow* head = row_numbered(down.top);
      if (!groups || !head) continue;
      for (const Merge& across : sheet_.merges) {
        const SheetCell* title =
            across.top == down.top && across.bottom == down.top && across.right > across.left
                ? cell_of(*head, across.left)
                : nullptr;
        if (!title) continue;
        const std::string text = title->text;
        for (int column = across.left + 1; column <= std::min(across.right, across.left + 64); ++column)
          put(*head, column, text);
      }
      join_below(*head, down);
      joined.insert(down.top);
    }
    std::erase_if(sheet_.rows, [](const SheetRow& row) { return row.cells.empty(); });
    std::erase_if(sheet_.merges, [&](const Merge& merge) {
      return joined.contains(merge.top) && merge.bottom - merge.top < most_head_rows;
    });
  }

  void join_below(SheetRow& head, const Merge& down) {
    for (int number = down.top + 1; number <= down.bottom; ++number) {
      SheetRow* below = row_numbered(number);
      if (!below) continue;
      for (const SheetCell& cell : below->cells) {
        const SheetCell* above = cell_of(head, cell.column);
        put(head, cell.column, above && !above->text.empty() ? above->text + " " + cell.text : cell.text);
      }
      below->cells.clear();
    }
    head.number = down.bottom;  // no blank line between it and its rows
  }

  void repeat_merged() {
    for (const Merge& merge : sheet_.merges) {
      if (merge.bottom <= merge.top) continue;
      const SheetRow* first = row_numbered(merge.top);
      const SheetCell* cell = first ? cell_of(*first, merge.left) : nullptr;
      if (!cell) continue;
      const std::string text = cell->text;
      // Only rows that hold something: a merge may run to the end of the sheet.
      auto at = std::ranges::upper_bound(sheet_.rows, merge.top, {}, &SheetRow::number);
      for (; at != sheet_.rows.end() && at->number <= merge.bottom; ++at) {
        if (++repeated_ > most_cells) return;
        put(*at, merge.left, text);
      }
    }
  }

  // The columns of each table that stands beside others; mostly one list of all columns that are used.
  std::vector<std::vector<int>> tables_side_by_side() const {
    std::set<int> used;
    for (const SheetRow& row : sheet_.rows)
      for (const SheetCell& cell : row.cells) used.insert(cell.column);
    std::vector<std::vector<int>> groups;
    for (const int column : used) {
      if (groups.empty() || column != groups.back().back() + 1) groups.emplace_back();
      groups.back().push_back(column);
    }
    const std::vector<int> all(used.begin(), used.end());
    if (groups.size() < 2) return {all};
    const std::set<std::string> head = head_words(groups.front());
    const bool alike =
        !head.empty() && std::all_of(groups.begin() + 1, groups.end(), [&](const std::vector<int>& group) {
          const std::set<std::string> words = head_words(group);
          return std::ranges::any_of(words, [&](const std::string& word) { return head.contains(word); });
        });
    return alike ? groups : std::vector<std::vector<int>>{all};
  }

  // The texts of the first row that fills two of the columns.
  std::set<std::string> head_words(const std::vector<int>& columns) const {
    for (const SheetRow& row : sheet_.rows) {
      std::set<std::string> words;
      for (const SheetCell& cell : row.cells)
        if (std::ranges::binary_search(columns, cell.column)) words.insert(lower(trimmed(cell.text)));
      if (words.size() >= 2) return words;
    }
    return {};
  }

  bool write(const std::vector<int>& columns) {
    int last = 0;
    for (const SheetRow& row : sheet_.rows) {
      std::vector<PlacedCell> cells;
      std::vector<std::string> doubts;
      for (const int column : columns) {
        const auto at = std::ranges::lower_bound(row.cells, column, {}, &SheetCell::column);
        const bool there = at != row.cells.end() && at->column == column;
        cells.push_back({there ? at->text : std::string(), column});
        if (there && !at->doubt.empty()) doubts.push_back(at->doubt);
      }
      if (std::ranges::all_of(cells, [](const PlacedCell& cell) { return cell.text.empty(); })) continue;
      if (text_.cells() + cells.size() > most_cells) return false;
      for (int blank = 0; last > 0 && blank < std::min(row.number - last - 1, most_blank_rows); ++blank)
        text_.add_blank();
      text_.add_row(cells, row.number);
      for (std::string& doubt : doubts) text_.add_doubt(std::move(doubt));
      last = row.number;
    }
    text_.add_blank();
    return true;
  }

  PlacedText& text_;
  Sheet& sheet_;
  std::size_t repeated_ = 0;
};

}  // namespace

bool add_workbook(PlacedText& text, Workbook& book) {
  return std::ranges::all_of(book.sheets, [&](Sheet& sheet) { return SheetWriter(text, sheet).run(); });
}

}  // namespace loomgraft::files
