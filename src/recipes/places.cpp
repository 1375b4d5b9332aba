#include "recipes/places.h"

#include <algorithm>
#include <map>
#include <set>

#include "loom/plan.h"
#include "loom/routes.h"
#include "recipes/part_names.h"
#include "recipes/parts_internal.h"
#include "standards/data_cell.h"
#include "standards/data_table.h"
#include "standards/insulation.h"

namespace loomgraft {

using namespace recipes;
namespace {

struct UsualPlace {
  std::string shape;
  LoomPlace place;
  std::set<std::string> words;  // of the names of what is usually there
};

struct UsualPath {
  std::string shape;
  LoomPath path;
};

const std::vector<UsualPlace>& usual_places() {
  static const std::vector<UsualPlace> list = [] {
    const DataTable table("vehicle_places.csv");
    const auto cell = [&](std::size_t row, const char* name) { return table.at(row, table.column(name)); };
    std::vector<UsualPlace> places;
    for (std::size_t row = 0; row < table.rows(); ++row) {
      UsualPlace usual;
      usual.shape = cell(row, "vehicle");
      usual.place.name = cell(row, "place");
      usual.place.id = id_like(usual.place.name);
      usual.place.along = number_cell(cell(row, "along"));
      usual.place.across = number_cell(cell(row, "across"));
      usual.place.hottest = Celsius{number_cell(cell(row, "hottest_c"))};
      usual.place.wet = cell(row, "wet") == "1";
      usual.words = words_in(cell(row, "words"));
      places.push_back(std::move(usual));
    }
    return places;
  }();
  return list;
}

const std::vector<UsualPath>& usual_paths() {
  static const std::vector<UsualPath> list = [] {
    const DataTable table("place_distances.csv");
    const auto cell = [&](std::size_t row, const char* name) { return table.at(row, table.column(name)); };
    std::vector<UsualPath> paths;
    for (std::size_t row = 0; row < table.rows(); ++row) {
      UsualPath usual;
      usual.shape = cell(row, "vehicle");
      usual.path.from = id_like(cell(row, "from"));
      usual.path.to = id_like(cell(row, "to"));
      usual.path.id = usual.path.from + "_to_" + usual.path.to;
      usual.path.shortest = Metres{number_cell(cell(row, "least_m"))};
      usual.path.length = Metres{number_cell(cell(row, "typical_m"))};
      usual.path.longest = Metres{number_cell(cell(row, "most_m"))};
      paths.push_back(std::move(usual));
    }
    return paths;
  }();
  return list;
}

bool has_place(const Graft& graft, const std::string& id) {
  return find_by_id(graft.places, id) != nullptr;
}

// A side says less than any other word.
int weight_of(const std::string& word) {
  return word == "left" || word == "right" ? 1 : 2;
}

// The place whose words weigh most among those of the name.
std::string place_for(const Graft& graft, const std::set<std::string>& words) {
  std::string best;
  int most = 0;
  for (const UsualPlace& usual : usual_places()) {
    if (usual.shape != graft.vehicle.shape || !has_place(graft, usual.place.id)) continue;
    int weight = 0;
    for (const std::string& word : words) weight += usual.words.contains(word) ? weight_of(word) : 0;
    if (weight <= most) continue;
    most = weight;
    best = usual.place.id;
  }
  return best;
}

std::string first_of(const Graft& graft, std::initializer_list<const char*> ids) {
  for (const char* id : ids) {
    if (has_place(graft, id)) return id;
  }
  return {};
}

std::string place_of_device(const Graft& graft, const Device& device) {
  switch (build_of(device)) {
    case DeviceBuild::battery:
      return first_of(graft, {"battery", "battery_seat", "battery_boot"});
    case DeviceBuild::fuse:
    case DeviceBuild::relay:
      return first_of(graft,
                      {"engine_fusebox", "cabin_panel", "bulkhead", "dash", "coupling_plug", "front_socket"});
    case DeviceBuild::splice:
    case DeviceBuild::earth:
      return {};  // beside what it joins
    default:
      break;
  }
  // A lamp that is named after its switch is not where the switch is, and a switch not where its lamp is.
  std::set<std::string> words = words_in(device.name);
  if (build_of(device) == DeviceBuild::contacts) {
    const std::string door = words.contains("door") ? first_of(graft, {"driver_seat"}) : std::string();
    return door.empty() ? first_of(graft, {"dash", "helm", "coupling_plug", "front_socket"}) : door;
  }
  words.erase("switch");
  return place_for(graft, words);
}

// Joints and earths are where most of what they join is.
std::string place_of_neighbours(const Graft& graft, const std::vector<Wire>& wires, const std::string& id) {
  std::map<std::string, int> count;
  for (const Wire& wire : wires) {
    if (wire.from.at != id && wire.to.at != id) continue;
    const std::string& other = wire.from.at == id ? wire.to.at : wire.from.at;
    if (const std::string place = place_at(graft, other); !place.empty()) ++count[place];
  }
  const auto most = std::ranges::max_element(count, {}, [](const auto& item) { return item.second; });
  return most == count.end() ? std::string() : most->first;
}

}  // namespace

std::vector<std::string> vehicle_shapes() {
  std::vector<std::string> shapes;
  for (const UsualPlace& usual : usual_places()) {
    if (std::ranges::find(shapes, usual.shape) == shapes.end()) shapes.push_back(usual.shape);
  }
  return shapes;
}

void suggest_places(Graft& graft) {
  if (graft.vehicle.shape.empty()) return;
  for (const Module& module : graft.modules) {
    if (module.role == ModuleRole::donor) continue;
    for (const std::string& id : module.connectors) {
      Connector* plug = find_by_id(graft.connectors, id);
      if (plug && plug->place.empty())
        plug->place = first_of(graft, {"ecu", "dash", "helm", "abs_unit", "coupling_plug"});
    }
  }
  for (Device& device : graft.devices) {
    if (device.place.empty()) device.place = place_of_device(graft, device);
  }
  const std::vector<Wire> wires = as_planned(graft).wires;
  for (Device& device : graft.devices) {
    if (device.place.empty()) device.place = place_of_neighbours(graft, wires, device.id);
  }
}

namespace {

double hottest_at(const Graft& graft, const std::string& id) {
  const LoomPlace* place = find_by_id(graft.places, id);
  return place && place->hottest ? place->hottest->degrees : 0.0;
}

// Of the places of its ends and of all that it passes.
double hottest_on_the_way(const Graft& graft, const std::vector<Wire>& planned, const Wire& added) {
  double hottest = std::max(hottest_at(graft, place_at(graft, added.from.at)),
                            hottest_at(graft, place_at(graft, added.to.at)));
  const Wire* wire = find_by_id(planned, added.id);
  if (!wire) return hottest;
  for (const std::string& id : wire->along) {
    const LoomPath* path = find_by_id(graft.paths, id);
    if (!path) continue;
    hottest = std::max({hottest, hottest_at(graft, path->from), hottest_at(graft, path->to),
                        path->hottest ? path->hottest->degrees : 0.0});
  }
  return hottest;
}

}  // namespace

void suggest_insulation(Graft& graft) {
  constexpr double spare = 40.0;  // K: the rise of a loaded conductor in a full bundle
  const Insulation* usual = insulation("class B");
  const std::vector<Wire> planned = as_planned(graft).wires;
  for (PlanStep& step : graft.plan) {
    if (!step.added || !step.added->insulation.empty()) continue;
    const double hottest = hottest_on_the_way(graft, planned, *step.added);
    if (!usual || hottest + spare <= usual->highest.degrees) continue;
    const Insulation* lowest = nullptr;
    for (const Insulation& item : insulations()) {
      if (!item.name.starts_with("class ") || item.highest.degrees < hottest + spare) continue;
      if (!lowest || item.highest < lowest->highest) lowest = &item;
    }
    if (lowest) step.added->insulation = lowest->name;
  }
}

Completion with_places(const Graft& graft, std::string_view shape) {
  const auto shapes = vehicle_shapes();
  if (std::ranges::find(shapes, shape) == shapes.end()) {
    std::string known;
    for (const std::string& one : shapes) known += (known.empty() ? "" : ", ") + one;
    return {graft,
            {},
            {},
            {{Severity::error,
              "not-editable",
              {},
              "No vehicle shape is called \"" + std::string(shape) + "\".",
              "Choose one of: " + known + "."}}};
  }
  Completion result{graft, {}, {}, {}};
  Graft& changed = result.graft;
  changed.vehicle.shape = shape;
  for (const UsualPlace& usual : usual_places()) {
    if (usual.shape == shape && !has_place(changed, usual.place.id)) changed.places.push_back(usual.place);
  }
  for (const UsualPath& usual : usual_paths()) {
    if (usual.shape == shape && !find_by_id(changed.paths, usual.path.id))
      changed.paths.push_back(usual.path);
  }
  suggest_places(changed);
  suggest_insulation(changed);
  return result;
}

}  // namespace loomgraft
