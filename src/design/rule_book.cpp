#include "design/rule_book.h"

#include <algorithm>

#include "base/bug.h"
#include "base/decimal.h"
#include "units/print.h"

namespace loomgraft::design {
namespace {

const RuleOverride* override_of(const RuleBook& book, std::string_view name) {
  const auto found = std::find_if(book.overrides.begin(), book.overrides.end(),
                                  [&](const RuleOverride& item) { return item.rule == name; });
  return found == book.overrides.end() ? nullptr : &*found;
}

const Rule& rule_named(const RuleBook& book, std::string_view name) {
  const auto found = book.set->rules.find(std::string(name));
  if (found == book.set->rules.end()) bug("no rule " + std::string(name));
  return found->second;
}

std::string names_of_sets() {
  std::string names;
  for (const RuleSet& set : rule_sets()) names += (names.empty() ? "" : ", ") + set.name;
  return names;
}

// Sources differ: what the others say.
std::string what_others_say(const Rule& stated) {
  std::string text;
  for (const RuleValue& other : stated.others) {
    if (other.value != stated.value.value)
      text += (text.empty() ? "; others say " : ", ") + print_decimal(other.value) + " " +
              std::string(unit_sign(stated.unit));
  }
  return text;
}

}  // namespace

RuleBook rule_book(const Graft& graft) {
  RuleBook book;
  book.set = &default_rule_set(graft.vehicle.supply);
  if (!graft.rules.set.empty()) {
    if (const RuleSet* named = rule_set(graft.rules.set)) {
      book.set = named;
    } else {
      book.problems.push_back(
          {Severity::error,
           "no-such-rule-set",
           {"", 0, 0, "/rules/set"},
           "There is no rule set \"" + graft.rules.set + "\"; \"" + book.set->name + "\" is used.",
           "Name one of: " + names_of_sets() + "."});
    }
  }
  for (std::size_t i = 0; i < graft.rules.overrides.size(); ++i) {
    const RuleOverride& item = graft.rules.overrides[i];
    if (book.set->rules.contains(item.rule)) {
      book.overrides.push_back(item);
      continue;
    }
    book.problems.push_back({Severity::error,
                             "no-such-rule",
                             {"", 0, 0, "/rules/overrides/" + std::to_string(i)},
                             "The rule set has no rule \"" + item.rule + "\"; nothing is overridden.",
                             "Correct the name: data/rules/ lists them."});
  }
  return book;
}

double rule(const RuleBook& book, std::string_view name) {
  const RuleOverride* own = override_of(book, name);
  return own ? own->value : rule_named(book, name).value.value;
}

std::string rule_source(const RuleBook& book, std::string_view name) {
  const Rule& stated = rule_named(book, name);
  std::string text = book.set->name + ": " + stated.text;
  if (const RuleOverride* own = override_of(book, name)) return text + "; set by this job: " + own->reason;
  return text + " (" + stated.value.source + ")" + what_others_say(stated);
}

}  // namespace loomgraft::design
