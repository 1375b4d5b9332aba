#include <algorithm>
#include <array>

#include "tables/table_internal.h"

namespace loomgraft::tables {
namespace {

// Words that head a column of cavities, and words that head the others, in the languages in which pin tables
// are met. They only tell a header row from a data row; what a column means is decided elsewhere.
constexpr std::array cavity_words = {
    "pin",    "pins",    "pin no",    "pin no.",  "pin nr",   "pin number", "pinnumber", "pin name",
    "cavity", "cav",     "cav.",      "terminal", "contact",  "pole",       "klemme",    "kontakt",
    "broche", "borne",   "voie",      "patilla",  "contacto", "polo",       "zacisk",    "styk",
    "stift",  "no",      "no.",       "nr",       "nr.",      "#",          "position",  "pos",
    "pos.",   "way",     "number",    "term",     "term.",    "pin id",     "ball",      "pol",
    "pino",   "piedino", "anschluss", "вывод",    "контакт",  "端子",       "way no",    "slot"};
constexpr std::array other_words = {
    "signal",      "signal name", "function",    "name",        "description",  "purpose",     "color",
    "colour",      "wire",        "wire color",  "wire colour", "note",         "notes",       "comment",
    "comments",    "direction",   "type",        "circuit",     "connector",    "connect to",  "connection",
    "farbe",       "funktion",    "belegung",    "bezeichnung", "beschreibung", "signalname",  "fonction",
    "couleur",     "désignation", "designation", "función",     "funcion",      "color cable", "descripción",
    "descripcion", "funzione",    "colore",      "kleur",       "functie",      "funkcja",     "kolor",
    "färg",        "farve",       "usage",       "use",         "value",        "unit",        "voltage",
    "gauge",       "size",        "awg",         "from",        "to",           "destination", "device",
    "component",   "plug",        "i/o",         "in/out",      "remarks",      "remark",      "cable colour",
    "cable color", "max current", "current",     "assignment",  "label",        "module",      "parameter",
    "time",        "cor",         "função",      "opis",        "popis",        "barva",       "fuse",
    "цвет",        "назначение"};

template <class Words>
bool among(const Words& words, std::string_view text) {
  return std::find(words.begin(), words.end(), text) != words.end();
}

std::string bare_word(std::string_view text) {
  std::string word = lower_case(trim(text.substr(0, 64)));
  std::erase_if(word, [](char c) { return c == '*' || c == '`' || c == ':' || c == '"'; });
  if (word.size() > 1)
    while (!word.empty() && (word.back() == '#' || word.back() == ' ')) word.pop_back();
  return word;
}

// The coarse shape of a text: N number, C cavity with letters, E empty, T other text.
char shape_of(std::string_view text) {
  text = trim(text);
  if (text.empty()) return 'E';
  if (text.size() <= 24 && looks_like_cavity(text))
    return std::all_of(text.begin(), text.end(), is_digit) ? 'N' : 'C';
  bool digits = false;
  for (const char c : text.substr(0, 24)) {
    digits = digits || is_digit(c);
    if (!is_digit(c) && c != '.' && c != ',' && c != '-' && c != '+' && c != '%') return 'T';
  }
  return digits ? 'N' : 'T';
}

// The shape that nearly all cells of a column share, or 0.
char column_shape(const std::vector<Row>& rows, std::size_t from, std::size_t column) {
  constexpr std::string_view shapes = "NCT";
  std::array<std::size_t, shapes.size()> counts{};
  std::size_t seen = 0;
  for (std::size_t i = from; i < rows.size() && i < from + 50; ++i) {
    if (column >= rows[i].size()) continue;
    const char shape = shape_of(rows[i][column].text);
    if (shape == 'E') continue;
    ++counts[shapes.find(shape)];
    ++seen;
  }
  for (std::size_t i = 0; i < shapes.size(); ++i)
    if (seen > 0 && counts[i] * 5 >= seen * 4) return shapes[i];
  return 0;
}

// A row of mostly numbers soon after: rows of units may stand in between.
bool numbers_follow(const std::vector<Row>& rows, std::size_t from) {
  for (std::size_t i = from; i < rows.size() && i < from + 6; ++i) {
    std::size_t filled = 0, numbers = 0;
    for (const Cell& cell : rows[i]) {
      const char shape = shape_of(cell.text);
      filled += shape != 'E' ? 1U : 0U;
      numbers += shape == 'N' ? 1U : 0U;
    }
    if (filled >= 2 && numbers * 2 > filled) return true;
  }
  return false;
}

}  // namespace

bool looks_like_cavity(std::string_view text) {
  text = trim(text);
  if (!text.empty() && text.front() == '#') text.remove_prefix(1);
  if (text.empty() || text.size() > 12) return false;
  std::size_t digits = 0, letters = 0, run = 0, runs = 0, marks = 0;
  char before = 0;
  for (const char c : text) {
    if (is_digit(c)) {
      ++digits;
    } else if (is_letter(c)) {
      run = is_letter(before) ? run + 1 : 1;
      runs += is_letter(before) ? 0U : 1U;
      ++letters;
      if (run > 3) return false;
    } else if ((c == '-' || c == '/' || c == '_' || c == '.') && before != 0 && before != c) {
      ++marks;
    } else {
      return false;
    }
    before = c;
  }
  if (!is_digit(before) && !is_letter(before)) return false;
  // "A" and "AA" of lettered plugs.
  const bool capitals =
      std::all_of(text.begin(), text.end(), [&](char c) { return c == text[0] && c >= 'A' && c <= 'Z'; });
  if (digits == 0) return letters == text.size() && text.size() <= 2 && capitals;
  return digits <= 6 && marks <= 2 && runs <= 2;
}

bool is_cavity_word(std::string_view text) {
  return among(cavity_words, bare_word(text));
}

bool is_header_word(std::string_view text) {
  const std::string word = bare_word(text);
  return among(cavity_words, word) || among(other_words, word);
}

bool looks_like_header(const Row& first, const std::vector<Row>& below, std::size_t below_from) {
  std::size_t words = 0, numbers = 0, filled = 0;
  for (const Cell& cell : first) {
    if (cell.text.empty()) continue;
    ++filled;
    words += is_header_word(cell.text) ? 1U : 0U;
    numbers += shape_of(cell.text) == 'N' ? 1U : 0U;
  }
  if (filled < 2 && first.size() > 1) return false;
  if (words > 0 && numbers == 0) return true;
  if (words >= 2) return true;
  if (below_from >= below.size()) return false;
  if (numbers == 0 && filled >= 2 && numbers_follow(below, below_from)) return true;
  // No known word: a header differs in shape from what stands below it, in at least one column, and agrees
  // nowhere in being a number.
  bool differs = false;
  for (std::size_t column = 0; column < first.size() && column < 64; ++column) {
    const char head = shape_of(first[column].text);
    const char body = column_shape(below, below_from, column);
    if (head == 'N' && (body == 'N' || column == 0)) return false;
    differs = differs || ((body == 'N' || body == 'C') && head != body && head != 'E');
  }
  return differs;
}

void take_header_row(Table& table) {
  if (!table.header.empty() || table.rows.empty()) return;
  if (!looks_like_header(table.rows.front(), table.rows, 1)) return;
  table.header = std::move(table.rows.front());
  table.rows.erase(table.rows.begin());
}

}  // namespace loomgraft::tables
