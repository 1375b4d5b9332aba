#include "tables/table.h"

#include <algorithm>
#include <array>

#include "tables/table_internal.h"
#include "text/encoding.h"
#include "text/unseen.h"

namespace loomgraft {
namespace tables {
namespace {

using Claim = std::optional<Region> (*)(Reader&, std::size_t);

// In this order: forms with marks of their own first, forms known by their regularity alone last.
constexpr Claim claims[] = {claim_json,      claim_yaml,    claim_html,      claim_wiki,
                            claim_grid,      claim_pipes,   claim_ruled,     claim_prose,
                            claim_delimited, claim_aligned, claim_bare_prose};

// Collects the tables of a document and the prose between them.
class DocumentReader {
 public:
  explicit DocumentReader(Reader& reader, TableText& result) : reader_(reader), result_(result) {}

  void run() {
    std::size_t at = 0;
    while (at < reader_.line_count() && !reader_.exhausted()) at = step(at);
    close_lines_after();
  }

 private:
  std::size_t step(std::size_t at) {
    if (reader_.blank(at)) {
      directly_ = false;
      return is_fence(reader_.line(at)) ? behind_program_text(at) : at + 1;
    }
    // A heading's lines are no table rows, whatever they look like; a head over a ruler of one group is a
    // heading.
    const auto heading = heading_at(reader_, at);
    if (heading && !opens_table(at)) return take_heading(*heading, at);
    for (const Claim claim : claims) {
      auto region = claim(reader_, at);
      if (!region) continue;
      take_region(std::move(*region));
      return next_;
    }
    if (heading) return take_heading(*heading, at);
    take_prose(at);
    return at + 1;
  }

  // Text between marks that name a programming language holds no pins; tables between plain marks are read.
  std::size_t behind_program_text(std::size_t at) const {
    constexpr std::array<std::string_view, 26> languages{
        "c",       "cpp",   "c++",  "h",          "hpp",        "arduino", "ino", "python", "py",
        "python3", "bash",  "sh",   "shell",      "console",    "js",      "ts",  "rust",   "go",
        "java",    "cmake", "make", "javascript", "typescript", "diff",    "ini", "toml"};
    const std::string language = lower_case(trim(trim(reader_.line(at)).substr(3)));
    if (std::find(languages.begin(), languages.end(), language) == languages.end()) return at + 1;
    std::size_t end = at + 1;
    while (end < reader_.line_count() && !is_fence(reader_.line(end))) ++end;
    return std::min(end + 1, reader_.line_count());
  }

  // "Connector: A | Pin: B" and "## x" on the first line of YAML or JSON are theirs.
  bool opens_table(std::size_t at) {
    const std::string_view text = trim(reader_.line(at));
    if (at + 1 < reader_.line_count() && is_pipe_ruler(reader_.line(at + 1)) &&
        text.find('|') != std::string_view::npos)
      return true;
    if (opens_html_table(text)) return true;
    if (!ruler_columns(text).empty()) return true;
    return at == first_filled() && claims_whole(at);
  }

  std::size_t first_filled() {
    std::size_t at = 0;
    while (at < reader_.line_count() && reader_.blank(at)) ++at;
    return at;
  }

  // Only a file that is YAML from its first line on may begin with a "#" line that is no heading.
  bool claims_whole(std::size_t at) {
    const std::string file = lower_case(reader_.document().file);
    return file.ends_with(".yaml") || file.ends_with(".yml") || trim(reader_.line(at)).front() == '#' ||
           reader_.line(at).find(':') != std::string_view::npos;
  }

  std::size_t take_heading(const Heading& heading, std::size_t at) {
    close_lines_after();
    take_name(heading.text, heading.level);
    last_prose_.clear();
    directly_ = true;
    for (std::size_t i = 0; i < heading.lines; ++i)
      if (!reader_.blank(at + i)) before_.emplace_back(trim(reader_.line(at + i)));
    return at + heading.lines;
  }

  void take_name(const std::string& text, int level) {
    while (!names_.empty() && names_.back().level >= level) names_.pop_back();
    names_.push_back({text, 1, level});
  }

  std::string name() const { return names_.empty() ? std::string() : names_.back().text; }

  // The headings around a table with this name, the nearest first.
  std::vector<std::string> outer_names(const std::string& own) const {
    std::vector<std::string> outer;
    for (auto heading = names_.rbegin(); heading != names_.rend(); ++heading)
      if (heading != names_.rbegin() || heading->text != own) outer.push_back(heading->text);
    return outer;
  }

  void take_prose(std::size_t at) {
    const std::string_view text = trim(reader_.line(at));
    before_.emplace_back(text);
    result_.prose.push_back(
        {std::string(text.substr(0, 400)), static_cast<int>(at) + 1, result_.tables.size()});
    alone_ = !directly_;
    last_prose_ = text.substr(0, 400);
    last_indent_ = static_cast<std::size_t>(text.data() - reader_.line(at).data());
    directly_ = true;
  }

  void close_lines_after() {
    if (!open_after_ || result_.tables.empty()) return;
    auto& after = result_.tables.back().lines_after;
    after.insert(after.end(), before_.begin(), before_.end());
    open_after_ = false;
  }

  void take_region(Region region) {
    close_lines_after();
    for (std::string& line : region.prose) before_.push_back(std::move(line));
    for (Table& table : region.tables) {
      if (table.name.empty()) table.name = name_for_next(table);
      table.outer_names = outer_names(table.name);
      if (&table == &region.tables.front() && !before_.empty()) {
        std::vector<std::string> own = std::move(table.lines_before);
        table.lines_before = std::move(before_);
        for (std::string& line : own) table.lines_before.push_back(std::move(line));
      }
      finish(table);
      result_.tables.push_back(std::move(table));
    }
    if (!region.tables.empty()) {
      before_.clear();
      open_after_ = true;
    }
    if (!region.tables.empty()) last_prose_.clear();
    directly_ = false;
    if (!region.heading.empty()) {
      close_lines_after();
      take_name(region.heading, bold_level);
      if (region.prose.empty()) before_.push_back(region.heading);
    }
    next_ = region.end;
  }

  std::string name_for_next(const Table& table) const {
    if (over_inner_list(table)) {
      const bool marked = last_prose_.starts_with("- ") || last_prose_.starts_with("* ");
      std::string name = without_markdown(last_prose_.substr(marked ? 2 : 0));
      while (name.ends_with(':')) name.pop_back();
      return name;
    }
    if (const auto caption = caption_of(last_prose_)) return *caption;
    if (directly_ && alone_)
      if (const auto title = title_of_paragraph(last_prose_)) return *title;
    return name();
  }

  // "- Connector C", or a line indented less than the list of its pins right below.
  bool over_inner_list(const Table& table) const {
    constexpr std::size_t longest = 90;
    if (table.form != TableForm::prose || !directly_ || last_prose_.size() < 3 ||
        last_prose_.size() > longest || table.rows.empty() || table.rows[0].empty())
      return false;
    const bool marked = last_prose_.starts_with("- ") || last_prose_.starts_with("* ");
    return marked || static_cast<std::size_t>(table.rows[0][0].column) > last_indent_ + 1;
  }

  void finish(Table& table) {
    for (Cell& cell : table.header) shorten(cell);
    for (auto& row : table.rows)
      for (Cell& cell : row) shorten(cell);
    if (!table.rows.empty() || table.header.empty()) return;
    const Cell& first = table.header.front();
    reader_.report(Severity::warning, "no-rows", first.line, first.column,
                   "This table has a head but no rows.",
                   "Check whether the rows are missing or have another form.");
  }

  void shorten(Cell& cell) {
    if (cell.text.size() <= max_cell_characters || count_characters(cell.text) <= max_cell_characters) return;
    std::size_t at = 0;
    for (std::size_t count = 0; at < cell.text.size(); ++at) {
      const bool begins = (static_cast<unsigned char>(cell.text[at]) & 0xC0) != 0x80;
      if (begins && count++ == max_cell_characters) break;
    }
    cell.text.resize(at);
    reader_.report(Severity::warning, "cell-too-long", cell.line, cell.column,
                   "This cell is longer than 10,000 characters; the rest of it was left out.",
                   "Check whether a quotation mark or a delimiter is missing.");
  }

  Reader& reader_;
  TableText& result_;
  std::vector<Heading> names_;  // the heading that counts now, below those of higher levels
  std::string last_prose_;
  std::size_t last_indent_ = 0;
  bool directly_ = false;  // no blank line since
  bool alone_ = false;     // it is the only line of its paragraph
  std::vector<std::string> before_;
  bool open_after_ = false;
  std::size_t next_ = 0;
};

void report_encoding(Reader& reader, const DecodedText& decoded) {
  if (!decoded.guessed) return;
  reader.report(Severity::note, "encoding-guessed", 1, 1,
                std::string("The file does not state its character encoding; it was read as ") +
                    name_of(decoded.encoding) + ".",
                "If letters such as ä or ° look wrong, save the file as UTF-8.");
}

// Tables drawn with line characters (U+2500 to U+257F) read like those drawn with "|", "-" and "+". One
// character stays one character, so that columns hold.
void draw_with_ascii(std::string_view text, std::string& out) {
  std::size_t at = 0;
  while (at < text.size()) {
    const bool line_mark =
        text[at] == '\xE2' && at + 2 < text.size() && (text[at + 1] == '\x94' || text[at + 1] == '\x95');
    if (!line_mark) {
      out.push_back(text[at++]);
      continue;
    }
    const std::string_view mark = text.substr(at, 3);
    const auto among = [&](std::string_view marks) { return marks.find(mark) != std::string_view::npos; };
    if (among("─ ━ ┄ ┅ ┈ ┉ ═ ╌ ╍"))
      out.push_back('-');
    else if (among("│ ┃ ┆ ┇ ┊ ┋ ║ ╎ ╏"))
      out.push_back('|');
    else
      out.push_back('+');
    at += 3;
  }
}

bool has_line_characters(std::string_view text) {
  return text.find("\xE2\x94\x80") != std::string_view::npos ||
         text.find("\xE2\x94\x82") != std::string_view::npos ||
         text.find("\xE2\x95\x90") != std::string_view::npos ||
         text.find("\xE2\x94\x81") != std::string_view::npos;
}

// A limit on bytes must not cut a character in two.
std::string_view within_limit(std::string_view text) {
  if (text.size() <= max_text_bytes) return text;
  std::size_t end = max_text_bytes;
  while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xC0) == 0x80) --end;
  return text.substr(0, end);
}

void clean(std::string& text) {
  if (has_unseen_characters(text)) text = without_unseen_characters(text);
}

void clean(std::vector<Cell>& cells) {
  for (Cell& cell : cells) clean(cell.text);
}

// Only now: escapes of JSON, YAML and HTML can write such characters where the bytes of the file have none.
void remove_unseen_characters(TableText& text) {
  for (Table& table : text.tables) {
    clean(table.name);
    for (auto* lines : {&table.outer_names, &table.lines_before, &table.lines_after})
      for (std::string& line : *lines) clean(line);
    clean(table.header);
    for (auto& row : table.rows) clean(row);
  }
  for (ProseLine& line : text.prose) clean(line.text);
}

}  // namespace
}  // namespace tables

TableText find_tables(std::string_view bytes, const std::string& file) {
  using namespace tables;
  TableText result;
  // Bytes beyond the limit are not even decoded; UTF-16 takes two bytes for most characters.
  const bool too_large = bytes.size() > 2 * max_text_bytes;
  if (too_large) {
    std::size_t end = 2 * max_text_bytes;
    while ((static_cast<unsigned char>(bytes[end]) & 0xC0) == 0x80 && end + 4 > 2 * max_text_bytes) --end;
    bytes = bytes.substr(0, end);
  }
  DecodedText decoded;
  decode_text(bytes, decoded);
  std::string redrawn;
  Document document{file, within_limit(decoded.text), {}};
  const std::size_t cut_off = decoded.text.size() - document.text.size();
  if (has_line_characters(document.text)) {
    draw_with_ascii(document.text, redrawn);
    document.text = redrawn;
  }
  Reader reader(document, result.problems);
  if (decoded.binary) {
    reader.report(Severity::error, "binary-input", 0, 0,
                  "This file is not text, so no table can be read from it.",
                  "Save or export the table as CSV or plain text and read that.");
    return result;
  }
  report_encoding(reader, decoded);
  const std::size_t used = split_lines(document.text, document.lines);
  if (used < document.text.size() || cut_off > 0 || too_large)
    reader.report(Severity::error, "too-large", static_cast<int>(document.lines.size()), 1,
                  "The file is larger than can be read at once; reading stopped at this line.",
                  "Split the file, or keep only the tables you need.");
  if (trim(document.text).empty()) {
    reader.report(Severity::error, "empty-input", 0, 0, "The file is empty.",
                  "Choose a file with a table in it.");
    return result;
  }
  DocumentReader(reader, result).run();
  remove_unseen_characters(result);
  if (result.tables.empty())
    reader.report(Severity::error, "no-table", 0, 0, "No table was found in this file.",
                  "Give a table as CSV, Markdown, aligned columns, HTML, YAML or JSON, one pin a line.");
  return result;
}

}  // namespace loomgraft
