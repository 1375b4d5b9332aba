#include "recipes/recipe.h"

#include <algorithm>

#include "base/bug.h"
#include "standards/data_cell.h"
#include "standards/data_table.h"
#include "standards/device_kinds.h"

namespace loomgraft {
namespace {

constexpr SystemVolts systems[] = {SystemVolts::nominal_12, SystemVolts::nominal_24};

std::vector<std::string> split(std::string_view text, char at) {
  std::vector<std::string> parts;
  std::string part;
  for (const char c : text) {
    if (c != at) {
      part += c;
    } else if (!part.empty()) {
      parts.push_back(std::move(part));
      part.clear();
    }
  }
  if (!part.empty()) parts.push_back(std::move(part));
  return parts;
}

// "relay:k@86-85"
RecipePart part_of(const std::string& token) {
  RecipePart part;
  const std::size_t colon = token.find(':');
  if (colon == std::string::npos) bug("recipes.csv: no role in " + token);
  const std::size_t at = token.find('@');
  part.kind = token.substr(0, colon);
  part.role = token.substr(colon + 1, at == std::string::npos ? at : at - colon - 1);
  if (!part.is_pin() && !part.is_feed() && !device_kind(part.kind)) bug("recipes.csv: no kind " + part.kind);
  if (at == std::string::npos) return part;
  const std::string terminals = token.substr(at + 1);
  const std::size_t dash =
      terminals.size() > 1 ? terminals.find('-') : std::string::npos;  // "-" alone is a terminal
  part.in = terminals.substr(0, dash);
  part.out = dash == std::string::npos ? part.in : terminals.substr(dash + 1);
  return part;
}

std::vector<std::vector<RecipePart>> branches_of(const std::string& text) {
  std::vector<std::vector<RecipePart>> branches(1);
  for (const std::string& token : split(text, ' ')) {
    if (token == "/") {
      branches.emplace_back();
    } else {
      branches.back().push_back(part_of(token));
    }
  }
  return branches;
}

// "low_side_driver:heater_control", "sensor_earth:return?"
std::vector<RecipePartner> partners_of(const std::string& text) {
  std::vector<RecipePartner> partners;
  for (const std::string& token : split(text, ' ')) {
    const auto parts = split(token, ':');
    const auto pin_class = pin_class_of(parts.front());
    if (parts.size() != 2 || !pin_class) bug("recipes.csv: no partner pin " + token);
    RecipePartner partner{*pin_class, parts[1], parts[1].back() == '?'};
    if (partner.optional) partner.role.pop_back();
    partners.push_back(std::move(partner));
  }
  return partners;
}

// "15:5:coil", "30:7.5|5:lamps", "5V:none:sensor"
std::vector<RecipeFeed> feeds_of(const std::string& text) {
  std::vector<RecipeFeed> feeds;
  for (const std::string& token : split(text, ' ')) {
    const auto parts = split(token, ':');
    if (parts.size() != 3) continue;  // "none"
    RecipeFeed feed;
    feed.terminal = parts[0];
    for (const SystemVolts system : systems) {
      if (parts[1] == "none") continue;
      if (const auto rating = figure_cell(parts[1], system))
        feed.fuse[static_cast<std::size_t>(system)] = Amperes{*rating};
    }
    if (parts[1] != "none") feeds.push_back(std::move(feed));
  }
  return feeds;
}

// "coil:0.5 load:2.5|1.5"
std::map<std::string, std::array<double, 2>> named_figures_of(const std::string& text) {
  std::map<std::string, std::array<double, 2>> figures;
  for (const std::string& token : split(text, ' ')) {
    const auto parts = split(token, ':');
    if (parts.size() != 2) bug("recipes.csv: no figure in " + token);
    for (const SystemVolts system : systems)
      figures[parts[0]][static_cast<std::size_t>(system)] = figure_cell(parts[1], system).value_or(0.0);
  }
  return figures;
}

std::array<Amperes, 2> typical_of(const std::string& text) {
  const auto parts = split(text, ' ');
  std::array<Amperes, 2> typical{};
  if (parts.size() != 3) return typical;
  for (const SystemVolts system : systems)
    typical[static_cast<std::size_t>(system)] = {figure_cell(parts[1], system).value_or(0.0)};
  return typical;
}

std::vector<Recipe> read_recipes() {
  const DataTable table("recipes.csv");
  const auto cell = [&](std::size_t row, const char* name) -> const std::string& {
    return table.at(row, table.column(name));
  };
  std::vector<Recipe> list;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    Recipe recipe;
    recipe.id = cell(row, "id");
    recipe.text = cell(row, "text");
    recipe.pin_class = pin_class_of(cell(row, "pin_class")).value_or(PinClass::unknown);
    if (!cell(row, "supply_v").empty()) recipe.supply = Volts{number_cell(cell(row, "supply_v"))};
    recipe.keywords = split(cell(row, "keywords"), ' ');
    recipe.order = static_cast<int>(number_cell(cell(row, "order")));
    recipe.partners = partners_of(cell(row, "partner_pins"));
    recipe.branches = branches_of(cell(row, "devices"));
    recipe.feeds = feeds_of(cell(row, "feed"));
    recipe.current = typical_of(cell(row, "current_a"));
    for (const auto& [role, ohms] : named_figures_of(cell(row, "ohms")))
      recipe.ohms[role] = {Ohms{ohms[0]}, Ohms{ohms[1]}};
    for (const auto& [role, mm2] : named_figures_of(cell(row, "area_mm2")))
      recipe.areas[role] = {square_millimetres(mm2[0]), square_millimetres(mm2[1])};
    recipe.twisted = !cell(row, "twist").empty();
    recipe.twist_shield = cell(row, "twist_shield");
    recipe.suppression = cell(row, "suppression");
    recipe.cautions = cell(row, "cautions");
    recipe.checks = cell(row, "checks");
    recipe.source = cell(row, "source");
    recipe.status = cell(row, "status");
    list.push_back(std::move(recipe));
  }
  return list;
}

}  // namespace

std::span<const Recipe> all_recipes() {
  static const std::vector<Recipe> list = read_recipes();
  return list;
}

const Recipe* find_recipe(std::string_view id) {
  const auto list = all_recipes();
  const auto found = std::ranges::find(list, id, &Recipe::id);
  return found == list.end() ? nullptr : &*found;
}

}  // namespace loomgraft
