#include "standards/device_kinds.h"

#include <algorithm>
#include <array>
#include <unordered_map>
#include <utility>

#include "base/bug.h"
#include "standards/data_cell.h"
#include "standards/data_table.h"
#include "standards/embedded.h"

namespace loomgraft {
namespace {

constexpr std::array<std::pair<std::string_view, DeviceBuild>, 19> build_names{
    {{"battery", DeviceBuild::battery},
     {"earth", DeviceBuild::earth},
     {"splice", DeviceBuild::splice},
     {"fuse", DeviceBuild::fuse},
     {"resistor", DeviceBuild::resistor},
     {"thermistor", DeviceBuild::thermistor},
     {"coil", DeviceBuild::coil},
     {"motor", DeviceBuild::motor},
     {"lamp", DeviceBuild::lamp},
     {"led", DeviceBuild::led},
     {"diode", DeviceBuild::diode},
     {"contacts", DeviceBuild::contacts},
     {"relay", DeviceBuild::relay},
     {"pair", DeviceBuild::pair},
     {"potentiometer", DeviceBuild::potentiometer},
     {"sensor", DeviceBuild::sensor},
     {"key_switch", DeviceBuild::key_switch},
     {"alternator", DeviceBuild::alternator},
     {"controller", DeviceBuild::controller}}};

DeviceBuild build_named(std::string_view name) {
  for (const auto& [known, build] : build_names) {
    if (known == name) return build;
  }
  bug("device_kinds.csv: unknown build " + std::string(name));
}

std::vector<std::string> words_of(std::string_view text) {
  std::vector<std::string> words;
  while (!text.empty()) {
    const std::size_t blank = std::min(text.find(' '), text.size());
    words.emplace_back(text.substr(0, blank));
    text.remove_prefix(std::min(blank + 1, text.size()));
  }
  return words;
}

std::vector<DeviceKind> load_kinds() {
  const DataTable table("device_kinds.csv");
  std::vector<DeviceKind> kinds;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const auto cell = [&](std::string_view name) -> const std::string& {
      return table.at(row, table.column(name));
    };
    kinds.push_back({cell("kind"),
                     cell("text"),
                     build_named(cell("build")),
                     words_of(cell("terminals")),
                     cell("symbol"),
                     cell("reference"),
                     {},
                     {}});
  }
  return kinds;
}

struct Catalogue {
  std::vector<DeviceKind> kinds;
  std::vector<DeviceModel> models;  // in the files' order
};

DeviceKind& kind_in(std::vector<DeviceKind>& kinds, const std::string& name) {
  const auto found = std::ranges::find(kinds, name, &DeviceKind::name);
  if (found == kinds.end()) bug("devices: no kind " + name);
  return *found;
}

// Rows of one model stand together, so the last one read is the one to go on with.
DeviceModel& model_in(std::vector<DeviceModel>& models, const std::string& name, const std::string& kind,
                      const std::string& text) {
  if (models.empty() || models.back().name != name) models.push_back({name, kind, text, {}});
  return models.back();
}

void read_devices(Catalogue& catalogue, std::string_view file) {
  const DataTable table(file);
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const auto cell = [&](std::string_view name) -> const std::string& {
      return table.at(row, table.column(name));
    };
    DeviceKind& kind = kind_in(catalogue.kinds, cell("kind"));
    Figure figure = figure_row(table, row, SystemVolts::nominal_12);
    const std::string& quantity = cell("quantity");
    if (cell("model") == "default") {
      kind.figures.emplace(quantity, std::move(figure));
      kind.figures_24.emplace(quantity, figure_row(table, row, SystemVolts::nominal_24));
    } else {
      model_in(catalogue.models, cell("model"), kind.name, cell("text"))
          .figures.emplace(quantity, std::move(figure));
    }
  }
}

// A loom asks for the same few names thousands of times.
template <class Item>
using ByName = std::unordered_map<std::string_view, const Item*>;

template <class Item>
ByName<Item> by_name(const std::vector<Item>& items) {
  ByName<Item> found;
  for (const Item& item : items) found.emplace(item.name, &item);
  return found;
}

template <class Item>
const Item* named(const ByName<Item>& items, std::string_view name) {
  const auto found = items.find(name);
  return found == items.end() ? nullptr : found->second;
}

const Catalogue& catalogue() {
  static const Catalogue all = [] {
    Catalogue read{load_kinds(), {}};
    for (const EmbeddedFile& file : embedded_files()) {
      if (file.name.starts_with("devices/")) read_devices(read, file.name);
    }
    return read;
  }();
  return all;
}

}  // namespace

bool is_shared(DeviceBuild build) {
  switch (build) {
    case DeviceBuild::battery:
    case DeviceBuild::earth:
    case DeviceBuild::splice:
    case DeviceBuild::fuse:
    case DeviceBuild::key_switch:
    case DeviceBuild::alternator:
      return true;
    default:
      return false;
  }
}

std::vector<std::string_view> required_figures(DeviceBuild build) {
  switch (build) {
    case DeviceBuild::fuse:
      return {"rating_a", "resistance_ohm", "contact_ohm"};
    case DeviceBuild::resistor:
      return {"resistance_ohm"};
    case DeviceBuild::thermistor:
      return {"ohm_at_20_c", "ohm_at_80_c"};
    case DeviceBuild::coil:
      return {"resistance_ohm", "inductance_h", "pull_in_v", "release_v", "self_heat_c", "hottest_c"};
    case DeviceBuild::motor:
      return {"resistance_ohm", "inductance_h", "current_a", "stall_a"};
    case DeviceBuild::lamp:
      return {"resistance_ohm", "cold_ohm", "current_a"};
    case DeviceBuild::led:
      return {"forward_v", "resistance_ohm", "current_a"};
    case DeviceBuild::diode:
      return {"forward_v", "resistance_ohm", "rating_a"};
    case DeviceBuild::contacts:
      return {"contact_ohm", "open_ohm", "wetting_a", "rating_a", "closed_at_rest"};
    case DeviceBuild::relay:
      return {"resistance_ohm", "inductance_h", "pull_in_v",   "release_v",
              "self_heat_c",    "hottest_c",    "contact_ohm", "open_ohm",
              "rating_a",       "operate_s",    "drop_out_s",  "drop_out_with_diode_s"};
    case DeviceBuild::pair:
      return {"resistance_ohm", "inductance_h", "output_high_v"};
    case DeviceBuild::potentiometer:
      return {"resistance_ohm", "wiper_ohm", "supply_v", "output_low_v", "output_high_v"};
    case DeviceBuild::sensor:
      return {"current_a", "supply_v", "output_low_v", "output_high_v"};
    case DeviceBuild::key_switch:
      return {"contact_ohm", "open_ohm", "rating_a"};
    case DeviceBuild::alternator:
      return {"resistance_ohm", "rating_a"};
    case DeviceBuild::controller:
      return {"current_a", "sleep_a"};
    case DeviceBuild::battery:
    case DeviceBuild::earth:
    case DeviceBuild::splice:
    case DeviceBuild::unknown:
      break;
  }
  return {};
}

std::span<const DeviceKind> device_kinds() {
  return catalogue().kinds;
}

const DeviceKind* device_kind(std::string_view name) {
  static const auto kinds = by_name(catalogue().kinds);
  return named(kinds, name);
}

std::span<const DeviceModel> device_models() {
  return catalogue().models;
}

const DeviceModel* device_model(std::string_view name) {
  static const auto models = by_name(catalogue().models);
  return named(models, name);
}

}  // namespace loomgraft
