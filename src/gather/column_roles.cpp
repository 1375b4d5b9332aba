// Roles are decided in rounds: by the words of the heads, then corrected by what the cells look like, and
// what is still open is shared out last (signal first, then remarks). Only then it is decided whether this is
// a pin table at all.
#include "gather/column_roles.h"

#include <algorithm>
#include <array>
#include <map>
#include <set>
#include <tuple>
#include <unordered_map>

#include "base/ascii.h"
#include "gather/heading_words.h"
#include "standards/data_table.h"
#include "standards/dictionary.h"
#include "text/cavity.h"
#include "text/colour.h"
#include "text/signal_words.h"

namespace loomgraft::gather {
namespace {

constexpr std::size_t kRowsLookedAt = 300;
constexpr double kNearlyAll = 0.8;

const std::map<std::string_view, ColumnRole>& role_names() {
  static const std::map<std::string_view, ColumnRole> names{{"cavity", ColumnRole::cavity},
                                                            {"connector", ColumnRole::connector},
                                                            {"signal", ColumnRole::signal},
                                                            {"description", ColumnRole::description},
                                                            {"colour", ColumnRole::colour},
                                                            {"note", ColumnRole::note},
                                                            {"class", ColumnRole::pin_class},
                                                            {"direction", ColumnRole::direction},
                                                            {"far_end", ColumnRole::far_end},
                                                            {"label", ColumnRole::label},
                                                            {"activation", ColumnRole::activation},
                                                            {"ignore", ColumnRole::ignore},
                                                            {"part", ColumnRole::part},
                                                            {"other", ColumnRole::other}};
  return names;
}

ColumnRole role_named(std::string_view name) {
  const auto found = role_names().find(name);
  return found == role_names().end() ? ColumnRole::unknown : found->second;
}

const std::unordered_map<std::string, ColumnRole>& heads() {
  static const std::unordered_map<std::string, ColumnRole> all = [] {
    std::unordered_map<std::string, ColumnRole> result;
    const DataTable table("column_heads.csv");
    const std::size_t head = table.column("head");
    const std::size_t role = table.column("role");
    for (std::size_t row = 0; row < table.rows(); ++row) {
      result.emplace(table.at(row, head), role_named(table.at(row, role)));
    }
    return result;
  }();
  return all;
}

// The words of a head in lower case, joined by blanks; numbers stay.
std::vector<std::string> head_words(std::string_view head) {
  std::vector<std::string> words;
  for (const NameWord& word : split_name(head, [](std::string_view) { return false; }).words) {
    if (word.text != "+" && word.text != "-") words.emplace_back(word.text);
  }
  return words;
}

std::string joined(const std::vector<std::string>& words, std::size_t from, std::size_t to) {
  std::string result;
  for (std::size_t i = from; i < to; ++i) {
    if (!result.empty()) result += ' ';
    result += words[i];
  }
  return result;
}

ColumnRole lookup(const std::string& head) {
  const auto found = heads().find(head);
  return found == heads().end() ? ColumnRole::unknown : found->second;
}

// What the cells of one column look like.
struct Content {
  std::size_t filled = 0;
  std::size_t cavities = 0;
  std::size_t letters = 0;  // cells that are one or two letters alone: "A", "AB"
  std::size_t distinct = 0;
  std::size_t colours = 0;
  std::size_t worded = 0;  // cells with a letter
  std::string_view first;

  bool mostly_cavities(double share) const {
    return filled > 0 && static_cast<double>(cavities) >= share * static_cast<double>(filled);
  }
  // Lettered cavities: nearly all cells letters alone, each once or nearly so.
  bool lettered() const {
    return letters >= 2 && 10 * (letters + cavities) >= 9 * filled && 10 * distinct >= 9 * filled;
  }
};

std::string_view text_at(const std::vector<Cell>& row, std::size_t column) {
  return cell_at(row, column).text;
}

bool has_letter(std::string_view text) {
  return std::any_of(text.begin(), text.end(),
                     [](char c) { return is_letter(c) || (static_cast<unsigned char>(c) & 0x80U) != 0; });
}

Content content_of(const Table& table, std::size_t column) {
  Content content;
  std::set<std::string_view> distinct;
  for (std::size_t row = 0; row < std::min(table.rows.size(), kRowsLookedAt); ++row) {
    const std::string_view text = text_at(table.rows[row], column);
    if (text.find_first_not_of(" -.?") == std::string_view::npos) continue;
    if (text.size() <= 4 && term_dictionary().normalise(text).absent) continue;  // "n/a"
    if (content.filled == 0) content.first = text;
    ++content.filled;
    if (looks_like_cavities(text)) ++content.cavities;
    if (is_lettered_cavity(text)) ++content.letters;
    if (has_letter(text)) ++content.worded;
    distinct.insert(text);
  }
  content.distinct = distinct.size();
  return content;
}

// "A, B, C ...": letters in the order of the alphabet from A on, I, O and Q left out or not. Colour letters
// and abbreviations do not run so.
bool runs_through_alphabet(const Table& table, std::size_t column) {
  // Capitals come before small letters, one letter before two.
  const auto order = [](std::string_view text) { return std::make_tuple(text[0] >= 'a', text.size(), text); };
  std::string_view before;
  std::size_t count = 0;
  for (const std::vector<Cell>& row : table.rows) {
    const std::string_view text = trimmed(text_at(row, column));
    if (text.empty()) continue;
    if (!is_lettered_cavity(text)) return false;
    if (count == 0 ? upper(text) > "C" : !(order(before) < order(text))) return false;
    before = text;
    ++count;
  }
  return count >= 3;
}

bool reads_as_colours(const Table& table, std::size_t column) {
  std::vector<std::string_view> raw;
  for (std::size_t row = 0; row < std::min(table.rows.size(), kRowsLookedAt); ++row) {
    const std::string_view text = text_at(table.rows[row], column);
    if (text.find_first_not_of(" -.?") != std::string_view::npos && text.size() <= 24) raw.push_back(text);
  }
  if (raw.size() < 3) return false;
  const ColourReading reading = read_colours(raw, colour_notations());
  const auto known = std::count_if(reading.colours.begin(), reading.colours.end(),
                                   [](const Colour& colour) { return colour.known(); });
  return static_cast<double>(known) >= kNearlyAll * static_cast<double>(raw.size());
}

std::size_t width_of(const Table& table) {
  std::size_t width = table.header.size();
  for (std::size_t row = 0; row < std::min(table.rows.size(), kRowsLookedAt); ++row) {
    width = std::max(width, table.rows[row].size());
  }
  return width;
}

std::string_view head_at(const Table& table, std::size_t column) {
  return text_at(table.header, column);
}

void apply_choice(const Table& table, const ColumnChoice& choice, ColumnPlan& plan) {
  for (const auto& [head, role] : choice) {
    for (std::size_t column = 0; column < plan.roles.size(); ++column) {
      if (name_of_column(table, column) == head) plan.roles[column] = role_named(role);
    }
  }
}

bool was_chosen(const Table& table, const ColumnChoice& choice, std::size_t column) {
  return std::any_of(choice.begin(), choice.end(),
                     [&](const auto& pair) { return pair.first == name_of_column(table, column); });
}

bool has_role(const ColumnPlan& plan, ColumnRole role) {
  return column_of(plan, role) != no_column;
}

bool is_cavity_column(const Table& table, const Content& content) {
  const bool records = table.form == TableForm::records && content.filled > 0;
  return records || content.mostly_cavities(0.3) || content.lettered();
}

// "Pin | Name | Position": the first head is the cavity, a later single-word twin is a remark; but a twin that names
// far more cavities counts before a first one with hardly any.
std::size_t main_cavity_column(const std::vector<Content>& contents,
                               const std::vector<std::size_t>& columns) {
  std::size_t best = columns.front();
  for (const std::size_t column : columns)
    if (contents[column].filled >= 2 * contents[best].filled) best = column;
  return best;
}

// A head says "cavity" rightly only where the cells agree; names such as "auxMain" count only under such a
// head.
void decide_cavity_columns(const Table& table, const std::vector<Content>& contents,
                           const ColumnChoice& choice, ColumnPlan& plan) {
  std::vector<std::size_t> columns;
  for (std::size_t column = 0; column < plan.roles.size(); ++column) {
    if (plan.roles[column] != ColumnRole::cavity) continue;
    if (is_cavity_column(table, contents[column]) || was_chosen(table, choice, column))
      columns.push_back(column);
    else
      plan.roles[column] = contents[column].filled == 0 ? ColumnRole::ignore : ColumnRole::note;
  }
  if (columns.empty()) return;
  const std::size_t first = main_cavity_column(contents, columns);
  for (const std::size_t column : columns) {
    const std::vector<std::string> words = head_words(head_at(table, column));
    const bool twin = column != first && heads().contains(joined(words, 0, words.size()));
    if (twin && !was_chosen(table, choice, column)) plan.roles[column] = ColumnRole::note;
  }
}

// A head that names a connector or its part number stands over cavities.
void find_cavities_by_content(const Table& table, const std::vector<Content>& contents, ColumnPlan& plan) {
  for (std::size_t column = 0; column < plan.roles.size(); ++column) {
    if (plan.roles[column] != ColumnRole::unknown) continue;
    const Content& content = contents[column];
    const bool lettered = column == 0 && content.lettered() && runs_through_alphabet(table, column);
    if (lettered || (content.mostly_cavities(kNearlyAll) && 2 * content.distinct > content.filled)) {
      plan.roles[column] = ColumnRole::cavity;
      if (table.header.empty()) break;  // without heads only the first such column
    }
  }
}

void find_colours_by_content(const Table& table, ColumnPlan& plan) {
  if (has_role(plan, ColumnRole::colour)) return;
  for (std::size_t column = 0; column < plan.roles.size(); ++column) {
    if (plan.roles[column] == ColumnRole::unknown && reads_as_colours(table, column)) {
      plan.roles[column] = ColumnRole::colour;
      return;
    }
  }
}

// Only one column is the signal, the first; the others describe it.
void decide_signal_column(ColumnPlan& plan) {
  bool signal = false;
  for (ColumnRole& role : plan.roles) {
    if (role != ColumnRole::signal) continue;
    if (signal) role = ColumnRole::description;
    signal = true;
  }
  if (signal) return;
  for (ColumnRole& role : plan.roles) {
    if (role == ColumnRole::description) {
      role = ColumnRole::signal;
      return;
    }
  }
}

bool is_vehicles_own(std::string_view head) {
  constexpr std::array<std::string_view, 12> words{"vehicle",  "car",      "oem",      "factory",
                                                   "loom",     "original", "harness",  "truck",
                                                   "fahrzeug", "stock",    "vehicule", "oe"};
  const std::vector<std::string> own = head_words(head);
  return std::any_of(own.begin(), own.end(), [&](const std::string& word) {
    return std::find(words.begin(), words.end(), word) != words.end();
  });
}

// Of two columns of colours the vehicle's own is taken, else the first; the others are remarks.
void decide_colour_column(const Table& table, ColumnPlan& plan) {
  std::vector<std::size_t> columns;
  for (std::size_t i = 0; i < plan.roles.size(); ++i)
    if (plan.roles[i] == ColumnRole::colour) columns.push_back(i);
  if (columns.size() < 2) return;
  const auto own = std::find_if(columns.begin(), columns.end(),
                                [&](std::size_t i) { return is_vehicles_own(head_at(table, i)); });
  plan.colour_chosen = own == columns.end() ? columns.front() : *own;
  for (const std::size_t i : columns)
    if (i != *plan.colour_chosen) plan.roles[i] = ColumnRole::note;
}

std::vector<std::size_t> unknown_columns(const ColumnPlan& plan, const std::vector<Content>& contents,
                                         bool filled) {
  std::vector<std::size_t> columns;
  for (std::size_t i = 0; i < plan.roles.size(); ++i) {
    if (plan.roles[i] == ColumnRole::unknown && (contents[i].filled > 0 || !filled)) columns.push_back(i);
  }
  return columns;
}

bool share_first_word(const Table& table, const std::vector<std::size_t>& columns) {
  std::set<std::string> stems;
  for (const std::size_t column : columns) {
    const std::vector<std::string> words = head_words(head_at(table, column));
    // "C1" and "C4" are connectors, "Unit 2" and "Unit 4" are products.
    if (words.size() < 2 || words[0].size() < 3) return false;
    stems.insert(words[0]);
  }
  return columns.size() >= 2 && stems.size() == 1;
}

// Columns without a role: products side by side where nothing else is the signal, else the signal and
// remarks.
void decide_remaining_columns(const Table& table, const std::vector<Content>& contents, ColumnPlan& plan) {
  const bool signal = has_role(plan, ColumnRole::signal);
  const std::vector<std::size_t> all = unknown_columns(plan, contents, false);
  const bool headed =
      std::all_of(all.begin(), all.end(), [&](std::size_t c) { return has_letter(head_at(table, c)); });
  if (!signal && all.size() >= 2 && headed && !table.header.empty() &&
      (share_first_word(table, all) || !has_role(plan, ColumnRole::note))) {
    for (const std::size_t column : all) plan.roles[column] = ColumnRole::module;
    return;
  }
  bool found = signal;
  // Without heads, "E1 | PO1 | Main relay": the second text may be the wording of a short name.
  bool described = signal || !table.header.empty();
  for (const std::size_t column : unknown_columns(plan, contents, true)) {
    const ColumnRole further = described ? ColumnRole::note : ColumnRole::description;
    described = described || found;
    plan.roles[column] = found ? further : ColumnRole::signal;
    found = true;
  }
}

bool names_pins(std::string_view text) {
  const std::vector<std::string> words = head_words(text);
  return std::any_of(words.begin(), words.end(), is_pin_table_word);
}

bool begins_with_step_word(std::string_view text) {
  const std::string_view bare = trimmed(text, "*_`-");
  return is_step_word(bare.substr(0, std::min(bare.find_first_of(" ,:.;"), bare.size())));
}

// "1. Connect ...", "2. Pull ...": numbers from 1 without a gap before whole sentences or instructions.
bool is_list_of_steps(const Table& table, std::size_t column) {
  if (!table.header.empty() || table.rows.empty()) return false;
  std::size_t length = 0;
  std::size_t instructions = 0;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    if (text_at(table.rows[row], column) != std::to_string(row + 1)) return false;
    for (std::size_t other = 0; other < table.rows[row].size(); ++other) {
      if (other != column) length += table.rows[row][other].text.size();
    }
    const std::size_t next = column + 1 < table.rows[row].size() ? column + 1 : column;
    instructions += begins_with_step_word(table.rows[row][next].text) ? 1U : 0U;
  }
  return length > 30 * table.rows.size() || 2 * instructions > table.rows.size();
}

// "JP1: 1-2 closed is 12 V": jumpers, lamps and switches of a board.
bool names_board_parts(const Table& table, std::size_t column) {
  constexpr std::array<std::string_view, 8> parts{"jp", "sj", "led", "dip", "jmp", "sb", "tp", "btn"};
  std::size_t filled = 0;
  std::size_t named = 0;
  for (std::size_t row = 0; row < std::min(table.rows.size(), kRowsLookedAt); ++row) {
    const std::string letters = lower_case(split_cavity(text_at(table.rows[row], column)).row);
    if (text_at(table.rows[row], column).empty()) continue;
    ++filled;
    named += std::find(parts.begin(), parts.end(), letters) != parts.end() ? 1U : 0U;
  }
  return filled > 0 && 2 * named >= filled;
}

void judge_table(const Table& table, const std::vector<Content>& contents, bool cavity_head,
                 ColumnPlan& plan) {
  const auto refuse = [&](std::string reason) { plan.reason = std::move(reason); };
  if (plan.cavities.empty()) return refuse("no column of it holds cavities");
  if (!cavity_head && has_role(plan, ColumnRole::other))
    return refuse("its heads are not those of a pin table");
  const bool says = has_role(plan, ColumnRole::signal) || has_role(plan, ColumnRole::colour) ||
                    !plan.modules.empty() || has_role(plan, ColumnRole::label) ||
                    has_role(plan, ColumnRole::note) || has_role(plan, ColumnRole::far_end) ||
                    has_role(plan, ColumnRole::pin_class);
  if (!says || (cavity_head && has_role(plan, ColumnRole::part) && !has_role(plan, ColumnRole::signal))) {
    return refuse("it says nothing about its cavities");
  }
  const Content& cavity = contents[plan.cavities.front()];
  if (!cavity_head && cavity.distinct < 2) return refuse("too few cavities");
  if (names_board_parts(table, plan.cavities.front())) return refuse("it lists jumpers or parts of a board");
  if (!cavity_head && is_list_of_steps(table, plan.cavities.front()) && !names_pins(table.name)) {
    return refuse("it looks like a list of steps");
  }
  plan.is_pin_table = true;
  const bool known_head = cavity_head || has_role(plan, ColumnRole::colour) ||
                          table.form == TableForm::prose ||
                          (has_role(plan, ColumnRole::signal) && !table.header.empty());
  if (!known_head && !names_pins(table.name)) {
    plan.doubtful = true;
    plan.reason = "its heads do not say that it is a pin table";
  }
}

}  // namespace

const Cell& cell_at(const std::vector<Cell>& row, std::size_t column) {
  static const Cell none;
  return column < row.size() ? row[column] : none;
}

bool is_part_number(std::string_view text) {
  std::size_t digits = 0;
  std::size_t others = 0;
  for (const char c : text) {
    if (is_digit(c)) {
      ++digits;
    } else if (c != '-' && c != ' ' && c != '.') {
      ++others;
    }
  }
  return digits >= 5 && others * 3 <= digits;
}

ColumnRole role_of_head(std::string_view head) {
  if (head.find('#') != std::string_view::npos && head.size() <= 2) return ColumnRole::cavity;
  const std::vector<std::string> words = head_words(head);
  if (words.empty() || words.size() > 6) return ColumnRole::unknown;
  if (const ColumnRole whole = lookup(joined(words, 0, words.size())); whole != ColumnRole::unknown)
    return whole;
  if (is_part_number(head)) return ColumnRole::unknown;
  ColumnRole best = ColumnRole::unknown;
  for (std::size_t length = std::min<std::size_t>(words.size() - 1, 2);
       length > 0 && best == ColumnRole::unknown; --length) {
    for (std::size_t i = 0; i + length <= words.size(); ++i) {
      const ColumnRole role = lookup(joined(words, i, i + length));
      if (role == ColumnRole::unknown || role == ColumnRole::ignore || (length == 1 && words[i].size() < 3))
        continue;
      if (best == ColumnRole::unknown || role == ColumnRole::colour) best = role;
    }
  }
  return best;
}

std::size_t column_of(const ColumnPlan& plan, ColumnRole role) {
  const auto found = std::find(plan.roles.begin(), plan.roles.end(), role);
  return found == plan.roles.end() ? no_column : static_cast<std::size_t>(found - plan.roles.begin());
}

std::string_view name_of(ColumnRole role) {
  if (role == ColumnRole::module) return "module";
  const auto& names = role_names();
  const auto found =
      std::find_if(names.begin(), names.end(), [&](const auto& entry) { return entry.second == role; });
  return found == names.end() ? std::string_view("unknown") : found->first;
}

std::string name_of_column(const Table& table, std::size_t column) {
  const std::string_view head = head_at(table, column);
  return head.empty() ? "column " + std::to_string(column + 1) : std::string(head);
}

ColumnPlan plan_columns(const Table& table, const ColumnChoice& choice) {
  ColumnPlan plan;
  const std::size_t width = width_of(table);
  std::vector<Content> contents;
  for (std::size_t column = 0; column < width; ++column) {
    plan.roles.push_back(column < table.header.size() ? role_of_head(head_at(table, column))
                                                      : ColumnRole::unknown);
    contents.push_back(content_of(table, column));
  }
  apply_choice(table, choice, plan);
  decide_cavity_columns(table, contents, choice, plan);
  const bool cavity_head = has_role(plan, ColumnRole::cavity);
  if (!cavity_head) find_cavities_by_content(table, contents, plan);
  for (std::size_t column = 0; column < width; ++column) {
    if (plan.roles[column] == ColumnRole::cavity) plan.cavities.push_back(column);
  }
  if (!plan.cavities.empty()) find_colours_by_content(table, plan);
  decide_colour_column(table, plan);
  decide_signal_column(plan);
  plan.cavity_per_product = has_role(plan, ColumnRole::signal) && share_first_word(table, plan.cavities);
  decide_remaining_columns(table, contents, plan);
  for (std::size_t column = 0; column < width; ++column) {
    if (plan.roles[column] == ColumnRole::module) plan.modules.push_back(column);
  }
  judge_table(table, contents, cavity_head, plan);
  return plan;
}

}  // namespace loomgraft::gather
