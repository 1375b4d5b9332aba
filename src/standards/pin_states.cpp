#include "standards/pin_states.h"

#include <memory>
#include <utility>

#include "base/bug.h"
#include "standards/data_cell.h"
#include "standards/data_table.h"
#include "standards/network_figures.h"
#include "standards/pin_state_rows.h"
#include "standards/supply.h"

namespace loomgraft {
namespace {

constexpr std::size_t class_count = pin_class_names.size();

[[noreturn]] void malformed(std::string_view what, std::string_view text) {
  bug("pin data: " + std::string(what) + " '" + std::string(text) + "'");
}

template <class Kind>
std::optional<Kind> quantity(std::string_view text, SystemVolts system) {
  const auto value = figure_cell(text, system);
  return value ? std::optional<Kind>{Kind{*value}} : std::nullopt;
}

constexpr std::array<std::pair<std::string_view, PinKind>, 12> kind_names{
    {{"none", PinKind::none},
     {"input", PinKind::input},
     {"output", PinKind::output},
     {"feed", PinKind::feed},
     {"feed_in", PinKind::feed_in},
     {"feed_out", PinKind::feed_out},
     {"earth", PinKind::earth},
     {"load", PinKind::load},
     {"sensor", PinKind::sensor},
     {"switch", PinKind::switch_contact},
     {"bus", PinKind::bus},
     {"screen", PinKind::screen}}};

PinKind kind_named(std::string_view text) {
  for (const auto& [name, kind] : kind_names) {
    if (name == text) return kind;
  }
  malformed("unknown kind", text);
}

// Rules of one system, in the file's order.
using Rules = std::vector<std::pair<std::string, double>>;

Rules read_rules(SystemVolts system) {
  const DataTable table("contention_rules.csv");
  const std::size_t rule = table.column("rule");
  const std::size_t value = table.column("value");
  Rules rules;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    rules.emplace_back(table.at(row, rule), figure_cell(table.at(row, value), system).value());
  }
  return rules;
}

double rule_in(const Rules& rules, std::string_view name) {
  for (const auto& [rule, value] : rules) {
    if (rule == name) return value;
  }
  malformed("no such rule", name);
}

struct SystemModels {
  Rules rules;
  std::array<std::array<PinModel, 2>, class_count> models;  // by class, by side
};

PinModel& model_of_row(SystemModels& all, const DataTable& table, std::size_t row) {
  return all.models[static_cast<std::size_t>(pin_class_of_row(table, row))]
                   [static_cast<std::size_t>(pin_side_of_row(table, row))];
}

void read_states(SystemModels& all, SystemVolts system) {
  const DataTable table("pin_classes.csv");
  for (std::size_t row = 0; row < table.rows(); ++row)
    model_of_row(all, table, row).states.push_back(pin_state_row(table, row, system));
}

void read_limits(SystemModels& all, SystemVolts system) {
  const DataTable table("pin_limits.csv");
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const auto cell = [&](std::string_view name) -> const std::string& {
      return table.at(row, table.column(name));
    };
    PinRatings& ratings = model_of_row(all, table, row).ratings;
    ratings.kind = kind_named(cell("kind"));
    ratings.text = cell("text");
    ratings.allowed = quantity<Amperes>(cell("allowed_a"), system);
    ratings.lowest = quantity<Volts>(cell("lowest_v"), system);
    ratings.highest = quantity<Volts>(cell("highest_v"), system);
    ratings.clamp_low = quantity<Volts>(cell("clamp_low_v"), system);
    ratings.clamp_high = quantity<Volts>(cell("clamp_high_v"), system);
    ratings.clamp_energy = quantity<Joules>(cell("clamp_j"), system);
    ratings.works_at = quantity<Amperes>(cell("works_a"), system);
    ratings.disturbed_by = quantity<Volts>(cell("disturb_v"), system);
    ratings.logic_low = quantity<Volts>(cell("logic_low_v"), system);
    ratings.logic_high = quantity<Volts>(cell("logic_high_v"), system);
    ratings.fuse = quantity<Amperes>(cell("fuse_a"), system);
    ratings.wire = square_millimetres(number_cell(cell("wire_mm2")));
    ratings.wire_current = {rule_in(all.rules, "wire_" + cell("wire_mm2") + "_current")};
  }
}

std::unique_ptr<const SystemModels> read_system(SystemVolts system) {
  auto all = std::make_unique<SystemModels>();
  all->rules = read_rules(system);
  read_states(*all, system);
  read_limits(*all, system);
  for (std::size_t k = 0; k < class_count; ++k) {
    for (const PinModel& model : all->models[k]) {
      if (model.states.empty() || model.ratings.text.empty())
        malformed("nothing for class", pin_class_names[k]);
    }
  }
  return all;
}

const SystemModels& models_of(SystemVolts system) {
  static const std::array<std::unique_ptr<const SystemModels>, 2> both{read_system(SystemVolts::nominal_12),
                                                                       read_system(SystemVolts::nominal_24)};
  return *both[static_cast<std::size_t>(system)];
}

}  // namespace

const PinModel& pin_model(PinClass pin_class, PinSide side, SystemVolts system) {
  return models_of(system).models[static_cast<std::size_t>(pin_class)][static_cast<std::size_t>(side)];
}

Volts supply_volts(SystemVolts system) {
  return {network_figure("running_v", system).high()};
}

double contention_rule(std::string_view name, SystemVolts system) {
  return rule_in(models_of(system).rules, name);
}

SystemVolts system_of(Volts nominal) {
  return nominal.si >= 18.0 ? SystemVolts::nominal_24 : SystemVolts::nominal_12;
}

}  // namespace loomgraft
