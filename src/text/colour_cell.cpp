#include "text/colour_cell.h"

#include <algorithm>
#include <array>
#include <utility>

#include "base/ascii.h"
#include "text/signal_words.h"

namespace loomgraft::text {
namespace {

constexpr std::size_t kMostWords = 8;
constexpr std::size_t kLongestShown = 60;  // bytes of a cell quoted in a doubt

template <std::size_t N>
bool one_of(std::string_view word, const std::array<std::string_view, N>& list) {
  return std::find(list.begin(), list.end(), word) != list.end();
}

bool is_shade(std::string_view word) {
  constexpr std::array<std::string_view, 29> shades{
      "light", "lt",    "dark",   "dk",     "drk",   "pale",   "bright", "hell",   "dunkel", "clair",
      "fonce", "foncé", "claire", "foncée", "claro", "clara",  "oscuro", "oscura", "chiaro", "scuro",
      "lys",   "mørk",  "ljus",   "mörk",   "licht", "donker", "jasny",  "ciemny", "usui"};
  return one_of(word, shades);
}

bool is_tracer_word(std::string_view word) {
  constexpr std::array<std::string_view, 22> list{
      "stripe", "stripes", "striped", "strip",  "tracer", "trace",  "streifen", "band",
      "bands",  "rayure",  "riga",    "streep", "raya",   "franja", "filet",    "pasek",
      "with",   "mit",     "avec",    "con",    "med",    "and"};
  return one_of(word, list);
}

bool is_size_word(std::string_view word) {
  constexpr std::array<std::string_view, 8> list{"mm", "awg", "ga", "gauge", "sqmm", "qmm", "gxl", "txl"};
  return one_of(word, list);
}

bool is_choice_word(std::string_view word) {
  constexpr std::array<std::string_view, 4> list{"or", "oder", "ou", "eller"};
  return one_of(word, list);
}

bool is_word_letter(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (static_cast<unsigned char>(c) & 0x80U) != 0;
}
// Cuts off what stands after a comma (not a decimal one) or a semicolon.
std::string_view cut_note(std::string_view& text) {
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] != ',' && text[i] != ';') continue;
    const bool decimal = i > 0 && i + 1 < text.size() && is_digit(text[i - 1]) && is_digit(text[i + 1]);
    if (decimal) continue;
    const std::string_view note = trimmed(text.substr(i + 1));
    text = trimmed(text.substr(0, i));
    return note;
  }
  return {};
}

void add_note(ColourCell& cell, std::string_view note) {
  note = trimmed(note);
  if (note.empty()) return;
  cell.doubts.push_back("the colour cell carries a note: \"" + std::string(note.substr(0, kLongestShown)) +
                        "\"");
}

// "[Black]" and "(Black)" say that the colour is assumed; a bracket behind a colour is a note.
std::string take_brackets(std::string_view text, ColourCell& cell) {
  std::string plain;
  std::size_t i = 0;
  while (i < text.size()) {
    if (text[i] != '[' && text[i] != '(') {
      plain += text[i++];
      continue;
    }
    const std::size_t end = std::min(text.find(text[i] == '[' ? ']' : ')', i), text.size());
    const std::string_view inside = trimmed(text.substr(i + 1, end - i - 1));
    if (trimmed(plain).empty() && inside != "?") {
      cell.doubts.emplace_back("the colour is assumed by the source (written in brackets)");
      plain += ' ';
      plain += inside;
    } else if (inside == "?") {
      plain += '?';
    } else {
      add_note(cell, inside);
    }
    i = end + 1;
  }
  return plain;
}

class Reader {
 public:
  Reader(std::string_view text, ColourCell& cell) : text_(text), cell_(cell) {}

  void run() {
    while (i_ < text_.size() && cell_.words.size() < kMostWords) {
      if (is_word_letter(text_[i_])) {
        take_word();
      } else if (is_digit(text_[i_])) {
        take_size();
      } else {
        if (text_[i_] == '/' || text_[i_] == '-' || text_[i_] == '+' || text_[i_] == '|') marked_ = true;
        uncertain_ = uncertain_ || text_[i_] == '?';
        ++i_;
      }
    }
    if (uncertain_) cell_.doubts.emplace_back("the source marks the colour with a question mark");
    if (i_ < text_.size()) cell_.doubts.emplace_back("the colour cell holds more than colours");
  }

 private:
  void take_size() {
    while (i_ < text_.size() && (is_digit(text_[i_]) || text_[i_] == '.' || text_[i_] == ',')) ++i_;
  }

  void take_word() {
    const std::size_t start = i_;
    while (i_ < text_.size() && is_word_letter(text_[i_])) ++i_;
    const std::string_view word = text_.substr(start, i_ - start);
    if (i_ < text_.size() && is_digit(text_[i_])) {  // "W4", "mm2": a location or a size, not a colour
      const std::size_t digits = i_;
      take_size();
      if (!is_size_word(lower_case(word))) add_note(cell_, text_.substr(start, i_ - start));
      marked_ = marked_ && digits == i_;
      return;
    }
    if (word.size() > kLongestShown) {
      cell_.words.push_back({std::string(word.substr(0, kLongestShown)), marked_});
      return;
    }
    sort_word(word, start);
  }

  void sort_word(std::string_view word, std::size_t start) {
    const std::string lower = lower_case(word);
    const bool after_blank = start > 0 && is_blank(text_[start - 1]);
    const bool with = word == "w" && after_blank && !cell_.words.empty();  // "Bl w/ Red stripe"
    if (with || is_tracer_word(lower)) {
      marked_ = true;
    } else if (is_choice_word(lower) && after_blank && !cell_.words.empty() &&
               !trimmed(text_.substr(i_)).empty()) {
      cell_.choice = true;
    } else if (!is_shade(lower) && !is_size_word(lower)) {
      cell_.words.push_back({std::string(word), marked_});
      marked_ = false;
    }
  }

  std::string_view text_;
  ColourCell& cell_;
  std::size_t i_ = 0;
  bool marked_ = false;
  bool uncertain_ = false;
};

}  // namespace

ColourCell split_colour_cell(std::string_view raw) {
  ColourCell cell;
  std::string_view text = trimmed(raw);
  const std::string_view note = cut_note(text);
  const std::string plain = take_brackets(text, cell);
  Reader(plain, cell).run();
  add_note(cell, note);
  if (cell.choice) cell.doubts.emplace_back("the source names two colours as alternatives");
  return cell;
}

}  // namespace loomgraft::text
