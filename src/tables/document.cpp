#include <algorithm>
#include <array>
#include <cstring>

#include "base/ascii.h"
#include "tables/table_internal.h"

namespace loomgraft::tables {
namespace {

bool continuation_byte(char c) {
  return (static_cast<unsigned char>(c) & 0xC0) == 0x80;
}

// No-break blank, zero-width blank and mark: spreadsheets and web pages leave them around cells.
std::size_t wide_blank_at_front(std::string_view text) {
  if (text.starts_with("\xC2\xA0")) return 2;
  return text.starts_with("\xE2\x80\x8B") || text.starts_with("\xEF\xBB\xBF") ? 3 : 0;
}

std::size_t wide_blank_at_back(std::string_view text) {
  if (text.ends_with("\xC2\xA0")) return 2;
  return text.ends_with("\xE2\x80\x8B") || text.ends_with("\xEF\xBB\xBF") ? 3 : 0;
}

}  // namespace

std::size_t split_lines(std::string_view text, std::vector<std::string_view>& lines) {
  std::size_t begin = 0;
  while (begin < text.size()) {
    if (lines.size() == max_lines) return begin;
    std::size_t end = text.find_first_of("\r\n", begin);
    if (end == std::string_view::npos) end = text.size();
    lines.push_back(text.substr(begin, end - begin));
    const bool pair = end + 1 < text.size() && text[end] == '\r' && text[end + 1] == '\n';
    begin = end + (pair ? 2 : 1);
  }
  return text.size();
}

std::size_t count_characters(std::string_view utf8) {
  return static_cast<std::size_t>(
      std::count_if(utf8.begin(), utf8.end(), [](char c) { return !continuation_byte(c); }));
}

int ColumnCursor::at(std::size_t byte) {
  byte = std::min(byte, line_.size());
  if (byte < byte_) {  // back by the difference: long lines are not counted from their start again
    column_ -= static_cast<int>(count_characters(line_.substr(byte, byte_ - byte)));
    byte_ = byte;
  }
  column_ += static_cast<int>(count_characters(line_.substr(byte_, byte - byte_)));
  byte_ = byte;
  return column_;
}

void LocationCursor::move_to(std::size_t offset) {
  const auto& lines = document_.lines;
  const auto line_holds = [&](std::size_t line) {
    return line < lines.size() && document_.offset_of(line) <= offset &&
           (line + 1 == lines.size() || offset < document_.offset_of(line + 1));
  };
  if (!line_holds(line_)) {
    const auto after = std::upper_bound(
        lines.begin(), lines.end(), offset, [&](std::size_t value, const std::string_view& line) {
          return value < static_cast<std::size_t>(line.data() - document_.text.data());
        });
    line_ = after == lines.begin() ? 0 : static_cast<std::size_t>(after - lines.begin()) - 1;
    column_ = ColumnCursor(lines.empty() ? std::string_view{} : lines[line_]);
  }
  at_ = lines.empty() ? 1 : column_.at(offset - std::min(offset, document_.offset_of(line_)));
}

bool is_fence(std::string_view line) {
  return line.size() < 64 && trim(line).starts_with("```");
}

bool Reader::blank(std::size_t index) const {
  const std::string_view line = trim(document_.lines[index]);
  return line.empty() || is_fence(line);
}

void Reader::report(Severity severity, ProblemCode code, int line, int column, std::string message,
                    std::string remedy) {
  auto found =
      std::find_if(counts_.begin(), counts_.end(), [&](const auto& count) { return count.first == code; });
  if (found == counts_.end()) found = counts_.insert(counts_.end(), {code, 0});
  if (++found->second > max_problems_of_a_kind) return;
  if (found->second == max_problems_of_a_kind)
    message += " More problems of this kind follow and are not listed.";
  problems_.push_back(
      {severity, code, {document_.file, line, column, ""}, std::move(message), std::move(remedy)});
}

bool Reader::spend(std::size_t cells, int line) {
  if (exhausted_) return false;
  if (cells <= cells_left_) {
    cells_left_ -= cells;
    return true;
  }
  exhausted_ = true;
  report(Severity::error, "too-large", line, 1, "The file holds too many cells; reading stopped here.",
         "Split the file, or keep only the tables you need.");
  return false;
}

std::string_view trim(std::string_view text) {
  while (!text.empty()) {
    const std::size_t wide = is_blank(text.front()) ? 1 : wide_blank_at_front(text);
    if (wide == 0) break;
    text.remove_prefix(wide);
  }
  while (!text.empty()) {
    const std::size_t wide = is_blank(text.back()) ? 1 : wide_blank_at_back(text);
    if (wide == 0) break;
    text.remove_suffix(wide);
  }
  return text;
}

bool starts_with_word(std::string_view text, std::string_view word) {
  if (text.size() < word.size()) return false;
  for (std::size_t i = 0; i < word.size(); ++i)
    if (lower(text[i]) != lower(word[i])) return false;
  return text.size() == word.size() || !is_letter(text[word.size()]);
}

void add_cell(Row& row, int line_number, std::string_view line, ColumnCursor& column, std::size_t begin,
              std::size_t end) {
  const std::string_view text = trim(line.substr(begin, end - begin));
  // An empty cell stands where it begins.
  const std::size_t at = text.empty() ? begin : static_cast<std::size_t>(text.data() - line.data());
  row.push_back({std::string(text), line_number, column.at(at), {}});
}

void join_wrapped(Row& into, const Row& row) {
  for (std::size_t i = 0; i < row.size(); ++i) {
    if (row[i].text.empty()) continue;
    while (into.size() <= i) into.push_back({"", row[i].line, row[i].column, ""});
    if (into[i].text.empty())
      into[i] = row[i];
    else
      into[i].text.append(" ").append(row[i].text);
  }
}

VisualLine expand(std::string_view line) {
  VisualLine visual{line, {}};
  visual.bytes.reserve(line.size() + 1);
  for (std::size_t i = 0; i < line.size(); ++i) {
    if (continuation_byte(line[i])) continue;
    visual.bytes.push_back(static_cast<std::uint32_t>(i));
    if (line[i] == '\t')
      while (visual.bytes.size() % 8 != 0) visual.bytes.push_back(static_cast<std::uint32_t>(i));
  }
  visual.bytes.push_back(static_cast<std::uint32_t>(line.size()));
  return visual;
}

}  // namespace loomgraft::tables
