#include "contention/corner_states.h"

#include <algorithm>
#include <array>
#include <memory>
#include <string>
#include <utility>

#include "base/bug.h"
#include "standards/data_cell.h"
#include "standards/data_table.h"
#include "standards/pin_state_rows.h"
#include "text/word_phrases.h"

namespace loomgraft {
namespace {

constexpr std::size_t corner_classes = pin_class_names.size();

using BothSides = std::array<CornerModel, 2>;
using AllModels = std::array<BothSides, corner_classes>;

void apply_row(AllModels& all, const DataTable& table, std::size_t row, SystemVolts system) {
  const auto side = static_cast<std::size_t>(pin_side_of_row(table, row));
  auto& states = all[static_cast<std::size_t>(pin_class_of_row(table, row))][side].states;
  const std::string& corner = table.at(row, table.column("corner"));
  PinState state = pin_state_row(table, row, system);
  if (corner != "widen") {
    states.push_back({std::move(state), corner == "inrush"});
    return;
  }
  const auto known =
      std::ranges::find_if(states, [&](const CornerState& s) { return s.state.name == state.name; });
  if (known == states.end()) bug("contention_corners.csv: no state " + state.name);
  known->state = std::move(state);
}

std::unique_ptr<const AllModels> load_models(SystemVolts system) {
  auto all = std::make_unique<AllModels>();
  for (std::size_t k = 0; k < corner_classes; ++k) {
    for (const PinSide side : {PinSide::loom, PinSide::module}) {
      const PinModel& model = pin_model(static_cast<PinClass>(k), side, system);
      CornerModel& corners = (*all)[k][static_cast<std::size_t>(side)];
      corners.ratings = model.ratings;
      for (const PinState& state : model.states) corners.states.push_back({state, false});
    }
  }
  const DataTable table("contention_corners.csv");
  for (std::size_t row = 0; row < table.rows(); ++row) apply_row(*all, table, row, system);
  return all;
}

struct Load {
  std::string name;
  std::string like;  // the beginning of the name of a state that has its inductance
  std::array<Ohms, 2> lowest, highest;
  bool inrush = false;
};

struct Loads {
  std::vector<Load> list;
  WordPhrases phrases;
};

const Loads& loads() {
  static const Loads all = [] {
    Loads result;
    const DataTable table("load_corners.csv");
    for (std::size_t row = 0; row < table.rows(); ++row) {
      const auto cell = [&](std::string_view name) -> const std::string& {
        return table.at(row, table.column(name));
      };
      Load load{cell("load"), cell("like"), {}, {}, !cell("inrush").empty()};
      for (const SystemVolts system : {SystemVolts::nominal_12, SystemVolts::nominal_24}) {
        const auto at = static_cast<std::size_t>(system);
        load.lowest[at] = Ohms{figure_cell(cell("ohm_low"), system).value()};
        load.highest[at] = Ohms{figure_cell(cell("ohm_high"), system).value()};
      }
      result.list.push_back(std::move(load));
      result.phrases.add(cell("words"), row);
    }
    return result;
  }();
  return all;
}

}  // namespace

const CornerModel& corner_model(PinClass pin_class, PinSide side, SystemVolts system) {
  static const std::array<std::unique_ptr<const AllModels>, 2> both{load_models(SystemVolts::nominal_12),
                                                                    load_models(SystemVolts::nominal_24)};
  return (*both[static_cast<std::size_t>(system)])[static_cast<std::size_t>(pin_class)]
                                                  [static_cast<std::size_t>(side)];
}

int load_count() {
  return static_cast<int>(loads().list.size());
}

// The first in the file's order: of a "fan relay" the module's wire ends at the relay.
int named_load(std::string_view text) {
  const std::vector<std::size_t> found = loads().phrases.find(text);
  return found.empty() ? -1 : static_cast<int>(*std::ranges::min_element(found));
}

CornerModel load_model(PinClass pin_class, int load, SystemVolts system) {
  const CornerModel& all = corner_model(pin_class, PinSide::loom, system);
  const Load& named = loads().list[static_cast<std::size_t>(load)];
  const auto at = static_cast<std::size_t>(system);
  CornerModel result{all.ratings, {}};
  for (const CornerState& corner : all.states) {
    if (corner.inrush) continue;
    const bool like = !named.like.empty() && corner.state.name.starts_with(named.like);
    const auto same = std::ranges::find_if(result.states, [&](const CornerState& s) {
      return s.state.key == corner.state.key && s.state.volts == corner.state.volts;
    });
    if (same != result.states.end()) {
      if (like) same->state.inductance = corner.state.inductance;
      continue;
    }
    CornerState state{corner.state, named.inrush};
    const std::size_t to = corner.state.name.find(" to ");
    state.state.name = named.name + (to == std::string::npos ? "" : corner.state.name.substr(to));
    state.state.lowest = named.lowest[at];
    state.state.highest = named.highest[at];
    if (!like) state.state.inductance = {};
    result.states.push_back(std::move(state));
  }
  return result;
}

}  // namespace loomgraft
