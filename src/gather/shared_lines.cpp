#include "gather/shared_lines.h"

#include <algorithm>
#include <array>
#include <span>
#include <string>

#include "base/ascii.h"
#include "standards/dictionary.h"
#include "text/signal_words.h"

namespace loomgraft::gather {
namespace {

constexpr std::size_t longest_line = 400;
constexpr std::size_t longest_module_name = 60;

constexpr std::array<std::string_view, 4> heads{"shared", "gemeinsame", "gemeinsam", "geteilt"};
constexpr std::array<std::string_view, 3> before_module{" with ", " by ", " mit "};
constexpr std::array<std::string_view, 14> verbs{
    "are also read by", "is also read by", "are also used by", "is also used by", "are shared with",
    "is shared with",   "also read by",    "also used by",     "also go to",      "also goes to",
    "gehen auch an",    "werden auch von", "geht auch an",     "auch gelesen von"};
// Without a head, only these make a module of what follows.
constexpr std::array<std::string_view, 12> controllers{"controller", "module",  "ecu",          "tcm",
                                                       "tcu",        "gearbox", "steuergerät",  "cluster",
                                                       "computer",   "abs",     "control unit", "body unit"};
constexpr std::array<std::string_view, 4> joints{" and ", " und ", " & ", " + "};
constexpr std::array<std::string_view, 4> articles{"the ", "dem ", "der ", "vom "};

struct Found {
  std::size_t at = std::string_view::npos;
  std::size_t end = std::string_view::npos;
  bool any() const { return at != std::string_view::npos; }
};

bool same_letter(char a, char b) {
  return lower(a) == lower(b);
}

// The first of the phrases, whatever its case.
Found find_any(std::string_view text, std::span<const std::string_view> phrases) {
  for (const std::string_view phrase : phrases) {
    const auto at = std::search(text.begin(), text.end(), phrase.begin(), phrase.end(), same_letter);
    if (at == text.end()) continue;
    const auto begin = static_cast<std::size_t>(at - text.begin());
    return {begin, begin + phrase.size()};
  }
  return {};
}

std::string_view without_marks(std::string_view text) {
  return trimmed(text, "\"*;,.-#>|:");
}

std::string_view without_article(std::string_view text) {
  const Found article = find_any(text, articles);
  return article.at == 0 ? without_marks(text.substr(article.end)) : text;
}

std::vector<std::string_view> items_of(std::string_view list) {
  std::vector<std::string_view> items;
  while (!list.empty()) {
    const Found joint = find_any(list, joints);
    const std::size_t mark = list.find_first_of(",;");
    const std::size_t end = std::min({joint.at, mark, list.size()});
    const std::string_view item = without_article(without_marks(list.substr(0, end)));
    if (!item.empty()) items.push_back(item);
    if (end == list.size()) break;
    list.remove_prefix(end == mark ? mark + 1 : joint.end);
  }
  return items;
}

// The name ends with the sentence or at a second clause.
std::string module_of(std::string_view text) {
  text = text.substr(0, std::min(text.find_first_of(".;,("), text.size()));
  return std::string(without_article(without_marks(text)).substr(0, longest_module_name));
}

bool is_headed(std::string_view line) {
  return find_any(line, heads).at == 0 && line.find(':') != std::string_view::npos;
}

struct Statement {
  std::string_view list;
  std::string module;
  bool headed = false;
};

Statement read_statement(std::string_view line) {
  Statement statement;
  statement.headed = is_headed(line);
  if (statement.headed) {
    const std::size_t colon = line.find(':');
    const std::string_view title = line.substr(0, colon);
    const Found with = find_any(title, before_module);
    if (with.any()) statement.module = module_of(title.substr(with.end));
    line.remove_prefix(colon + 1);
  }
  const Found verb = find_any(line, verbs);
  if (verb.any() && statement.module.empty()) {
    statement.module = module_of(line.substr(verb.end));
    line = line.substr(0, verb.at);
  } else if (!statement.headed) {
    return {};
  }
  const bool controller = find_any(statement.module, controllers).any();
  if (statement.headed || controller) statement.list = line;
  return statement;
}

const TablePin* pin_named(std::string_view item, const std::vector<TablePin>& pins) {
  const auto first = [&](auto&& fits) {
    const auto at = std::find_if(pins.begin(), pins.end(), fits);
    return at == pins.end() ? nullptr : &*at;
  };
  const auto by_cavity = [&](const TablePin& pin) {
    return !pin.connector.empty() && contains_word(item, pin.connector + "-" + pin.cavity);
  };
  if (const TablePin* pin = first(by_cavity)) return pin;
  const std::string_view name = without_marks(item.substr(0, item.find('(')));
  const std::string wanted = lower_case(name);
  if (const TablePin* pin = first([&](const TablePin& p) { return lower_case(p.signal) == wanted; }))
    return pin;
  const SignalName signal = term_dictionary().normalise(name);
  if (signal.term.empty()) return nullptr;
  return first([&](const TablePin& p) { return p.term == signal.term; });
}

}  // namespace

std::string shared_line_of(const std::vector<Cell>& row) {
  const auto first =
      std::find_if(row.begin(), row.end(), [](const Cell& cell) { return !cell.text.empty(); });
  if (first == row.end() || !is_headed(without_marks(first->text))) return {};
  std::string line;
  for (auto cell = first; cell != row.end(); ++cell) line += (line.empty() ? "" : ", ") + cell->text;
  return line;
}

std::vector<TableShared> read_shared_line(std::string_view line, const std::vector<TablePin>& pins) {
  std::vector<TableShared> circuits;
  line = without_marks(line);
  if (line.size() > longest_line) return circuits;
  const Statement statement = read_statement(line);
  for (const std::string_view item : items_of(statement.list)) {
    const TablePin* pin = pin_named(item, pins);
    if (pin == nullptr && !statement.headed) continue;
    TableShared circuit;
    circuit.module = statement.module;
    circuit.signal =
        pin == nullptr ? std::string(without_marks(item.substr(0, item.find('(')))) : pin->signal;
    if (pin != nullptr) {
      circuit.connector = pin->connector;
      circuit.cavity = pin->cavity;
    }
    circuits.push_back(std::move(circuit));
  }
  return circuits;
}

}  // namespace loomgraft::gather
