#include "gather/split_colours.h"

#include <algorithm>
#include <array>
#include <string>
#include <string_view>
#include <vector>

#include "base/ascii.h"
#include "gather/column_roles.h"
#include "standards/dictionary.h"
#include "text/colour.h"
#include "text/signal_words.h"

namespace loomgraft::gather {
namespace {

constexpr std::size_t kRowsTried = 300;
constexpr std::size_t kLongestColour = 24;

enum class Form { before, behind, last };

struct Parts {
  std::string_view colour;
  std::string_view rest;
};

std::size_t end_of_word(std::string_view text, std::size_t at) {
  return std::min(text.find_first_of(" \t", at), text.size());
}

// "Red", "Red/White", "light green", "L.Green/Red": the first word, two after a word for light or dark.
Parts before(std::string_view text) {
  constexpr std::array<std::string_view, 12> shades{"light", "dark", "lt",     "dk", "lt.", "dk.",
                                                    "pale",  "hell", "dunkel", "l.", "d.",  "bright"};
  std::size_t end = end_of_word(text, 0);
  const std::string first = lower_case(text.substr(0, end));
  if (std::find(shades.begin(), shades.end(), first) != shades.end() && end < text.size())
    end = end_of_word(text, end + 1);
  const std::string_view colour = trimmed(text.substr(0, end), ",:-");
  return {colour, trimmed(text.substr(end), "-:,=")};
}

// "Earth (black)".
Parts behind(std::string_view text) {
  if (text.empty() || text.back() != ')') return {"", text};
  const std::size_t open = text.rfind('(');
  if (open == std::string_view::npos || open == 0) return {"", text};
  return {trimmed(text.substr(open + 1, text.size() - open - 2)), trimmed(text.substr(0, open))};
}

// "Earth, black", "Battery feed - RED 2.5mm".
Parts last(std::string_view text) {
  const std::size_t comma = text.rfind(", ");
  const std::size_t dash = text.rfind(" - ");
  if (comma == std::string_view::npos && dash == std::string_view::npos) return {"", text};
  const std::size_t at =
      dash == std::string_view::npos || (comma != std::string_view::npos && comma > dash) ? comma : dash;
  return {trimmed(text.substr(at + 2), "-"), trimmed(text.substr(0, at))};
}

Parts parts_of(std::string_view text, Form form) {
  text = trimmed(text);
  if (form == Form::before) return before(text);
  return form == Form::behind ? behind(text) : last(text);
}

bool worded(std::string_view text) {
  return std::any_of(text.begin(), text.end(), is_letter);
}

// Nearly all cells of the column have a colour there, read in one notation, and most have words besides.
bool has_form(const Table& table, std::size_t column, Form form) {
  std::vector<std::string_view> colours;
  std::size_t filled = 0;
  std::size_t with_words = 0;
  for (std::size_t row = 0; row < std::min(table.rows.size(), kRowsTried); ++row) {
    const std::string& text = cell_at(table.rows[row], column).text;
    if (!worded(text)) continue;
    ++filled;
    const Parts parts = parts_of(text, form);
    if (!worded(parts.colour) || parts.colour.size() > kLongestColour) continue;
    colours.push_back(parts.colour);
    with_words += worded(parts.rest) ? 1U : 0U;
  }
  if (colours.size() < 3 || 10 * colours.size() < 8 * filled || 10 * with_words < 7 * filled) return false;
  const ColourReading reading = read_colours(colours, colour_notations());
  std::size_t clear = 0;
  for (std::size_t i = 0; i < colours.size(); ++i)
    clear += reading.colours[i].known() && reading.doubts[i].empty() ? 1U : 0U;
  return 10 * clear >= 8 * filled;
}

// A row without a colour there keeps its text whole.
void split_row(std::vector<Cell>& row, std::size_t column, const Parts& parts, bool known) {
  if (column >= row.size()) return;
  Cell colour = row[column];
  colour.text = known ? std::string(parts.colour) : std::string();
  if (known) row[column].text = std::string(parts.rest);
  row.insert(row.begin() + static_cast<std::ptrdiff_t>(column) + 1, std::move(colour));
}

bool has_colour_head(const Table& table) {
  return std::any_of(table.header.begin(), table.header.end(),
                     [](const Cell& cell) { return role_of_head(cell.text) == ColumnRole::colour; });
}

Table split_at(const Table& table, std::size_t column, Form form) {
  std::vector<Parts> parts;
  std::vector<std::string_view> raw;
  for (const std::vector<Cell>& row : table.rows) {
    parts.push_back(parts_of(cell_at(row, column).text, form));
    const bool fits = worded(parts.back().colour) && parts.back().colour.size() <= kLongestColour;
    raw.push_back(fits ? parts.back().colour : std::string_view());
  }
  const ColourReading reading = read_colours(raw, colour_notations());
  Table result = table;
  for (std::size_t i = 0; i < result.rows.size(); ++i)
    split_row(result.rows[i], column, parts[i], reading.colours[i].known());
  if (column < result.header.size()) {
    Cell head = result.header[column];
    head.text = "Colour";
    result.header.insert(result.header.begin() + static_cast<std::ptrdiff_t>(column) + 1, std::move(head));
  }
  return result;
}

}  // namespace

std::optional<Table> split_colours(const Table& table) {
  if (has_colour_head(table) || table.rows.size() < 3) return std::nullopt;
  std::size_t width = 0;
  for (std::size_t row = 0; row < std::min(table.rows.size(), kRowsTried); ++row)
    width = std::max(width, table.rows[row].size());
  for (std::size_t column = 1; column < std::min<std::size_t>(width, 8); ++column)
    for (const Form form : {Form::before, Form::behind, Form::last})
      if (has_form(table, column, form)) return split_at(table, column, form);
  return std::nullopt;
}

}  // namespace loomgraft::gather
