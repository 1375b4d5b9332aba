#include "standards/rule_sets.h"

#include <algorithm>
#include <nlohmann/json.hpp>

#include "standards/embedded.h"
#include "standards/pin_states.h"

namespace loomgraft {
namespace {

using nlohmann::json;

constexpr std::string_view folder = "rules/";
constexpr std::string_view parent = "passenger_vehicle";
constexpr std::string_view heavy = "commercial_24v";

RuleValue read_value(const json& from) {
  return {from.at("value").get<double>(), from.at("source").get<std::string>(),
          from.at("status").get<std::string>()};
}

Rule read_rule(const json& from) {
  Rule rule{from.at("name").get<std::string>(),
            from.at("text").get<std::string>(),
            from.at("unit").get<std::string>(),
            read_value(from.at("chosen")),
            {}};
  for (const json& other : from.value("others", json::array())) rule.others.push_back(read_value(other));
  return rule;
}

RuleSet read_set(std::string_view text) {
  const json from = json::parse(text);
  RuleSet set;
  set.name = from.at("name").get<std::string>();
  set.text = from.at("text").get<std::string>();
  for (const json& entry : from.at("rules")) {
    Rule rule = read_rule(entry);
    set.rules.insert_or_assign(rule.name, std::move(rule));
  }
  for (const json& area : from.at("stock_mm2").at("value"))
    set.stock.push_back(square_millimetres(area.get<double>()));
  return set;
}

// The parent first, then the others by name, each filled up with what only the parent states.
std::vector<RuleSet> load_rule_sets() {
  std::vector<RuleSet> sets;
  for (const EmbeddedFile& file : embedded_files()) {
    if (file.name.starts_with(folder)) sets.push_back(read_set(file.content));
  }
  std::ranges::sort(sets, {}, [](const RuleSet& set) { return std::pair{set.name != parent, set.name}; });
  for (RuleSet& set : sets) set.rules.insert(sets.front().rules.begin(), sets.front().rules.end());
  return sets;
}

}  // namespace

std::span<const RuleSet> rule_sets() {
  static const std::vector<RuleSet> sets = load_rule_sets();
  return sets;
}

const RuleSet* rule_set(std::string_view name) {
  const auto sets = rule_sets();
  const auto found = std::ranges::find(sets, name, &RuleSet::name);
  return found == sets.end() ? nullptr : &*found;
}

const RuleSet& default_rule_set(Volts supply) {
  return *rule_set(system_of(supply) == SystemVolts::nominal_24 ? heavy : parent);
}

}  // namespace loomgraft
