#include "gather/signal_cell.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "base/ascii.h"
#include "text/cavity.h"
#include "text/signal_words.h"

namespace loomgraft::gather {
namespace {

// "(+)", "(1)", "(low)", "(LH)": they tell signals apart.
bool qualifies(std::string_view inside) {
  constexpr std::array<std::string_view, 14> words{"low", "high",  "left",  "right", "front", "rear", "lh",
                                                   "rh",  "upper", "lower", "in",    "out",   "pos",  "neg"};
  if (inside.empty() || inside.size() > 6) return false;
  if (inside == "+" || inside == "-") return true;
  if (std::all_of(inside.begin(), inside.end(), is_digit)) return true;
  const std::string lower = lower_case(inside);
  return std::find(words.begin(), words.end(), lower) != words.end();
}

char closing(char open) {
  return open == '(' ? ')' : ']';
}

class CellReader {
 public:
  explicit CellReader(std::string_view text) : text_(text) {}

  SignalCell run() {
    while (i_ < text_.size()) {
      const char c = text_[i_];
      if (c == '(' || c == '[') {
        take_bracket();
      } else if (c == '*' || c == '~') {
        take_emphasis();
      } else if (c == '/' && starts("//")) {
        take_comment();
      } else if (starts(" -- ") && !trimmed(cell_.signal).empty()) {
        add_remark(cell_.note, text_.substr(i_ + 4));
        i_ = text_.size();
      } else if (second_sentence()) {
        add_remark(cell_.note, text_.substr(i_ + 2));
        i_ = text_.size();
      } else if (starts("; ") && !trimmed(cell_.signal).empty()) {
        add_remark(cell_.note, text_.substr(i_ + 2));
        i_ = text_.size();
      } else if (starts("http://") || starts("https://")) {
        take_address();
      } else {
        cell_.signal += c;
        ++i_;
      }
    }
    tidy();
    return std::move(cell_);
  }

 private:
  bool starts(std::string_view what) const { return text_.substr(i_).starts_with(what); }

  // "First digital input. Tied to pin 3 through a switch": what follows the full stop explains. Abbreviations
  // end in a stop as well, so the rest must be a sentence of some length.
  bool second_sentence() const {
    constexpr std::ptrdiff_t fewest_blanks = 3;
    if (!starts(". ") || i_ + 2 >= text_.size() || text_[i_ + 2] < 'A' || text_[i_ + 2] > 'Z') return false;
    const std::string_view first = trimmed(text_.substr(0, i_));
    const std::string_view rest = text_.substr(i_ + 2);
    return first.find(' ') != std::string_view::npos &&
           std::count(rest.begin(), rest.end(), ' ') >= fewest_blanks;
  }

  void take_bracket() {
    const char open = text_[i_];
    // Nested brackets stay together.
    std::size_t depth = 0;
    std::size_t end = i_;
    for (; end < text_.size(); ++end) {
      if (text_[end] == open) ++depth;
      if (text_[end] == closing(open) && --depth == 0) break;
    }
    if (end >= text_.size()) {  // never closed: part of the signal
      cell_.signal += text_[i_++];
      return;
    }
    const std::string_view inside = trimmed(text_.substr(i_ + 1, end - i_ - 1));
    const bool grown_on = open == '(' && i_ > 0 && !is_blank(text_[i_ - 1]) && text_[i_ - 1] == '_';
    if (grown_on || qualifies(inside)) {
      cell_.signal += text_.substr(i_, end + 1 - i_);
    } else {
      add_remark(cell_.note, inside);
      if (end + 1 < text_.size() && !is_blank(text_[end + 1])) cell_.signal += ' ';
    }
    i_ = end + 1;
  }

  void take_emphasis() {
    const std::string_view mark = starts("**") ? "**" : (starts("~~") ? "~~" : "");
    const std::size_t end = mark.empty() ? std::string_view::npos : text_.find(mark, i_ + 2);
    if (end == std::string_view::npos) {
      cell_.signal += text_[i_++];
      return;
    }
    const std::string_view inside = trimmed(text_.substr(i_ + 2, end - i_ - 2));
    const bool whole = trimmed(text_.substr(0, i_)).empty() && trimmed(text_.substr(end + 2)).empty();
    if (mark == "~~") {
      cell_.doubts.push_back(fmt::format("the source has struck out \"{}\"", inside));
    } else if (inside.ends_with(":")) {
      cell_.doubts.emplace_back("the cell gives values for several versions of the hardware");
      cell_.signal += inside;
    } else if (whole) {
      cell_.signal += inside;
    } else {
      add_remark(cell_.note, inside);
    }
    i_ = end + 2;
  }

  void take_comment() {
    add_remark(cell_.note, trimmed(text_.substr(i_ + 2)));
    i_ = text_.size();
  }

  void take_address() {
    std::size_t end = i_;
    while (end < text_.size() && !is_blank(text_[end])) ++end;
    add_remark(cell_.note, text_.substr(i_, end - i_));
    i_ = end;
  }

  void tidy() {
    std::string result;
    for (const char c : trimmed(cell_.signal)) {
      if (is_blank(c) && !result.empty() && result.back() == ' ') continue;
      result += is_blank(c) ? ' ' : c;
    }
    cell_.signal = std::move(result);
    if (cell_.signal.empty()) std::swap(cell_.signal, cell_.note);
    if (cell_.signal.find(" OR ") != std::string::npos) {
      cell_.doubts.emplace_back("the source names two functions for this cavity");
    }
    if (cell_.signal == "?" || cell_.signal == "TODO" || cell_.signal.ends_with(" TODO")) {
      cell_.doubts.emplace_back("the source leaves this function open");
    }
  }

  std::string_view text_;
  std::size_t i_ = 0;
  SignalCell cell_;
};

bool plain(std::string_view text) {
  return text.find(". ") == std::string_view::npos && text.find(" -- ") == std::string_view::npos &&
         text.find_first_of("([*~/:;?") == std::string_view::npos &&
         text.find(" OR ") == std::string_view::npos && text.find("TODO") == std::string_view::npos &&
         text.find("  ") == std::string_view::npos && text.find_first_of("\t\n") == std::string_view::npos;
}

}  // namespace

void add_remark(std::string& note, std::string_view remark) {
  remark = trimmed(remark);
  if (remark.empty() || note == remark) return;
  const std::string with_mark = fmt::format("; {}", remark);
  if (note.ends_with(with_mark) || note.starts_with(fmt::format("{}; ", remark))) return;
  if (note.empty()) {
    note = remark;
  } else {
    note += with_mark;
  }
}

SignalCell read_signal_cell(std::string_view text) {
  text = trimmed(text);
  if (plain(text)) return {std::string(text), "", {}};
  return CellReader(text).run();
}

LabelParts split_label(std::string_view label, std::string_view cavity) {
  label = trimmed(label);
  const std::size_t end = std::min(label.find_first_of(" \t"), label.size());
  const std::string_view first = label.substr(0, end);
  const std::string_view rest = trimmed(label.substr(end));
  if (rest.empty() || !looks_like_cavities(first)) return {"", std::string(label)};
  const bool dashed = rest.starts_with("-") && rest.size() > 1 && is_blank(rest[1]);
  const CavityParts own = split_cavity(cavity);
  const CavityParts named = split_cavity(first);
  const bool alike =
      own.row.empty() == named.row.empty() && own.tail.size() == named.tail.size() && own.number != 0;
  if (!dashed && !alike) return {"", std::string(label)};
  const CavityReading reading = read_cavities(first);
  const std::string name = reading.cavities.size() == 1 ? reading.cavities[0].cavity : std::string(first);
  return {name, std::string(dashed ? trimmed(rest.substr(1)) : rest)};
}

}  // namespace loomgraft::gather
