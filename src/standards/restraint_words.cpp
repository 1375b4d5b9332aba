#include "standards/restraint_words.h"

#include <algorithm>
#include <array>
#include <span>
#include <unordered_map>
#include <vector>

#include "standards/data_cell.h"
#include "standards/data_table.h"
#include "text/fold.h"

namespace loomgraft {
namespace {

enum class Match { whole_word, prefix, abbreviation };

struct Entry {
  RestraintWord word;
  Match match = Match::whole_word;
  std::vector<std::string> unless;  // folded
};

struct Book {
  std::vector<Entry> entries;
  // Positions in entries by spelling, letters only; and what may stand within a word, by its first three letters.
  std::unordered_multimap<std::string, std::size_t> spelled;
  std::unordered_multimap<std::string, std::pair<std::string, std::size_t>> within;
  Entry volts;
  double volts_from = 0.0;
  double orange_mm2 = 0.0;
};

constexpr std::size_t shortest_within = 5;  // shorter words would be met by chance
constexpr std::size_t most_words = 6;       // of one entry

RestraintKind kind_of(const std::string& text) {
  if (text == "restraint") return RestraintKind::restraint;
  return text == "interlock" ? RestraintKind::interlock : RestraintKind::high_voltage;
}

std::vector<std::string> cut(const std::string& list) {
  std::vector<std::string> parts;
  for (std::size_t at = 0; at < list.size();) {
    const std::size_t end = std::min(list.find(';', at), list.size());
    parts.push_back(folded_together(list.substr(at, end - at)));
    at = end + 1;
  }
  return parts;
}

void add_spelling(Book& book, const std::string& spelling, std::size_t entry) {
  if (book.entries[entry].match == Match::prefix && spelling.size() >= shortest_within)
    book.within.emplace(spelling.substr(0, 3), std::pair(spelling, entry));
  else
    book.spelled.emplace(spelling, entry);
}

void add_word(Book& book, Entry entry) {
  const std::size_t at = book.entries.size();
  const std::string plain = folded_together(entry.word.word);
  const std::string spelled_out = folded_together(umlauts_spelled_out(entry.word.word));
  book.entries.push_back(std::move(entry));
  add_spelling(book, plain, at);
  if (spelled_out != plain) add_spelling(book, spelled_out, at);
}

Book read_book() {
  const DataTable table("restraint_words.csv");
  const std::size_t word = table.column("word"), marks = table.column("marks"), match = table.column("match"),
                    unless = table.column("unless");
  Book book;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const std::string& how = table.at(row, match);
    Entry entry{
        {table.at(row, word), kind_of(table.at(row, marks))}, Match::whole_word, cut(table.at(row, unless))};
    if (how == "volts_from") {
      book.volts_from = number_cell(entry.word.word);
      book.volts = std::move(entry);
    } else if (how == "orange_wire_mm2") {
      book.orange_mm2 = number_cell(entry.word.word);
    } else {
      if (how == "prefix") entry.match = Match::prefix;
      if (how == "abbreviation") entry.match = Match::abbreviation;
      add_word(book, std::move(entry));
    }
  }
  return book;
}

const Book& the_book() {
  static const Book book = read_book();
  return book;
}

// The text's words, and all of them without anything between.
struct Words {
  std::vector<FoldedWord> words;
  std::string together;
  std::vector<std::size_t> begins;  // of each word in `together`
};

Words words_of(std::string_view text) {
  Words found{folded_words(text), {}, {}};
  for (const FoldedWord& word : found.words) {
    found.begins.push_back(found.together.size());
    found.together += word.text;
  }
  return found;
}

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

bool means_something_else(const Entry& entry, const Words& words) {
  return std::ranges::any_of(entry.unless, [&](const std::string& other) {
    return words.together.find(other) != std::string::npos;
  });
}

// `spelling` is made of `count` whole words of the text from `first` on.
const Entry* entry_spelled(const Book& book, const Words& words, const std::string& spelling,
                           std::size_t first, std::size_t count) {
  const auto [begin, end] = book.spelled.equal_range(spelling);
  for (auto at = begin; at != end; ++at) {
    const Entry& entry = book.entries[at->second];
    const bool capitals =
        std::ranges::all_of(std::span(words.words).subspan(first, count), &FoldedWord::capitals);
    if (entry.match == Match::abbreviation && !capitals) continue;
    if (!means_something_else(entry, words)) return &entry;
  }
  return nullptr;
}

// "SRS2" is the second of its kind, "squibs" are several.
std::string_view without_ending(std::string_view spelling) {
  std::size_t size = spelling.size();
  while (size > 0 && is_digit(spelling[size - 1])) --size;
  if (size == spelling.size() && size > 4 && spelling.back() == 's') --size;
  return spelling.substr(0, size);
}

const Entry* whole_words(const Book& book, const Words& words) {
  for (std::size_t first = 0; first < words.words.size(); ++first) {
    std::string spelling;
    for (std::size_t count = 1; count <= most_words && first + count <= words.words.size(); ++count) {
      spelling += words.words[first + count - 1].text;
      if (const Entry* entry = entry_spelled(book, words, spelling, first, count)) return entry;
      const std::string_view shorter = without_ending(spelling);
      if (shorter.size() == spelling.size()) continue;
      if (const Entry* entry = entry_spelled(book, words, std::string(shorter), first, count)) return entry;
    }
  }
  return nullptr;
}

// It may run over several words only from the beginning of one: "pre-tensioner", but not "cha(ir bag)".
bool stands_well(const Words& words, std::size_t at, std::size_t size) {
  const auto next = std::ranges::upper_bound(words.begins, at);
  if (*std::prev(next) == at) return true;
  return next == words.begins.end() || at + size <= *next;
}

const Entry* within_words(const Book& book, const Words& words) {
  for (std::size_t at = 0; at + 3 <= words.together.size(); ++at) {
    const auto [begin, end] = book.within.equal_range(words.together.substr(at, 3));
    for (auto found = begin; found != end; ++found) {
      const auto& [spelling, entry] = found->second;
      if (words.together.compare(at, spelling.size(), spelling) != 0) continue;
      if (!stands_well(words, at, spelling.size())) continue;
      if (!means_something_else(book.entries[entry], words)) return &book.entries[entry];
    }
  }
  return nullptr;
}

// "400 V", "650VDC", "350 Volt": the number, and what follows begins with v and is no other unit.
std::optional<RestraintWord> high_voltage(const Book& book, const Words& words, std::string_view beside) {
  constexpr std::array<std::string_view, 6> volts{"v", "vdc", "vac", "volt", "volts", "vcc"};
  for (std::size_t k = 0; k < words.words.size(); ++k) {
    const std::string& word = words.words[k].text;
    const auto digits = static_cast<std::size_t>(std::ranges::find_if_not(word, is_digit) - word.begin());
    if (digits < 2 || digits > 4) continue;
    const bool parted = digits == word.size() && k + 1 < words.words.size();
    const std::string unit = parted ? words.words[k + 1].text : word.substr(digits);
    if (std::ranges::find(volts, unit) == volts.end()) continue;
    if (number_cell(word.substr(0, digits)) < book.volts_from) continue;
    if (means_something_else(book.volts, words) || means_something_else(book.volts, words_of(beside)))
      continue;
    return RestraintWord{word.substr(0, digits) + " V", RestraintKind::high_voltage};
  }
  return std::nullopt;
}

}  // namespace

const char* name_of(RestraintKind kind) {
  switch (kind) {
    case RestraintKind::restraint:
      return "restraint";
    case RestraintKind::high_voltage:
      return "high_voltage";
    case RestraintKind::interlock:
      return "interlock";
  }
  return "";
}

std::optional<RestraintWord> restraint_word(std::string_view text, std::string_view beside) {
  const Book& book = the_book();
  const Words words = words_of(text);
  if (const Entry* entry = whole_words(book, words)) return entry->word;
  if (const Entry* entry = within_words(book, words)) return entry->word;
  return high_voltage(book, words, beside);
}

SquareMetres orange_high_voltage_area() {
  return SquareMetres{the_book().orange_mm2 * 1e-6};
}

}  // namespace loomgraft
