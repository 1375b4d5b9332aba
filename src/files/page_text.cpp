#include "files/page_text.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <set>
#include <span>
#include <utility>

#include "base/ascii.h"
#include "files/page_lines.h"
#include "files/page_tables.h"

namespace loomgraft::files {
namespace {

constexpr double heading_size = 1.12;      // of the usual size
constexpr double paragraph_gap = 0.7;      // between lines, in heights of the font
constexpr double title_gap = 4;            // between a title and its table
constexpr std::size_t lines_at_edges = 3;  // where running heads stand
constexpr std::size_t pages_of_running_head = 3;
constexpr double same_height = 2;  // points
constexpr std::size_t captions_kept = 3;
constexpr std::size_t longest_title = 100;
constexpr std::size_t longest_heading = 60;

using Lines = std::vector<PageLine>;

double usual_size(const std::vector<Lines>& pages) {
  std::vector<double> sizes;
  for (const Lines& lines : pages)
    for (const PageLine& line : lines) sizes.push_back(line.size());
  if (sizes.empty()) return 0;
  std::ranges::nth_element(sizes, sizes.begin() + static_cast<std::ptrdiff_t>(sizes.size() / 2));
  return sizes[sizes.size() / 2];
}

// ---- running heads: what stands at one height of several pages, and page numbers

bool is_number(std::string_view text) {
  return !text.empty() && std::ranges::all_of(text, is_digit) && text.size() <= 6;
}

bool is_page_word(std::string_view word) {
  const std::string small = lower(trimmed(word, ".:"));
  return small == "page" || small == "seite" || small == "pagina" || small == "sida" || small == "side" ||
         small == "strona" || small == "p" || small == "s";
}

// The line with its page number, if it has one, counted from this page: alike on every page.
std::string running_key(const PageLine& line, int page) {
  std::string key = std::to_string(std::lround(line.top / same_height)) + "|";
  bool after_page_word = false, counted = false;
  for (const Segment& segment : line.segments) {
    for (std::size_t i = segment.first; i < segment.end; ++i) {
      const std::string_view word = trimmed(line.words[i].text, "-.|/()[]");
      const bool alone = segment.end - segment.first == 1;
      if (is_number(word) && !counted && (alone || after_page_word)) {
        key += "#" + std::to_string(std::stoi(std::string(word)) - page);
        counted = true;
      } else {
        key += word;
      }
      key += ' ';
      after_page_word = is_page_word(word);
    }
    key += '|';
  }
  return key;
}

// A head of columns at the top of every page is no running head: rows follow it closely.
bool heads_rows(const Lines& lines, std::size_t at) {
  return at + 1 < lines.size() && lines[at].segments.size() >= 2 && lines[at + 1].segments.size() >= 2 &&
         lines[at + 1].top - lines[at].bottom < title_gap / 2 * lines[at].size();
}

std::vector<std::size_t> edge_lines(const Lines& lines) {
  std::vector<std::size_t> found;
  for (std::size_t i = 0; i < lines.size(); ++i)
    if ((i < lines_at_edges || i + lines_at_edges >= lines.size()) && !heads_rows(lines, i))
      found.push_back(i);
  return found;
}

// "Page 2", or the page's number on a line of its own. The first page often has none, so that two pages show only one.
bool is_page_number(const Lines& lines, std::size_t at, int page) {
  if (at != 0 && at + 1 != lines.size()) return false;
  const PageLine& line = lines[at];
  bool after_page_word = false;
  for (const PageWord& word : line.words) {
    const std::string_view bare = trimmed(word.text, "-.|/()[]");
    if (after_page_word && is_number(bare)) return true;
    after_page_word = is_page_word(word.text);
  }
  const std::size_t other = at == 0 ? 1 : at - 1;
  const bool apart =
      other >= lines.size() || other == at ||
      (at == 0 ? lines[1].top - line.bottom : line.top - lines[other].bottom) > 2 * line.size();
  return line.words.size() == 1 && apart && trimmed(line.words[0].text, "-.|/()[]") == std::to_string(page);
}

// The first of each running head stays: it may be the document's title.
void drop_running_heads(std::vector<Lines>& pages) {
  std::map<std::string, std::size_t> counts;
  const auto key_at = [&](std::size_t page, std::size_t line) {
    return running_key(pages[page][line], static_cast<int>(page) + 1);
  };
  for (std::size_t page = 0; page < pages.size(); ++page)
    for (const std::size_t line : edge_lines(pages[page])) ++counts[key_at(page, line)];
  const std::size_t least = std::min(pages_of_running_head, std::max<std::size_t>(pages.size(), 2));
  std::set<std::string> seen;
  for (std::size_t page = 0; page < pages.size(); ++page) {
    std::vector<std::size_t> dropped;
    for (const std::size_t line : edge_lines(pages[page])) {
      const std::string key = key_at(page, line);
      if (counts[key] < least) {
        if (is_page_number(pages[page], line, static_cast<int>(page) + 1)) dropped.push_back(line);
        continue;
      }
      const bool numbered = key.find('#') != std::string::npos;
      if (!seen.insert(key).second || numbered) dropped.push_back(line);
    }
    for (std::size_t k = dropped.size(); k-- > 0;)
      pages[page].erase(pages[page].begin() + static_cast<std::ptrdiff_t>(dropped[k]));
  }
}

// ---- tables that go on

std::string bare_caption(std::string text) {
  text = lower(text);
  for (const std::string_view word : {"continued", "cont'd", "cont.", "fortsetzung", "suite", "forts."}) {
    const std::size_t at = text.find(word);
    if (at != std::string::npos) text.erase(at, word.size());
  }
  std::erase_if(
      text, [](char c) { return is_blank(c) || c == '(' || c == ')' || c == '-' || c == ',' || c == ':'; });
  return text;
}

// "3.2 Connector X2" -> "Connector X2"; "12 V supply" stays.
std::string_view without_section_number(std::string_view text) {
  std::size_t at = 0, marks = 0;
  while (at < text.size() && (is_digit(text[at]) || text[at] == '.')) marks += text[at++] == '.' ? 1U : 0U;
  const bool numbered =
      marks > 0 && at + 1 < text.size() && is_digit(text[0]) && text[at] == ' ' && is_letter(text[at + 1]);
  return numbered ? text.substr(at + 1) : text;
}

struct OpenTable {
  std::vector<PageColumn> columns;
  std::vector<std::string> head;      // cells of its first row
  std::string first;                  // first cell of its second row
  std::vector<std::string> captions;  // the lines above it
};

// Each column stands over one of those of the table, none over two.
bool same_columns(const std::vector<PageColumn>& fresh, const std::vector<PageColumn>& open) {
  std::set<std::size_t> taken;
  for (const PageColumn& column : fresh) {
    std::optional<std::size_t> over;
    for (std::size_t i = 0; i < open.size(); ++i) {
      if (column.left >= open[i].right || open[i].left >= column.right) continue;
      if (over) return false;
      over = i;
    }
    if (!over || !taken.insert(*over).second) return false;
  }
  return true;
}

class PagesWriter {
 public:
  PagesWriter(PlacedText& text, double usual) : text_(text), usual_(usual) {}

  void write(const Lines& lines, int page) {
    text_.begin_part(std::to_string(page));
    std::span<const PageLine> rest(lines);
    at_top_ = true;
    above_ = nullptr;
    while (!rest.empty()) {
      const std::size_t length = table_length(rest);
      if (length > 0)
        write_table(rest.first(length));
      else
        pending_.push_back(&rest.front());
      rest = rest.subspan(std::max<std::size_t>(length, 1));
    }
    flush_lines(false);
  }

 private:
  void write_table(std::span<const PageLine> lines) {
    std::vector<PageColumn> columns = columns_of(lines);
    std::vector<PageRow> rows = rows_of(lines, columns);
    // With its head and its first cavity again it is a table of its own.
    const bool anew = open_ && rows.front().cells == open_->head && first_of(rows) == open_->first;
    const bool next = open_ && at_top_ && !anew && captions_repeat();
    const bool head_again = next && rows.front().cells == open_->head;
    if (next && !head_again &&
        (same_columns(columns, open_->columns) || fits_columns(lines, open_->columns))) {
      rows = rows_of(lines, open_->columns);
      pending_.clear();
      write_rows(rows, rows.front().cells == open_->head);
    } else if (head_again) {
      pending_.clear();
      write_rows(rows, true);
    } else {
      const std::vector<std::string> captions = last_captions();
      flush_lines(true, &lines.front());
      open_ = OpenTable{std::move(columns), rows.front().cells, first_of(rows), captions};
      write_rows(rows, false);
    }
    above_ = &lines.back();
    at_top_ = false;
  }

  static std::string first_of(const std::vector<PageRow>& rows) {
    return rows.size() > 1 ? rows[1].cells.front() : std::string();
  }

  void write_rows(const std::vector<PageRow>& rows, bool without_head) {
    for (std::size_t i = without_head ? 1 : 0; i < rows.size(); ++i) {
      std::vector<PlacedCell> cells;
      cells.reserve(rows[i].cells.size());
      for (const std::string& cell : rows[i].cells) cells.push_back({cell, 0});
      if (text_.cells() >= most_cells) return;
      text_.add_row(cells, rows[i].line);
      if (rows[i].runs_over)
        text_.add_doubt("text runs over the edge of its column on the page: compare it with the page");
    }
  }

  // Between the end of a page and a table that goes on there is nothing, or its captions again.
  bool captions_repeat() const {
    if (pending_.size() > captions_kept) return false;
    return std::ranges::all_of(pending_, [&](const PageLine* line) {
      const std::string caption = bare_caption(text_of(*line));
      return caption.empty() || std::ranges::find(open_->captions, caption) != open_->captions.end();
    });
  }

  std::vector<std::string> last_captions() const {
    std::vector<std::string> captions;
    for (std::size_t i = pending_.size() - std::min(pending_.size(), captions_kept); i < pending_.size(); ++i)
      captions.push_back(bare_caption(text_of(*pending_[i])));
    return captions;
  }

  static bool is_apart(const PageLine& line, const PageLine& below) {
    return below.top - line.bottom > paragraph_gap * below.size();
  }

  // In a larger font, or a short line between two gaps that is no sentence.
  bool is_heading(const PageLine& line, const PageLine* below) const {
    if (line.segments.size() != 1) return false;
    if (line.size() > heading_size * usual_) return true;
    const std::string text = text_of(line);
    const bool alone = (!above_ || is_apart(*above_, line)) && below && is_apart(line, *below);
    return alone && text.size() <= longest_heading &&
           std::string_view(".,;:").find(text.back()) == std::string_view::npos &&
           std::ranges::count_if(text, is_letter) >= 3;
  }

  // "Connector X2" right above a table, not the end of a paragraph.
  bool is_title(const PageLine& line) const {
    if (line.segments.size() != 1) return false;
    const bool alone = !above_ || is_apart(*above_, line);
    const std::string text = text_of(line);
    return (alone || line.size() > heading_size * usual_) && text.size() <= longest_title &&
           !text.ends_with('.');
  }

  // A blank line goes where the page has a gap, but not between a title and its table.
  void flush_lines(bool before_table, const PageLine* table = nullptr) {
    if (open_ && (!pending_.empty() || before_table)) {
      text_.add_blank();
      open_.reset();
    }
    bool title = false;
    for (std::size_t i = 0; i < pending_.size(); ++i) {
      const PageLine* line = pending_[i];
      title = before_table && line == pending_.back() && is_title(*line) &&
              table->top - line->bottom < title_gap * table->size();
      if (above_ && is_apart(*above_, *line)) text_.add_blank();
      const bool last = i + 1 == pending_.size();
      const PageLine* below = last ? table : pending_[i + 1];
      if (is_heading(*line, below))
        text_.add_heading(without_section_number(text_of(*line)), line->number);
      else
        text_.add_line(text_of(*line), line->number);
      above_ = line;
    }
    if (before_table && !title) text_.add_blank();
    if (!pending_.empty()) at_top_ = false;
    pending_.clear();
  }

  PlacedText& text_;
  double usual_;
  std::vector<const PageLine*> pending_;  // lines that are no table, not yet written
  const PageLine* above_ = nullptr;       // the last line written of this page
  bool at_top_ = true;                    // no table and no line of this page was written
  std::optional<OpenTable> open_;         // the table that the text ends with
};

}  // namespace

bool add_pages(PlacedText& text, const std::vector<Page>& pages) {
  std::vector<Lines> lines;
  for (const Page& page : pages) {
    lines.push_back(lines_of(page));
    cut_heads(lines.back());
  }
  const double usual = usual_size(lines);
  drop_running_heads(lines);
  PagesWriter writer(text, usual);
  for (std::size_t i = 0; i < pages.size() && text.cells() < most_cells; ++i)
    writer.write(lines[i], pages[i].number);
  return text.cells() < most_cells;
}

}  // namespace loomgraft::files
