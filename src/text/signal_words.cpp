#include "text/signal_words.h"

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <utility>

#include "base/ascii.h"

namespace loomgraft {
namespace {

enum class Kind : std::uint8_t { letter, digit, sign, mark };

// One character of the name: its lower-case bytes and what it is to us.
struct Glyph {
  char bytes[4] = {0, 0, 0, 0};
  std::uint8_t size = 1;    // bytes of the lower-case form
  std::uint8_t length = 1;  // bytes of the original
  Kind kind = Kind::mark;
  bool upper = false;
  bool blank = false;
};

Glyph ascii_glyph(char c) {
  Glyph glyph;
  glyph.bytes[0] = c;
  if (c >= 'A' && c <= 'Z') {
    glyph.bytes[0] = static_cast<char>(c - 'A' + 'a');
    glyph.kind = Kind::letter;
    glyph.upper = true;
  } else if (c >= 'a' && c <= 'z') {
    glyph.kind = Kind::letter;
  } else if (c >= '0' && c <= '9') {
    glyph.kind = Kind::digit;
  } else if (c == '+' || c == '-') {
    glyph.kind = Kind::sign;
  }
  glyph.blank = c == ' ' || c == '\t' || c == '\n' || c == '\r';
  return glyph;
}

std::uint8_t length_from_lead(unsigned char lead) {
  if (lead >= 0xF0) return 4;
  if (lead >= 0xE0) return 3;
  return lead >= 0xC0 ? 2 : 1;
}

// Latin Extended-A pairs capitals and small letters; which of the two is even changes along the block.
void lower_extended_a(Glyph& glyph, unsigned code) {
  const bool odd_capital = (code >= 0x139 && code <= 0x148) || (code >= 0x179 && code <= 0x17E);
  if (code == 0x130) {  // I with a dot above becomes plain i
    glyph.bytes[0] = 'i';
    glyph.size = 1;
  } else if (code == 0x178) {
    code = 0xFF;
  } else if ((code % 2 == 1) == odd_capital && code != 0x138 && code != 0x149 && code != 0x17F) {
    code += 1;
  } else {
    return;
  }
  glyph.upper = true;
  if (glyph.size == 1) return;
  glyph.bytes[0] = static_cast<char>(0xC0U | (code >> 6U));
  glyph.bytes[1] = static_cast<char>(0x80U | (code & 0x3FU));
}

Glyph wide_glyph(std::string_view text, std::size_t i) {
  Glyph glyph;
  const unsigned char lead = byte_at(text, i);
  const std::uint8_t length = length_from_lead(lead);
  glyph.length = static_cast<std::uint8_t>(std::min<std::size_t>(length, text.size() - i));
  glyph.size = glyph.length;
  for (std::uint8_t k = 0; k < glyph.length; ++k) glyph.bytes[k] = text[i + k];
  glyph.kind = Kind::letter;
  const unsigned char second = byte_at(text, i + 1);
  if (lead == 0xC2) {  // no-break space, degree, signs
    glyph.kind = Kind::mark;
    glyph.blank = second == 0xA0;
  } else if (lead == 0xC3 && second >= 0x80 && second <= 0x9E && second != 0x97) {
    glyph.bytes[1] = static_cast<char>(second + 0x20);
    glyph.upper = true;
  } else if (lead == 0xC4 || lead == 0xC5) {
    lower_extended_a(glyph, ((lead & 0x1FU) << 6U) | (second & 0x3FU));
  } else if (lead == 0xE2) {  // dashes, quotes, minus, arrows
    glyph.kind = Kind::mark;
    const unsigned char third = byte_at(text, i + 2);
    if ((second == 0x80 && third >= 0x90 && third <= 0x95) || (second == 0x88 && third == 0x92)) {
      glyph.kind = Kind::sign;
      glyph.bytes[0] = '-';
      glyph.size = 1;
    }
  }
  return glyph;
}

Glyph glyph_at(std::string_view text, std::size_t i) {
  return byte_at(text, i) < 0x80 ? ascii_glyph(text[i]) : wide_glyph(text, i);
}

bool ends_a_word(std::string_view text, std::size_t i) {
  if (i >= text.size()) return true;
  return std::string_view(" \t/,;)]_|.").find(text[i]) != std::string_view::npos;
}

bool blank_to_end(std::string_view text, std::size_t i) {
  return text.find_first_not_of(" \t\r\n", i) == std::string_view::npos;
}

// Whether the sign at [i, next) tells polarity rather than joining or separating words.
bool tells_polarity(std::string_view text, std::size_t i, std::size_t next, char sign) {
  const auto is_sign = [&](std::size_t at) {
    return at < text.size() && (text[at] == '-' || text[at] == '+');
  };
  if (is_sign(next) || (i > 0 && is_sign(i - 1))) return false;  // a line of dashes
  const bool at_start = i == 0 || text[i - 1] == ' ' || text[i - 1] == '(' || text[i - 1] == '/';
  if (ends_a_word(text, next)) {
    if (i > 0 && text[i - 1] != ' ') return true;
    return i > 0 ? blank_to_end(text, next) || byte_at(text, next) == '/' : byte_at(text, next) == '/';
  }
  if (!at_start) return false;
  const Kind follower = glyph_at(text, next).kind;
  return follower == Kind::letter || (follower == Kind::digit && sign == '-');
}

class Splitter {
 public:
  Splitter(std::string_view name, const std::function<bool(std::string_view)>& knows)
      : name_(name), knows_(knows) {
    result_.buffer.reserve(name.size());
  }

  NameWords run() {
    std::size_t i = 0;
    while (i < name_.size()) {
      const Glyph glyph = glyph_at(name_, i);
      switch (glyph.kind) {
        case Kind::letter:
          i = take_letters(i);
          break;
        case Kind::digit:
          i = take_digits(i);
          break;
        case Kind::sign:
          if (tells_polarity(name_, i, i + glyph.length, glyph.bytes[0])) add(glyph);
          i += glyph.length;
          break;
        case Kind::mark:
          if (starts_remark(i)) remark_ = true;
          i += glyph.length;
          break;
      }
    }
    // The buffer was reserved for the whole name, so the views into it have stayed valid.
    return std::move(result_);
  }

 private:
  // "1,4" is a list, or a number with a decimal comma.
  bool starts_remark(std::size_t i) const {
    const auto digit = [&](std::size_t at) {
      return ascii_glyph(static_cast<char>(byte_at(name_, at))).kind == Kind::digit;
    };
    if (result_.words.empty() || (name_[i] != ',' && name_[i] != ';')) return false;
    return !(name_[i] == ',' && i > 0 && digit(i - 1) && digit(i + 1));
  }

  void add(const Glyph& glyph) {
    const std::size_t start = result_.buffer.size();
    result_.buffer.insert(result_.buffer.end(), glyph.bytes, glyph.bytes + glyph.size);
    push(start, false);
  }

  void push(std::size_t start, bool number) {
    if (start == result_.buffer.size()) return;
    result_.words.push_back(
        {std::string_view(result_.buffer.data() + start, result_.buffer.size() - start), number, remark_});
  }

  std::size_t take_digits(std::size_t i) {
    std::size_t end = i;
    while (end < name_.size() && name_[end] >= '0' && name_[end] <= '9') ++end;
    while (i + 1 < end && name_[i] == '0') ++i;
    const std::size_t start = result_.buffer.size();
    result_.buffer.insert(result_.buffer.end(), name_.begin() + static_cast<std::ptrdiff_t>(i),
                          name_.begin() + static_cast<std::ptrdiff_t>(end));
    push(start, true);
    return end;
  }

  std::size_t take_letters(std::size_t i) {
    const std::size_t start = result_.buffer.size();
    cuts_.clear();
    bool previous_upper = true;
    std::size_t capital_at = start;  // where the last capital went, for "CANHigh" -> "can high"
    while (i < name_.size()) {
      const Glyph glyph = glyph_at(name_, i);
      if (glyph.kind != Kind::letter) break;
      const std::size_t at = result_.buffer.size();
      if (glyph.upper && !previous_upper) cuts_.push_back(at);
      if (!glyph.upper && previous_upper && capital_at > start &&
          (cuts_.empty() || cuts_.back() != capital_at)) {
        cuts_.push_back(capital_at);
      }
      if (glyph.upper) capital_at = at;
      previous_upper = glyph.upper;
      result_.buffer.insert(result_.buffer.end(), glyph.bytes, glyph.bytes + glyph.size);
      i += glyph.length;
    }
    push_cut(start);
    return i;
  }

  void push_cut(std::size_t start) {
    const std::string_view whole(result_.buffer.data() + start, result_.buffer.size() - start);
    if (cuts_.empty() || knows_(whole)) {
      result_.words.push_back({whole, false, remark_});
      return;
    }
    std::size_t from = 0;
    for (const std::size_t cut : cuts_) {
      result_.words.push_back({whole.substr(from, cut - start - from), false, remark_});
      from = cut - start;
    }
    result_.words.push_back({whole.substr(from), false, remark_});
  }

  std::string_view name_;
  const std::function<bool(std::string_view)>& knows_;
  NameWords result_;
  std::vector<std::size_t> cuts_;
  bool remark_ = false;
};

}  // namespace

NameWords split_name(std::string_view name, const std::function<bool(std::string_view)>& knows) {
  return Splitter(name, knows).run();
}

std::string lower_case(std::string_view text) {
  std::string result;
  result.reserve(text.size());
  for (std::size_t i = 0; i < text.size();) {
    const Glyph glyph = glyph_at(text, i);
    if (glyph.kind == Kind::letter) {
      result.append(glyph.bytes, glyph.size);
    } else {
      result.append(text.substr(i, glyph.length));
    }
    i += glyph.length;
  }
  return result;
}

bool contains_word(std::string_view text, std::string_view word) {
  const auto in_a_word = [](char c) { return is_letter(c) || is_digit(c); };
  for (std::size_t at = text.find(word); at != std::string_view::npos; at = text.find(word, at + 1)) {
    const std::size_t end = at + word.size();
    if ((at == 0 || !in_a_word(text[at - 1])) && (end == text.size() || !in_a_word(text[end]))) return true;
  }
  return false;
}

}  // namespace loomgraft
