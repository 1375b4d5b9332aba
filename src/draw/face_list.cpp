#include <algorithm>
#include <set>

#include "draw/face_page.h"
#include "draw/palette.h"
#include "draw/text_extent.h"
#include "text/natural_order.h"

namespace loomgraft::draw {
namespace {

constexpr std::string_view ink_rule = "#b9b4a8";

std::string_view planned_meaning_of(Mark mark) {
  if (mark == Mark::shift) return "came here from another cavity";
  if (mark == Mark::add) return "a new wire";
  return mark == Mark::retire ? "the plan leaves it empty" : "";
}

std::string_view meaning_of(Mark mark) {
  constexpr std::string_view meanings[] = {"",
                                           "stays where it is",
                                           "goes to another cavity",
                                           "a new wire",
                                           "comes out",
                                           "must not meet: do not plug in",
                                           "not certain: look or measure"};
  return meanings[static_cast<int>(mark)];
}

// Column starts within one list column, in page millimetres.
struct Columns {
  double wire = 0.0;
  double letters = 0.0;
  double signal = 0.0;
  double verdict = 0.0;
  double end = 0.0;
};

struct Row {
  const FaceMark* mark = nullptr;
  std::vector<std::string> cavity;
  std::vector<std::string> letters;
  std::vector<std::string> signal;
  std::vector<std::string> note;
  double height = 0.0;
};

constexpr double line_step = 1.3;   // units
constexpr double note_size = 0.88;  // units
constexpr double note_step = 1.15;  // units

// As wide as the marks need for cavity and letters, within limits; the signal gets the rest.
Columns columns_for(const std::vector<FaceMark>& marks, double unit, double width) {
  double cavity = 3.0 * unit;
  double letters = 1.2 * unit;
  for (const FaceMark& mark : marks) {
    cavity = std::max(cavity, text_width(mark.cavity, unit, true));
    letters = std::max(letters, text_width(letters_of(mark.colour), unit));
  }
  Columns columns;
  columns.wire = std::min(cavity, 0.2 * width) + 0.5 * unit;
  columns.letters = columns.wire + 3.4 * unit;
  columns.signal = columns.letters + std::min(letters, 5.0 * unit) + 0.6 * unit;
  columns.end = width;
  columns.verdict = std::max(columns.signal + 4.0 * unit, width - 5.4 * unit);
  return columns;
}

Row row_for(const FaceMark& mark, const Columns& columns, double unit, bool on_face) {
  Row row;
  row.mark = &mark;
  row.cavity = wrap(mark.cavity, columns.wire - 0.4 * unit, unit, true);
  row.letters =
      wrap(mark.bare ? "" : letters_of(mark.colour), columns.signal - columns.letters - 0.3 * unit, unit);
  const double width = columns.verdict - columns.signal - 0.4 * unit;
  row.signal = wrap(mark.signal, width, unit);
  std::string note = mark.note;
  if (!on_face) note += note.empty() ? "no such cavity on this face" : "; no such cavity on this face";
  if (!note.empty()) row.note = wrap(note, width, note_size * unit);
  const double lines = static_cast<double>(std::max({row.cavity.size(), row.letters.size(), std::size_t{1}}));
  const double text =
      static_cast<double>(row.signal.size()) * line_step + static_cast<double>(row.note.size()) * note_step;
  row.height = (std::max(lines * line_step, text) + 0.5) * unit;
  return row;
}

void write_lines(Svg& svg, double x, double y, const std::vector<std::string>& lines, double step,
                 const TextStyle& style) {
  for (const std::string& line : lines) {
    if (!line.empty()) svg.text(x, y, line, style);
    y += step;
  }
}

void write_row(FacePage& page, const Row& row, const Columns& columns, double x, double y) {
  const double unit = page.unit;
  const double base = y + 1.2 * unit;
  page.svg.open("g", {{"class", "entry"}, {"data-cavity", row.mark->cavity}});
  write_lines(page.svg, x, base, row.cavity, line_step * unit, {unit, true});
  if (!row.mark->bare)
    write_wire_piece(page.svg, x + columns.wire, base - 0.36 * unit, 3.0 * unit, 0.95 * unit,
                     row.mark->colour, page.ink);
  write_lines(page.svg, x + columns.letters, base, row.letters, line_step * unit, {unit});
  write_lines(page.svg, x + columns.signal, base, row.signal, line_step * unit, {unit});
  const double below =
      base + static_cast<double>(row.signal.size() - 1) * line_step * unit + note_step * unit;
  write_lines(page.svg, x + columns.signal, below, row.note, note_step * unit,
              {note_size * unit, false, Anchor::start, palette::soft});
  if (row.mark->mark != Mark::none) {
    write_mark(page.svg, row.mark->mark, x + columns.verdict + 0.5 * unit, base - 0.36 * unit, unit);
    page.svg.text(x + columns.verdict + 1.4 * unit, base, name_of(row.mark->mark), {unit, true});
  }
  page.svg.close("g");
  page.svg.line(x, y + row.height, x + columns.end, y + row.height, ink_rule, 0.12);
}

void write_head(FacePage& page, const Columns& columns, double x, double y) {
  const TextStyle style{0.88 * page.unit, false, Anchor::start, palette::soft};
  const double base = y + 1.0 * page.unit;
  page.svg.text(x, base, "cavity", style);
  page.svg.text(x + columns.wire, base, "wire", style);
  page.svg.text(x + columns.signal, base, "signal", style);
  page.svg.text(x + columns.verdict, base, page.planned ? "plan" : "verdict", style);
  page.svg.line(x, y + 1.4 * page.unit, x + columns.end, y + 1.4 * page.unit, palette::text, 0.25);
}

}  // namespace

void write_legend(FacePage& page, const std::vector<FaceMark>& marks) {
  const double unit = page.unit;
  std::set<Mark> used;
  for (const FaceMark& mark : marks) used.insert(mark.mark);
  double x = page.left;
  page.y += 0.4 * unit;
  bool any = false;
  for (const Mark mark : all_marks) {
    if (!used.contains(mark)) continue;
    const std::string word(name_of(mark));
    const std::string meaning(page.planned ? planned_meaning_of(mark) : meaning_of(mark));
    const double word_width = text_width(word, unit, true);
    const double width = 1.5 * unit + word_width + 0.5 * unit + text_width(meaning, 0.95 * unit);
    if (any && x + width > page.left + page.width) {
      x = page.left;
      page.y += 1.6 * unit;
    }
    const double base = page.y + 1.1 * unit;
    write_mark(page.svg, mark, x + 0.5 * unit, base - 0.36 * unit, unit);
    page.svg.text(x + 1.5 * unit, base, word, {unit, true});
    page.svg.text(x + 1.5 * unit + word_width + 0.5 * unit, base, meaning,
                  {0.95 * unit, false, Anchor::start, palette::soft});
    x += width + 1.6 * unit;
    any = true;
  }
  if (any) page.y += 1.9 * unit;
}

void write_list(FacePage& page, const std::vector<FaceMark>& marks, const Face& face) {
  if (marks.empty()) return;
  const double unit = page.unit;
  const double gutter = 2.5 * unit;
  const int room = static_cast<int>((page.width + gutter) / (32.0 * unit));
  const int across = std::clamp(std::min(room, static_cast<int>(marks.size()) / 4), 1, 4);
  const double width = std::min((page.width - gutter * (across - 1)) / across, 48.0 * unit);
  const Columns columns = columns_for(marks, unit, width);

  std::set<std::string_view> known;
  for (const FacePlace& place : face.places) known.insert(place.cavity);
  std::vector<Row> rows;
  rows.reserve(marks.size());
  double total = 0.0;
  for (const FaceMark& mark : marks)
    rows.push_back(row_for(mark, columns, unit, known.contains(mark.cavity)));
  std::stable_sort(rows.begin(), rows.end(), [](const Row& a, const Row& b) {
    return natural_compare(a.mark->cavity, b.mark->cavity) < 0;
  });
  for (const Row& row : rows) total += row.height;

  page.y += 0.6 * unit;
  const double top = page.y + 1.5 * unit;
  double x = page.left;
  double y = top;
  double lowest = top;
  write_head(page, columns, x, page.y);
  int column = 1;
  for (const Row& row : rows) {
    if (column < across && y > top && y - top + 0.5 * row.height > total / across) {
      ++column;
      x += width + gutter;
      y = top;
      write_head(page, columns, x, page.y);
    }
    write_row(page, row, columns, x, y);
    y += row.height;
    lowest = std::max(lowest, y);
  }
  page.y = lowest + 0.5 * unit;
}

}  // namespace loomgraft::draw
