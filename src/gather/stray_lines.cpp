#include "gather/stray_lines.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <map>
#include <string_view>

#include "base/ascii.h"
#include "gather/heading_words.h"
#include "text/cavity.h"
#include "text/signal_words.h"

namespace loomgraft::gather {
namespace {

constexpr std::size_t kLongestQuote = 80;
constexpr int kHighestNumber = 250;  // beyond it a number is a year or a part rather than a cavity

struct Block {
  int first = 0;
  int last = 0;
  std::map<std::string, std::string> cavities;  // with what is on them
};

// The lines that each table takes up, with the cavities read from them.
std::vector<Block> blocks_of(const TableText& text, const std::vector<PinTable>& read) {
  std::vector<Block> blocks;
  for (const Table& table : text.tables) {
    Block block;
    const auto take = [&](const std::vector<Cell>& row) {
      if (row.empty()) return;
      if (block.first == 0) block.first = row.front().line;
      block.last = std::max(block.last, row.back().line);
    };
    take(table.header);
    for (const std::vector<Cell>& row : table.rows) take(row);
    blocks.push_back(std::move(block));
  }
  for (const PinTable& table : read) {
    for (const TablePin& pin : table.pins) {
      const auto block = std::find_if(blocks.begin(), blocks.end(), [&](const Block& b) {
        return b.first <= pin.source.line && pin.source.line <= b.last;
      });
      if (block != blocks.end()) block->cavities.emplace(pin.cavity, pin.signal);
    }
  }
  return blocks;
}

// The nearest pin table above the line, else the nearest below.
const Block* beside(const ProseLine& line, const std::vector<Block>& blocks) {
  for (std::size_t i = std::min(line.tables_before, blocks.size()); i-- > 0;)
    if (!blocks[i].cavities.empty()) return &blocks[i];
  for (std::size_t i = line.tables_before; i < blocks.size(); ++i)
    if (!blocks[i].cavities.empty()) return &blocks[i];
  return nullptr;
}

bool is_cavity_number(std::string_view text) {
  if (!looks_like_cavities(text)) return false;
  const CavityParts parts = split_cavity(text);
  return parts.number > 0 && parts.number <= kHighestNumber;
}

bool is_lettered(const Block& block) {
  return std::any_of(block.cavities.begin(), block.cavities.end(),
                     [](const auto& cavity) { return is_lettered_cavity(cavity.first); });
}

// "X1" is no cavity of a table whose cavities are numbers.
bool has_shape_of(const Block& block, const std::string& cavity) {
  const bool letter = is_letter(cavity.front());
  return std::any_of(block.cavities.begin(), block.cavities.end(),
                     [&](const auto& known) { return is_letter(known.first.front()) == letter; });
}

// The line repeats what the row of the cavity says.
bool line_says(const Block& block, const std::string& cavity, std::string_view line) {
  const std::string& signal = block.cavities.at(cavity);
  return !signal.empty() && line.find(signal) != std::string_view::npos;
}

// "12 V", "34 pins": the number counts or measures.
bool counts(std::string_view next) {
  constexpr std::string_view units[] = {"v",     "volt", "volts", "a",   "amp", "amps", "w",   "mm",
                                        "ohm",   "ohms", "k",     "awg", "x",   "hz",   "khz", "nm",
                                        "wires", "wire", "way",   "m",   "s",   "ms"};
  const std::string word = lower_case(next.substr(0, next.find_first_of(" ,;.:/)-")));
  return is_pin_table_word(word) || is_connector_word(word) ||
         std::find(std::begin(units), std::end(units), word) != std::end(units);
}

// The cavity at the front of a line that looks like a row: "12 - GND", "| 12 | GND", "12  GND".
std::string row_cavity(std::string_view line, const Block& block) {
  // With nothing but a blank behind the cavity; beyond it is a sentence.
  constexpr std::size_t longest_row = 70;
  line = trimmed(line, "|>*-\"");
  const std::size_t end = line.find_first_of(" \t,;|:=)");
  if (end > 8) return {};  // also where there is none
  const std::string_view name = trimmed(line.substr(0, end), ".\"#");
  if (!is_cavity_number(name) && !(is_lettered(block) && is_lettered_cavity(name) && upper(name) == name))
    return {};
  const std::string_view behind = line.substr(end);
  const std::string_view rest = trimmed(behind, ",;|:=)-.\"");
  const bool worded = std::any_of(rest.begin(), rest.end(), is_letter);
  if (!worded || (behind.starts_with(" ") && counts(rest))) return {};
  const bool marked = behind.front() != ' ' || behind.starts_with("  ") || behind.starts_with(" - ") ||
                      behind.starts_with(" = ") || behind.starts_with(" |");
  if (!marked && line.size() > longest_row) return {};
  if (is_step_word(rest.substr(0, rest.find_first_of(" ,:.")))) return {};
  const CavityReading reading = read_cavities(name);
  if (reading.cavities.size() != 1 || !has_shape_of(block, reading.cavities[0].cavity)) return {};
  return reading.cavities[0].cavity;
}

void add_numbers(std::string_view list, std::vector<std::string>& cavities) {
  for (const CavityName& name : read_cavities(list).cavities)
    if (is_cavity_number(name.cavity)) cavities.push_back(name.cavity);
}

// "pins 9 & 10", "(19, 29, 30, 31)".
std::vector<std::string> mentioned_cavities(std::string_view line) {
  std::vector<std::string> cavities;
  for (std::size_t open = line.find('('); open != std::string_view::npos; open = line.find('(', open + 1)) {
    const std::size_t close = line.find(')', open);
    if (close == std::string_view::npos) break;
    const std::string_view inside = line.substr(open + 1, close - open - 1);
    if (inside.find(',') != std::string_view::npos && looks_like_cavities(inside))
      add_numbers(inside, cavities);
  }
  const std::string lower = lower_case(line);
  for (const std::string_view word : {"pin ", "pins ", "cavity ", "cavities ", "terminal ", "terminals "}) {
    for (std::size_t at = lower.find(word); at != std::string::npos; at = lower.find(word, at + 1)) {
      if (at > 0 && (is_letter(lower[at - 1]) || lower[at - 1] == '-')) continue;
      const std::string_view list = line.substr(std::min(at + word.size(), line.size()));
      const std::size_t end = list.find_first_not_of("0123456789,& /");
      add_numbers(trimmed(list.substr(0, std::min(end, list.size())), ",&/"), cavities);
    }
  }
  return cavities;
}

bool speaks_of_another_board(std::string_view line) {
  for (const NameWord& word : split_name(line, [](std::string_view) { return true; }).words)
    if (is_board_word(word.text)) return true;
  return false;
}

std::vector<std::string> unknown_among(const std::vector<std::string>& cavities, const Block& block) {
  std::vector<std::string> unknown;
  for (const std::string& cavity : cavities)
    if (!block.cavities.contains(cavity) &&
        std::find(unknown.begin(), unknown.end(), cavity) == unknown.end())
      unknown.push_back(cavity);
  return unknown;
}

}  // namespace

void report_stray_lines(const TableText& text, const std::vector<PinTable>& read, const std::string& file,
                        Problems& problems) {
  const std::vector<Block> blocks = blocks_of(text, read);
  for (const ProseLine& line : text.prose) {
    const Block* block = beside(line, blocks);
    if (block == nullptr) continue;
    const std::string row = row_cavity(line.text, *block);
    if (!row.empty() && block->cavities.contains(row) && !line_says(*block, row, line.text)) {
      problems.push_back({Severity::note,
                          "line-not-read",
                          {file, line.line, 1, ""},
                          fmt::format("\"{}\" stands outside the tables and was not read",
                                      line.text.substr(0, kLongestQuote)),
                          fmt::format("Look whether it is a second description of cavity {}.", row)});
      continue;
    }
    if (!row.empty() && !block->cavities.contains(row)) {
      problems.push_back(
          {Severity::warning,
           "line-not-read",
           {file, line.line, 1, ""},
           fmt::format("\"{}\" looks like cavity {} but stands outside the table; it was not read",
                       line.text.substr(0, kLongestQuote), row),
           "Put it into the table if it is a pin."});
      continue;
    }
    const std::vector<std::string> unknown = unknown_among(mentioned_cavities(line.text), *block);
    if (unknown.empty() || speaks_of_another_board(line.text)) continue;
    problems.push_back({Severity::note,
                        "line-not-read",
                        {file, line.line, 1, ""},
                        fmt::format("\"{}\" mentions cavity {}, which no row describes",
                                    line.text.substr(0, kLongestQuote), fmt::join(unknown, ", ")),
                        "Add a row for it if it matters."});
  }
}

}  // namespace loomgraft::gather
