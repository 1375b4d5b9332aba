#include "draw/text_extent.h"

#include <algorithm>

namespace loomgraft {
namespace {

// Advance widths in thousandths of the font size, U+0020 to U+007E, read from the font files (version 2.37).
constexpr int regular_widths[] = {
    317, 400, 459, 837, 636, 950, 779, 274, 390, 390, 500, 837, 317, 360,  317, 336, 636, 636, 636,
    636, 636, 636, 636, 636, 636, 636, 336, 336, 837, 837, 837, 530, 1000, 684, 686, 698, 770, 631,
    575, 774, 751, 294, 294, 655, 557, 862, 748, 787, 603, 787, 694, 634,  610, 731, 684, 988, 685,
    610, 685, 390, 336, 390, 837, 500, 500, 612, 634, 549, 634, 615, 352,  634, 633, 277, 277, 579,
    277, 974, 633, 611, 634, 634, 411, 520, 392, 633, 591, 817, 591, 591,  524, 636, 336, 636, 837};
constexpr int bold_widths[] = {
    348, 456,  520, 837, 695, 1001, 872, 306, 457, 457, 522, 837, 379, 415,  379, 365, 695, 695,  695,
    695, 695,  695, 695, 695, 695,  695, 399, 399, 837, 837, 837, 580, 1000, 773, 762, 733, 830,  683,
    683, 820,  836, 372, 372, 774,  637, 995, 836, 850, 732, 850, 770, 720,  682, 812, 773, 1103, 770,
    724, 725,  457, 365, 457, 837,  500, 500, 674, 715, 592, 715, 678, 435,  715, 711, 342, 342,  665,
    342, 1041, 711, 687, 715, 715,  493, 595, 478, 711, 651, 923, 645, 651,  582, 711, 365, 711,  837};
struct SignWidth {
  std::string_view sign;
  int regular, bold;
};
constexpr SignWidth sign_widths[] = {{"²", 401, 438}, {"°", 500, 500}, {"µ", 636, 736}, {"Ω", 764, 850}};
constexpr int other_width = 1000;  // wide enough for ideographs too
constexpr std::string_view ellipsis = "\xE2\x80\xA6";

// Bytes of the character at the front; a stray byte counts as one character.
std::size_t character_length(std::string_view text) {
  std::size_t length = 1;
  if (static_cast<unsigned char>(text[0]) < 0xC0U) return length;
  while (length < text.size() && length < 4 && (static_cast<unsigned char>(text[length]) & 0xC0U) == 0x80U)
    ++length;
  return length;
}

double character_width(std::string_view character, double size, bool bold) {
  const auto code = static_cast<unsigned char>(character[0]);
  int width = other_width;
  if (code >= 0x20U && code < 0x7FU) width = bold ? bold_widths[code - 0x20U] : regular_widths[code - 0x20U];
  for (const SignWidth& one : sign_widths)
    if (one.sign == character) width = bold ? one.bold : one.regular;
  return size * width / 1000.0;
}

// Bytes of the longest beginning that is no wider than `width`.
std::size_t fitting_length(std::string_view text, double width, double size, bool bold) {
  std::size_t length = 0;
  double used = 0.0;
  while (length < text.size()) {
    const std::size_t next = character_length(text.substr(length));
    used += character_width(text.substr(length, next), size, bold);
    if (used > width) break;
    length += next;
  }
  return length;
}

bool is_blank(char c) {
  return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

std::string_view take_word(std::string_view& text) {
  while (!text.empty() && is_blank(text.front())) text.remove_prefix(1);
  std::size_t end = 0;
  while (end < text.size() && !is_blank(text[end])) ++end;
  const std::string_view word = text.substr(0, end);
  text.remove_prefix(end);
  return word;
}

}  // namespace

double text_width(std::string_view text, double size, bool bold) {
  double width = 0.0;
  while (!text.empty()) {
    const std::size_t length = character_length(text);
    width += character_width(text.substr(0, length), size, bold);
    text.remove_prefix(length);
  }
  return width;
}

std::string elide(std::string_view text, double width, double size, bool bold) {
  if (fitting_length(text, width, size, bold) == text.size()) return std::string(text);
  const double room = width - text_width(ellipsis, size, bold);
  return std::string(text.substr(0, fitting_length(text, room, size, bold))) + std::string(ellipsis);
}

std::vector<std::string> wrap(std::string_view text, double width, double size, bool bold) {
  std::vector<std::string> lines;
  std::string line;
  double used = 0.0;
  const double blank = text_width(" ", size, bold);
  for (std::string_view word = take_word(text); !word.empty(); word = take_word(text)) {
    double wide = text_width(word, size, bold);
    if (!line.empty() && used + blank + wide > width) {
      lines.push_back(line);
      line.clear();
      used = 0.0;
    }
    while (wide > width) {
      const std::size_t length = std::max(fitting_length(word, width, size, bold), character_length(word));
      if (length == word.size()) break;
      lines.emplace_back(word.substr(0, length));
      word.remove_prefix(length);
      wide = text_width(word, size, bold);
    }
    if (!line.empty()) line += ' ';
    used += (line.empty() ? 0.0 : blank) + wide;
    line += word;
  }
  if (!line.empty() || lines.empty()) lines.push_back(line);
  return lines;
}

}  // namespace loomgraft
