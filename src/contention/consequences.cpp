#include "contention/consequences.h"

#include <algorithm>
#include <array>
#include <map>
#include <utility>

#include "base/bug.h"
#include "standards/data_table.h"
#include "text/word_phrases.h"

namespace loomgraft {
namespace {

HarmSeverity severity_of(std::string_view name) {
  constexpr std::array<std::pair<std::string_view, HarmSeverity>, 5> names{
      {{"none", HarmSeverity::none},
       {"nuisance", HarmSeverity::nuisance},
       {"false_signal", HarmSeverity::false_signal},
       {"damage", HarmSeverity::damage},
       {"injury", HarmSeverity::injury}}};
  for (const auto& [text, severity] : names) {
    if (text == name) return severity;
  }
  bug("consequences.csv: unknown severity '" + std::string(name) + "'");
}

struct Consequences {
  std::vector<Consequence> rows;
  WordPhrases phrases;
  std::map<std::string, std::size_t, std::less<>> by_term;
};

void add_terms(Consequences& all, std::string_view terms, std::size_t row) {
  while (!terms.empty()) {
    const std::size_t end = std::min(terms.find(';'), terms.size());
    if (end > 0) all.by_term.emplace(terms.substr(0, end), row);
    terms.remove_prefix(std::min(end + 1, terms.size()));
  }
}

Consequences read_consequences() {
  Consequences all;
  const DataTable table("consequences.csv");
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const auto cell = [&](std::string_view name) -> const std::string& {
      return table.at(row, table.column(name));
    };
    all.rows.push_back({cell("circuit"), severity_of(cell("worked_unasked")), severity_of(cell("lost")),
                        cell("may"), cell("when_lost"), cell("why"), cell("source"), cell("status")});
    all.phrases.add(cell("words"), row);
    add_terms(all, cell("terms"), row);
  }
  return all;
}

const Consequences& consequences() {
  static const Consequences all = read_consequences();
  return all;
}

bool without_any(const Consequence& row) {
  return row.worked == HarmSeverity::none && row.lost == HarmSeverity::none;
}

void take(CircuitConsequences& worst, const Consequence& row) {
  if (row.worked > (worst.worked ? worst.worked->worked : HarmSeverity::none)) worst.worked = &row;
  if (row.lost > (worst.lost ? worst.lost->lost : HarmSeverity::none)) worst.lost = &row;
}

}  // namespace

CircuitConsequences consequences_of(const std::vector<std::string_view>& texts, std::string_view term) {
  const Consequences& all = consequences();
  CircuitConsequences worst;
  for (const std::string_view text : texts) {
    const std::vector<std::size_t> rows = all.phrases.find(text);
    if (std::ranges::any_of(rows, [&](std::size_t row) { return without_any(all.rows[row]); })) return {};
    for (const std::size_t row : rows) take(worst, all.rows[row]);
    if (!rows.empty()) return worst;
  }
  const auto found = all.by_term.find(term);
  if (found != all.by_term.end()) take(worst, all.rows[found->second]);
  return worst;
}

const std::vector<Consequence>& all_consequences() {
  return consequences().rows;
}

}  // namespace loomgraft
