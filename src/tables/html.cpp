// HTML tables, nested ones too: rows of cells with spans filled in, entities and tags resolved. Lists of
// terms (<dl>) are tables of two columns; inside a cell they are text. Tags are read one after another onto a
// stack of open tables; a tag that closes more than it opened closes what lies between, as browsers do.
#include <algorithm>
#include <charconv>
#include <utility>

#include "tables/table_internal.h"

namespace loomgraft::tables {
namespace {

constexpr std::size_t max_nesting = 64;
constexpr std::size_t max_span = 1'000;

struct Tag {
  std::string name;  // lower case, "/" in front of closing tags
  std::string_view attributes;
  std::size_t end = 0;  // offset behind ">"
};

// The tag at `at` (a '<'), or nothing where it begins no tag.
std::optional<Tag> tag_at(std::string_view text, std::size_t at) {
  std::size_t name = at + 1;
  if (name < text.size() && text[name] == '/') ++name;
  if (name >= text.size() || !is_letter(text[name])) return std::nullopt;
  std::size_t end = name;
  while (end < text.size() && (is_letter(text[end]) || is_digit(text[end]))) ++end;
  constexpr std::size_t reach = 5'000;
  const std::size_t close = text.substr(0, std::min(text.size(), end + reach)).find('>', end);
  if (close == std::string_view::npos) return std::nullopt;
  return Tag{lower_case(text.substr(at + 1, end - at - 1)), text.substr(end, close - end), close + 1};
}

std::size_t span_of(std::string_view attributes, std::string_view name) {
  const std::string text = lower_case(attributes);
  std::size_t at = text.find(name);
  if (at == std::string::npos) return 1;
  at = text.find_first_of("0123456789", at);
  if (at == std::string::npos) return 1;
  std::size_t value = 1;
  std::from_chars(text.data() + at, text.data() + text.size(), value);
  return std::clamp<std::size_t>(value, 1, max_span);
}

struct OpenCell {
  bool open = false;
  bool head = false;
  bool term = false;  // a <dt>
  std::size_t colspan = 1, rowspan = 1;
  Cell cell;
  bool located = false;  // located at its first text
};

struct Carried {
  Cell cell;
  std::size_t rows = 0;
};

struct OpenTable {
  Table table;
  std::string caption;
  bool in_caption = false;
  OpenCell cell;
  Row row;
  bool row_open = false;
  std::size_t heads = 0;         // of the row's cells
  std::vector<Carried> carried;  // per column: what a row span still puts there
  bool nested_inside = false;
  bool list = false;            // a <dl>
  std::size_t terms = 0;        // of the list's row at hand
  std::size_t inner_lists = 0;  // lists inside a cell, open
};

class HtmlReader {
 public:
  HtmlReader(Reader& reader, LocationCursor& location, std::size_t begin)
      : reader_(reader), text_(reader.document().text), at_(begin), location_(location) {}

  // Reads until the outermost table closes; gives the offset behind it.
  std::size_t read() {
    do {
      const std::size_t open = std::min(text_.find('<', at_), text_.size());
      take_text(at_, open);
      at_ = open;
      if (at_ >= text_.size()) break;
      if (text_.substr(at_).starts_with("<!--")) {
        const std::size_t close = text_.find("-->", at_);
        at_ = close == std::string_view::npos ? text_.size() : close + 3;
        continue;
      }
      const auto tag = tag_at(text_, at_);
      if (!tag) {
        take_text(at_, at_ + 1);
        ++at_;
        continue;
      }
      take_tag(*tag);
      at_ = tag->end;
    } while ((!open_.empty() || overflow_ > 0) && at_ < text_.size() && !reader_.exhausted());
    while (!open_.empty()) close_table();
    return at_;
  }

  std::vector<Table>& tables() { return tables_; }

 private:
  void take_text(std::size_t begin, std::size_t end) {
    if (open_.empty() || begin >= end) return;
    OpenTable& table = open_.back();
    const std::string_view text = text_.substr(begin, end - begin);
    if (table.in_caption) table.caption += text.substr(0, 500);
    OpenCell& cell = table.cell;
    if (!cell.open) {
      if (!table.row_open && !table.in_caption && !trim(text).empty()) report_stray_text(begin, text);
      return;
    }
    const std::string_view filled = trim(text);
    if (!cell.located && !filled.empty()) {
      location_.move_to(static_cast<std::size_t>(filled.data() - text_.data()));
      cell.cell.line = location_.line();
      cell.cell.column = location_.column();
      cell.located = true;
    }
    cell.cell.text += text;
  }

  // Text between rows belongs to no cell.
  void report_stray_text(std::size_t begin, std::string_view text) {
    if (text.find_first_not_of("|-\r\n\t ") == std::string_view::npos) return;
    location_.move_to(begin);
    reader_.report(Severity::note, "text-outside-cell", location_.line(), location_.column(),
                   "Text stands between the rows of a table, in no cell.", "Check whether it matters.");
  }

  void take_tag(const Tag& tag) {
    const std::string& name = tag.name;
    if (name == "table") return open_table();
    if (name == "/table") {
      close_lists();
      if (overflow_ > 0)
        --overflow_;
      else if (!open_.empty())
        close_table();
      return;
    }
    if (name == "dl" || name == "/dl") return take_list(name == "dl");
    if (open_.empty()) return;
    OpenTable& table = open_.back();
    if (table.list && table.inner_lists == 0 && (name.ends_with("dt") || name.ends_with("dd")))
      return take_list_part(tag);
    if (name == "caption" || name == "/caption") {
      table.in_caption = name == "caption";
    } else if (name == "tr" || name == "/tr" || name == "tbody" || name == "/thead" || name == "/tbody") {
      close_row();
      table.row_open = name == "tr";
    } else if (name == "td" || name == "th") {
      close_cell();
      table.row_open = true;
      open_cell(tag);
      table.cell.head = name == "th";
      table.cell.colspan = span_of(tag.attributes, "colspan");
      table.cell.rowspan = span_of(tag.attributes, "rowspan");
    } else if (name == "/td" || name == "/th") {
      close_cell();
    } else if (table.cell.open) {
      if (name == "br") table.cell.cell.text += '\x1F';  // kept apart from line ends of the source
      if (name == "p" || name == "/p" || name == "div" || name == "li" || name == "tab" || name == "dt" ||
          name == "dd")
        table.cell.cell.text += ' ';
    }
  }

  void open_cell(const Tag& tag) {
    OpenTable& table = open_.back();
    table.cell = {};
    table.cell.open = true;
    location_.move_to(std::min(tag.end, text_.size() - 1));
    table.cell.cell.line = location_.line();
    table.cell.cell.column = location_.column();
  }

  void take_list(bool opens) {
    const bool in_cell = !open_.empty() && open_.back().cell.open;
    if (opens && in_cell) {
      ++open_.back().inner_lists;
      open_.back().cell.cell.text += ' ';
    } else if (opens) {
      open_table();
      if (overflow_ == 0) open_.back().list = true;
    } else if (in_cell && open_.back().inner_lists > 0) {
      --open_.back().inner_lists;
    } else if (overflow_ > 0) {
      --overflow_;
    } else if (!open_.empty() && open_.back().list) {
      close_table();
    }
  }

  // A list that nobody closed ends with the table around it.
  void close_lists() {
    while (overflow_ == 0 && !open_.empty() && open_.back().list) close_table();
  }

  void take_list_part(const Tag& tag) {
    OpenTable& table = open_.back();
    close_cell();
    if (tag.name.front() == '/') return;
    const bool term = tag.name == "dt";
    if (term && table.row.size() > table.terms) close_list_row();
    open_cell(tag);
    table.cell.term = term;
    table.row_open = true;
  }

  // Terms that share a definition are a row each.
  void close_list_row() {
    close_cell();
    OpenTable& table = open_.back();
    const Row row = std::exchange(table.row, {});
    const std::size_t terms = std::exchange(table.terms, 0);
    table.row_open = false;
    for (std::size_t i = 0; i < std::max<std::size_t>(terms, 1) && !row.empty(); ++i) {
      Row one;
      if (terms > 0) one.push_back(row[i]);
      one.insert(one.end(), row.begin() + static_cast<std::ptrdiff_t>(terms), row.end());
      const bool any =
          std::any_of(one.begin(), one.end(), [](const Cell& cell) { return !cell.text.empty(); });
      if (any && reader_.spend(one.size(), one[0].line)) table.table.rows.push_back(std::move(one));
    }
  }

  void open_table() {
    if (!open_.empty()) open_.back().nested_inside = true;
    if (open_.size() >= max_nesting) {
      if (overflow_++ == 0) {
        location_.move_to(at_);
        reader_.report(Severity::warning, "nested-too-deep", location_.line(), location_.column(),
                       "Tables are nested too deep; the inner ones were read as one.",
                       "Save only the table you need.");
      }
      return;
    }
    open_.emplace_back();
    open_.back().table.form = TableForm::html;
  }

  // Blanks and line ends of the source are one blank; a break tag is a line end.
  static std::string tidy(std::string_view raw) {
    std::string out;
    bool blank = false;
    for (const char c : decode_entities(raw)) {
      if (is_blank(c)) {
        blank = true;
        continue;
      }
      if (c == '\x1F') {
        if (!out.empty()) out.push_back('\n');
        blank = false;
        continue;
      }
      if (blank && !out.empty() && out.back() != '\n') out.push_back(' ');
      blank = false;
      out.push_back(c);
    }
    return std::string(trim(out));
  }

  // Puts what row spans from above carry into the next columns.
  static void fill_carried(OpenTable& table) {
    while (table.row.size() < table.carried.size() && table.carried[table.row.size()].rows > 0) {
      Carried& carried = table.carried[table.row.size()];
      --carried.rows;
      table.row.push_back(carried.cell);
    }
  }

  void close_cell() {
    OpenTable& table = open_.back();
    OpenCell& open = table.cell;
    if (!open.open) return;
    open.open = false;
    table.inner_lists = 0;
    table.terms += open.term ? 1U : 0U;
    open.cell.text = tidy(open.cell.text);
    table.heads += open.head ? 1U : 0U;
    for (std::size_t i = 0; i < open.colspan && table.row.size() < max_cells_in_row; ++i) {
      fill_carried(table);
      Cell cell = open.cell;
      // A head over two columns heads both; a wide data cell stands in the first only.
      if (i > 0 && !open.head) cell.text.clear();
      if (open.rowspan > 1) {
        if (table.carried.size() <= table.row.size()) table.carried.resize(table.row.size() + 1);
        table.carried[table.row.size()] = {cell, open.rowspan - 1};
      }
      table.row.push_back(std::move(cell));
    }
  }

  void close_row() {
    if (open_.back().list) return close_list_row();
    close_cell();
    OpenTable& table = open_.back();
    if (table.row_open && (!table.row.empty() || !table.carried.empty())) {
      fill_carried(table);
      // Columns behind a gap keep their spans as well.
      for (std::size_t i = table.row.size(); i < table.carried.size(); ++i)
        if (table.carried[i].rows > 0) --table.carried[i].rows;
    }
    const bool any =
        std::any_of(table.row.begin(), table.row.end(), [](const Cell& cell) { return !cell.text.empty(); });
    if (any && reader_.spend(table.row.size(), table.row[0].line)) {
      const bool head = table.heads * 2 > table.row.size() && table.heads > 1;
      if (head && table.table.header.empty() && table.table.rows.empty())
        table.table.header = std::move(table.row);
      else
        table.table.rows.push_back(std::move(table.row));
    }
    table.row.clear();
    table.heads = 0;
    table.row_open = false;
  }

  void close_table() {
    close_row();
    OpenTable done = std::move(open_.back());
    open_.pop_back();
    Table& table = done.table;
    table.name = tidy(without_tags(done.caption));
    const bool frame = done.nested_inside && std::all_of(table.rows.begin(), table.rows.end(),
                                                         [](const Row& row) { return row.size() < 3; });
    if (table.header.empty() && (table.rows.empty() || frame)) return;
    take_header_row(table);
    tables_.push_back(std::move(table));
  }

  Reader& reader_;
  std::string_view text_;
  std::size_t at_;
  LocationCursor& location_;
  std::vector<OpenTable> open_;
  std::size_t overflow_ = 0;
  std::vector<Table> tables_;
};

std::size_t find_table_tag(std::string_view line) {
  for (std::size_t at = line.find('<'); at != std::string_view::npos; at = line.find('<', at + 1))
    if (starts_with_word(line.substr(at + 1, 6), "table") || starts_with_word(line.substr(at + 1, 3), "dl"))
      return at;
  return std::string_view::npos;
}

}  // namespace

bool opens_html_table(std::string_view line) {
  return find_table_tag(line) != std::string_view::npos;
}

std::optional<Region> claim_html(Reader& reader, std::size_t line) {
  const std::size_t at = find_table_tag(reader.line(line));
  if (at == std::string_view::npos) return std::nullopt;
  const Document& document = reader.document();
  LocationCursor location(document);
  Region region;
  region.end = line;
  std::size_t offset = document.offset_of(line) + at;
  // Tables that begin on the line where the last one ends belong to this region.
  while (true) {
    HtmlReader html(reader, location, offset);
    const std::size_t end = html.read();
    for (Table& table : html.tables()) region.tables.push_back(std::move(table));
    while (region.end < document.lines.size() && document.offset_of(region.end) < end) ++region.end;
    if (region.end == 0 || end >= document.text.size() || reader.exhausted()) break;
    const std::size_t line_end = document.offset_of(region.end - 1) + document.lines[region.end - 1].size();
    if (end >= line_end) break;
    const std::size_t next = find_table_tag(document.text.substr(end, line_end - end));
    if (next == std::string_view::npos) break;
    offset = end + next;
  }
  region.end = std::max(region.end, line + 1);
  return region;
}

}  // namespace loomgraft::tables
