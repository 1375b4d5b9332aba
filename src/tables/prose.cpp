// Pins as list items ("<li>Pin 1 Left indicator</li>", "- 1: GND", "* A3 – +12 V", "1. foo") and as lines
// ("Pin 3 - +12V output for ...", "Pins 9 & 10 - first bus"), with their continuation lines. An item is
// strong if a mark or a word parts cavity and text; weak ones ("1 GND") count only in a run of several.
#include <algorithm>
#include <array>

#include "tables/table_internal.h"

namespace loomgraft::tables {
namespace {

constexpr std::array pin_words = {"pins",     "pin",      "terminals", "terminal", "cavity",
                                  "cavities", "contacts", "contact",   "pole",     "poles",
                                  "klemme",   "kontakt",  "stift",     "broche",   "borne",
                                  "patilla",  "pino",     "ben",       "pol"};

struct Item {
  std::size_t cavity_begin = 0, cavity_end = 0;
  std::size_t text_begin = 0, text_end = 0;
  bool pin_word = false;  // "Pin 3"
  bool marker = false;    // "- ", "<li>"
  bool is_pin = true;     // false: a list item without a cavity
  bool weak = false;      // nothing but a blank between cavity and text
  bool open = false;      // "<li>" without its end
};

std::size_t skip_blanks(std::string_view line, std::size_t at) {
  while (at < line.size() && (is_blank(line[at]) || line.substr(at).starts_with("\xC2\xA0"))) {
    at += line[at] == '\xC2' ? 2 : 1;
  }
  return at;
}

// Length of a list mark at `at`, with the blanks behind it.
std::size_t marker_length(std::string_view line, std::size_t at) {
  const std::string_view rest = line.substr(at);
  std::size_t length = 0;
  if (rest.starts_with("- ") || rest.starts_with("* ") || rest.starts_with("+ ") || rest.starts_with("-\t") ||
      rest.starts_with("*\t"))
    length = 1;
  else if (rest.starts_with("\xE2\x80\xA2") || rest.starts_with("\xE2\x97\x8F"))
    length = 3;
  else if (rest.starts_with("\xC2\xB7"))
    length = 2;
  return length == 0 ? 0 : skip_blanks(line, at + length) - at;
}

// One name of a cavity: letters and digits, also "C101-12" and "3/13", with "#" in front.
std::size_t cavity_name_length(std::string_view rest) {
  std::size_t at = rest.starts_with('#') ? 1 : 0;
  const auto part = [&](char c) { return is_letter(c) || is_digit(c); };
  while (at < rest.size() && at < 12) {
    const bool joint = (rest[at] == '-' || rest[at] == '/' || rest[at] == '_') && at > 0 &&
                       at + 1 < rest.size() && part(rest[at - 1]) && part(rest[at + 1]);
    if (!part(rest[at]) && !joint) break;
    ++at;
  }
  return at > 0 && looks_like_cavity(rest.substr(0, at)) ? at : 0;
}

// Between two cavities of one item: ",", "&", "+", "and", "to", "-", "–", "/".
std::size_t list_joint_length(std::string_view line, std::size_t at) {
  const std::size_t begin = at;
  at = skip_blanks(line, at);
  const std::string_view rest = line.substr(at);
  std::size_t length = 0;
  for (const std::string_view word :
       {", and ", "and ", "und ", "et ", "to ", "or ", ", ", ",", "&", "+", "/"})
    if (length == 0 && rest.starts_with(word)) length = word.size();
  const bool touching = begin == at;
  if (touching && length == 0 && rest.starts_with('-')) length = 1;
  if (touching && length == 0 && rest.starts_with("\xE2\x80\x93")) length = 3;
  if (length == 0 || (!touching && (rest.starts_with('+') || rest.starts_with('/')))) return 0;
  return skip_blanks(line, at + length) - begin;
}

// "1", "9 & 10", "1, 2 and 3", "A1-A4".
std::size_t cavities_end(std::string_view line, std::size_t at) {
  std::size_t length = cavity_name_length(line.substr(at));
  if (length == 0) return at;
  at += length;
  while (true) {
    const std::size_t joint = list_joint_length(line, at);
    if (joint == 0) return at;
    length = cavity_name_length(line.substr(at + joint));
    // "1, A small relay": a lone letter behind a joint is a word.
    if (length == 0 ||
        (length == 1 && !is_digit(line[at + joint]) && skip_blanks(line, at + joint + 1) != at + joint + 1))
      return at;
    at += joint + length;
  }
}

// Length of the separator between cavity and text, with blanks; 0 where there is none.
std::size_t separator_length(std::string_view line, std::size_t at, bool loose) {
  const std::size_t begin = at;
  at = skip_blanks(line, at);
  const bool spaced = at > begin;
  const std::string_view rest = line.substr(at);
  std::size_t length = 0;
  bool needs_blank = false;  // behind it, unless one stands before it
  for (const std::string_view mark :
       {"->", "=>", "\xE2\x80\x94", "\xE2\x80\x93", "\xE2\x86\x92", "\xE2\x88\x92"})
    if (length == 0 && rest.starts_with(mark)) length = mark.size();
  if (length == 0 && !rest.empty() && std::string_view(":-=.)").find(rest[0]) != std::string_view::npos) {
    length = 1;
    needs_blank = rest[0] != ')' && !(rest[0] == ':' && loose) && !(rest[0] == '=' && loose);
    if (rest[0] == '.' && spaced) return 0;
  }
  if (length == 0) return 0;
  const std::size_t end = skip_blanks(line, at + length);
  const bool blank_behind = end > at + length || end == line.size();
  if (needs_blank && !blank_behind && !(spaced && rest[0] == '=')) return 0;
  if (rest[0] == '-' && !spaced && !blank_behind) return 0;
  return end - begin;
}

std::size_t pin_word_length(std::string_view rest) {
  for (const std::string_view word : pin_words) {
    if (!starts_with_word(rest, word)) continue;
    std::size_t at = word.size();
    if (at < rest.size() && rest[at] == '.') ++at;
    at = skip_blanks(rest, at);
    for (const std::string_view number : {"number ", "no. ", "no.", "nr. ", "nr.", "no "})
      if (starts_with_word(rest.substr(at), trim(number).substr(0, 2)) && rest.substr(at).starts_with(number))
        return skip_blanks(rest, at + number.size());
    return at;
  }
  return 0;
}

// Bold and code marks around "**Pin 1**:" are stepped over.
std::size_t skip_emphasis(std::string_view line, std::size_t at) {
  while (at < line.size() && (line[at] == '*' || line[at] == '`' || line[at] == '_')) ++at;
  return at;
}

std::size_t leading_letters(std::string_view text) {
  std::size_t count = 0;
  while (count < text.size() && is_letter(text[count])) ++count;
  return count;
}

std::optional<Item> read_item(std::string_view line, std::size_t begin, std::size_t end, bool marker) {
  const std::string_view text = line.substr(0, end);
  Item item;
  item.marker = marker;
  std::size_t at = skip_emphasis(text, begin);
  const std::size_t word = pin_word_length(text.substr(at));
  item.pin_word = word > 0;
  at = skip_emphasis(text, at + word);
  item.cavity_begin = at;
  item.cavity_end = cavities_end(text, at);
  if (item.cavity_end == at) return std::nullopt;
  // "CAN2: body" explains a word; a cavity has one letter or two.
  if (!item.pin_word && leading_letters(text.substr(at)) > 2) return std::nullopt;
  std::size_t behind = skip_emphasis(text, item.cavity_end);
  const std::size_t separator = separator_length(text, behind, marker || item.pin_word);
  if (separator == 0) {
    const std::size_t blanks = skip_blanks(text, behind) - behind;
    if (blanks == 0 && behind < end) return std::nullopt;
    // Wide gaps between columns are left to the reader of aligned text.
    const bool wide = blanks >= 2 || text.substr(behind, 1) == "\t";
    item.weak = !item.pin_word && !(marker && wide);
    behind += blanks;
  } else {
    behind = skip_emphasis(text, behind + separator);
    // "**1:** GND" or "`1` -> `GND`": the mark before the text opens anew.
    if (behind > item.cavity_end + separator && text[behind - 1] == '`') --behind;
    behind = skip_blanks(text, behind);
  }
  item.text_begin = behind;
  item.text_end = end;
  return item;
}

bool strong(const Item& item) {
  return item.is_pin && !item.weak;
}

// "1 - Ground        14 - Injector 1": two lists side by side.
void split_side_by_side(std::string_view line, std::vector<Item>& items) {
  while (items.size() < 16 && strong(items.back())) {
    Item& last = items.back();
    std::size_t gap = line.find("  ", last.text_begin);
    std::optional<Item> next;
    while (gap != std::string_view::npos && gap < last.text_end) {
      const std::size_t begin = skip_blanks(line, gap);
      next = read_item(line, begin, last.text_end, false);
      if (next && strong(*next) && next->pin_word == last.pin_word) break;
      next.reset();
      gap = line.find("  ", begin);
    }
    if (!next) return;
    last.text_end = gap;
    items.push_back(*next);
  }
}

std::size_t skip_tags(std::string_view line, std::size_t at) {
  at = skip_blanks(line, at);
  while (at + 1 < line.size() && line[at] == '<' && (is_letter(line[at + 1]) || line[at + 1] == '/')) {
    const std::size_t close = line.find('>', at);
    if (close == std::string_view::npos) break;
    at = skip_blanks(line, close + 1);
  }
  return at;
}

std::size_t find_break(std::string_view line, std::size_t at) {
  for (at = line.find('<', at); at != std::string_view::npos; at = line.find('<', at + 1))
    if (starts_with_word(line.substr(at + 1, 3), "br")) return at;
  return std::string_view::npos;
}

// "<p>1 - GND<br>2 - +12 V</p>": the pieces between breaks. Gives false where no pin is among them.
bool items_between_breaks(std::string_view line, std::vector<Item>& items) {
  std::size_t at = 0;
  std::size_t stop = find_break(line, 0);
  if (stop == std::string_view::npos) return false;
  while (at < line.size() && items.size() < max_cells_in_row) {
    const std::size_t end = std::min(stop, line.size());
    const std::size_t begin = std::min(skip_tags(line, at), end);
    if (auto item = read_item(line, begin, end, false); item && strong(*item)) {
      items.push_back(*item);
    } else if (!items.empty() && begin < end) {
      items.emplace_back();
      items.back().is_pin = false;
      items.back().cavity_begin = items.back().cavity_end = items.back().text_begin = begin;
      items.back().text_end = end;
    }
    if (stop == std::string_view::npos) break;
    at = std::min(line.find('>', stop), line.size() - 1) + 1;
    stop = find_break(line, at);
  }
  return !items.empty();
}

// The items of a line: one for most, several where "<li>" elements share a line.
void items_of(std::string_view line, std::vector<Item>& items) {
  items.clear();
  std::size_t at = line.find('<');
  while (at != std::string_view::npos && items.size() < max_cells_in_row) {
    if (!starts_with_word(line.substr(at, 4), "<li")) {
      at = line.find('<', at + 1);
      continue;
    }
    const std::size_t open = line.find('>', at);
    if (open == std::string_view::npos) break;
    std::size_t end = open + 1;
    bool closed = false;
    for (end = line.find('<', end); end != std::string_view::npos; end = line.find('<', end + 1)) {
      closed = starts_with_word(line.substr(end, 5), "</li");
      if (closed || starts_with_word(line.substr(end, 4), "<li") ||
          starts_with_word(line.substr(end, 5), "</ul"))
        break;
    }
    if (end == std::string_view::npos) end = line.size();
    const std::size_t begin = skip_blanks(line, open + 1);
    auto item = read_item(line, begin, end, true);
    if (!item) {
      item = Item{};
      item->marker = true;
      item->is_pin = false;
      item->cavity_begin = item->cavity_end = item->text_begin = begin;
      item->text_end = std::max(begin, end);
    }
    item->open = !closed;
    items.push_back(*item);
    at = end < line.size() ? end : std::string_view::npos;
  }
  if (!items.empty()) return;
  if (items_between_breaks(line, items)) return;
  std::size_t begin = skip_blanks(line, 0);
  const std::size_t marker = marker_length(line, begin);
  if (auto item = read_item(line, begin + marker, line.size(), marker > 0)) {
    items.push_back(*item);
    split_side_by_side(line, items);
  } else if (marker > 0) {
    items.emplace_back();
    items.back().marker = true;
    items.back().is_pin = false;
    items.back().cavity_begin = items.back().cavity_end = items.back().text_begin = begin + marker;
    items.back().text_end = line.size();
  }
}

bool any_pin(const std::vector<Item>& items) {
  return std::any_of(items.begin(), items.end(), [](const Item& item) { return item.is_pin; });
}

bool any_strong(const std::vector<Item>& items) {
  return std::any_of(items.begin(), items.end(), strong);
}

Row row_of(std::string_view line, int number, const Item& item) {
  Row row;
  ColumnCursor column(line);
  add_cell(row, number, line, column, item.cavity_begin, item.cavity_end);
  add_cell(row, number, line, column, item.text_begin, item.text_end);
  std::string& text = row.back().text;
  if (text.find('<') != std::string::npos) text = trim(without_tags(text));
  text = without_markdown(text);
  if (text.find('&') != std::string::npos) text = decode_entities(text);
  return row;
}

bool brackets_open(std::string_view text) {
  constexpr std::size_t reach = 1'000;
  if (text.size() > reach) return false;
  return std::count(text.begin(), text.end(), '(') > std::count(text.begin(), text.end(), ')');
}

class ProseReader {
 public:
  ProseReader(Reader& reader, bool weak) : reader_(reader), weak_(weak) {}

  bool item_at(std::size_t line) {
    constexpr std::size_t longest = 1'000'000;
    items_.clear();
    if (line >= reader_.line_count() || reader_.line(line).size() > longest) return false;
    items_of(reader_.line(line), items_);
    return weak_ ? any_pin(items_) : any_strong(items_);
  }

  // Is this line the rest of the item above it?
  bool continues(std::size_t line, std::string_view above, bool open) {
    if (reader_.blank(line) || heading_at(reader_, line)) return false;
    const std::string_view text = reader_.line(line);
    if (marker_length(text, skip_blanks(text, 0)) > 0 || caption_of(text) ||
        text.find('|') != std::string_view::npos)
      return false;
    if (starts_with_word(trim(text), "<") || trim(text).starts_with('<')) return false;
    if (open || is_blank(text.front()) || brackets_open(above)) return true;
    const char first = trim(text).front();
    if (first >= 'a' && first <= 'z') return true;
    for (std::size_t next = line + 1; next < reader_.line_count() && next < line + 3; ++next) {
      if (reader_.blank(next)) return false;
      if (item_at(next)) return true;
    }
    return false;
  }

  const std::vector<Item>& items() const { return items_; }

 private:
  Reader& reader_;
  bool weak_;
  std::vector<Item> items_;
};

// Blank lines between items are crossed if an item of the same kind follows.
bool cross_blank(Reader& reader, ProseReader& prose, std::size_t& at, const Item& last) {
  std::size_t next = at;
  while (next < reader.line_count() && next < at + 3 && reader.blank(next) && !is_fence(reader.line(next)))
    ++next;
  if (next == at || !prose.item_at(next)) return false;
  const Item& item = prose.items().front();
  if (item.pin_word != last.pin_word || item.marker != last.marker || item.weak != last.weak) return false;
  at = next;
  return true;
}

void append_line(Row& row, std::string_view text) {
  std::string& cell = row.back().text;
  std::string more = without_markdown(trim(without_tags(text)));
  if (more.empty()) return;
  if (!cell.empty()) cell.push_back(' ');
  cell += more;
}

// The eye position at which a line's text begins.
std::size_t eye_indent(std::string_view line) {
  std::size_t position = 0;
  for (const char c : line) {
    if (c != ' ' && c != '\t') break;
    position += c == '\t' ? 8 - position % 8 : 1;
  }
  return position;
}

// An outer or an inner list begins: numbers set flush right move by less.
bool other_list(std::size_t indent, std::size_t first_indent, const Item& item) {
  const std::size_t least = item.marker ? 2 : 3;
  const bool inner = item.is_pin && indent >= first_indent + least;
  return inner || indent + least <= first_indent;
}

std::size_t read_items(Reader& reader, ProseReader& prose, std::size_t line, Table& table,
                       std::size_t& pins) {
  Item last;
  const std::size_t first_indent = eye_indent(reader.line(line));
  std::size_t at = line;
  while (at < reader.line_count()) {
    if (reader.blank(at) && !cross_blank(reader, prose, at, last)) break;
    const std::string_view text = reader.line(at);
    const bool item = prose.item_at(at) || !prose.items().empty();
    if (item && other_list(eye_indent(text), first_indent, prose.items().front())) break;
    if (prose.item_at(at) ||
        (!prose.items().empty() && prose.items().front().marker && !table.rows.empty())) {
      const auto& items = prose.items();
      for (const Item& item : items) {
        table.rows.push_back(row_of(text, static_cast<int>(at) + 1, item));
        pins += item.is_pin ? 1U : 0U;
      }
      if (!reader.spend(items.size() * 2, static_cast<int>(at) + 1)) break;
      last = items.back();
    } else if (!table.rows.empty() && (last.open || eye_indent(text) + 2 > first_indent) &&
               prose.continues(at, table.rows.back().back().text, last.open)) {
      append_line(table.rows.back(), text);
      last.open = last.open && text.find("</li") == std::string_view::npos;
    } else {
      break;
    }
    ++at;
  }
  return at;
}

// Bare "1. Fit the clip": whether numbered lines are steps or pins is decided on the whole table, in gather/;
// a lone one is prose.
bool enough(const Table& table, std::size_t pins, const Item& first) {
  return pins >= 2 || (pins == 1 && table.rows.size() == 1 && first.pin_word && !first.weak &&
                       first.text_begin > first.cavity_end + 1);
}

std::optional<Region> claim(Reader& reader, std::size_t line, bool weak) {
  ProseReader prose(reader, weak);
  if (!prose.item_at(line)) return std::nullopt;
  const Item first = prose.items().front();
  // Three items must follow before any cell is spent.
  Table table;
  table.form = TableForm::prose;
  std::size_t pins = 0;
  if (weak) {
    if (first.text_begin >= first.text_end) return std::nullopt;  // "X2" alone is a title
    for (std::size_t at = line; at < line + 3; ++at)
      if (!prose.item_at(at)) return std::nullopt;
  }
  const std::size_t end = read_items(reader, prose, line, table, pins);
  if (!enough(table, pins, first)) return std::nullopt;
  Region region;
  region.end = std::max(end, line + 1);
  region.tables.push_back(std::move(table));
  return region;
}

}  // namespace

bool stands_over_list(Reader& reader, std::size_t line) {
  ProseReader prose(reader, false);
  return !prose.item_at(line) && prose.item_at(line + 1) && prose.item_at(line + 2);
}

std::optional<Region> claim_prose(Reader& reader, std::size_t line) {
  return claim(reader, line, false);
}
std::optional<Region> claim_bare_prose(Reader& reader, std::size_t line) {
  return claim(reader, line, true);
}

}  // namespace loomgraft::tables
