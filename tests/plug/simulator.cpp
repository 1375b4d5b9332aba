#include "tests/plug/simulator.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

namespace loomgraft::plug_simulator {
namespace {

struct Paint {
  std::string_view letters;
  double weight;  // how often loom makers use it
  std::array<double, 3> point;
};

constexpr std::array<Paint, 12> paints{{{"BK", 16, {12, 0, 0}},
                                        {"BN", 11, {36, 20, 24}},
                                        {"RD", 12, {45, 62, 40}},
                                        {"OG", 6, {63, 42, 62}},
                                        {"YE", 9, {86, 0, 76}},
                                        {"GN", 11, {46, -42, 30}},
                                        {"BU", 12, {36, 8, -48}},
                                        {"VT", 6, {36, 36, -34}},
                                        {"GY", 7, {56, 0, 0}},
                                        {"WH", 8, {92, 0, 3}},
                                        {"PK", 3, {72, 36, 8}},
                                        {"TQ", 1, {58, -32, -12}}}};
constexpr std::array<double, 3> mud{38, 5, 10};

std::string any_paint(Dice& dice) {
  double total = 0.0;
  for (const Paint& paint : paints) total += paint.weight;
  double at = dice.share() * total;
  for (const Paint& paint : paints) {
    at -= paint.weight;
    if (at < 0.0) return std::string(paint.letters);
  }
  return std::string(paints.front().letters);
}

const Paint& paint_named(const std::string& letters) {
  for (const Paint& paint : paints) {
    if (letters == paint.letters) return paint;
  }
  return paints.front();
}

// The state of one person at one plug.
struct Eye {
  double dirt = 0.0;
  double flicker = 0.0;
  bool base_only = false;
  double overlooks_tracer = 0.0;
  double slips = 0.0;
  int all_rows = 0;
  int all_columns = 0;
};

std::string colour_seen(const std::string& letters, const Eye& eye, Dice& dice) {
  const Paint& paint = paint_named(letters);
  std::array<double, 3> seen{};
  for (std::size_t i = 0; i < 3; ++i) {
    seen[i] = (1.0 - eye.dirt) * paint.point[i] + eye.dirt * mud[i] + eye.flicker * dice.normal();
  }
  const Paint* nearest = nullptr;
  double best = INFINITY;
  for (const Paint& other : paints) {
    double square = 0.0;
    for (std::size_t i = 0; i < 3; ++i) {
      // People allow for dirt by half of what it does.
      const double expected = (1.0 - 0.5 * eye.dirt) * other.point[i] + 0.5 * eye.dirt * mud[i];
      square += (seen[i] - expected) * (seen[i] - expected);
    }
    if (square < best) {
      best = square;
      nearest = &other;
    }
  }
  return std::string(nearest->letters);
}

Colour any_colour(Dice& dice) {
  Colour colour;
  colour.base = any_paint(dice);
  if (dice.chance(0.55)) {
    do {
      colour.tracer = any_paint(dice);
    } while (colour.tracer == colour.base);
  }
  return colour;
}

Colour reported(const Colour& wire, const Eye& eye, Dice& dice) {
  Colour colour;
  colour.base = colour_seen(wire.base, eye, dice);
  if (!wire.tracer.empty() && !eye.base_only && !dice.chance(eye.overlooks_tracer)) {
    colour.tracer = colour_seen(wire.tracer, eye, dice);
    if (colour.tracer == colour.base) colour.tracer.clear();
    if (!colour.tracer.empty() && dice.chance(0.03)) std::swap(colour.base, colour.tracer);
  } else if (wire.tracer.empty() && dice.chance(0.01)) {
    colour.tracer = any_paint(dice);  // a mark, a scratch, a neighbour's reflection
    if (colour.tracer == colour.base) colour.tracer.clear();
  }
  return colour;
}

Eye any_eye(Dice& dice, double careless) {
  Eye eye;
  const double u = dice.share();
  eye.dirt = std::min(0.6, careless * 0.5 * u * u);
  eye.flicker = careless * (4.0 + 9.0 * dice.share());
  eye.base_only = dice.chance(0.15);
  eye.overlooks_tracer = std::min(0.9, careless * (0.04 + 0.8 * eye.dirt));
  eye.slips = careless * 0.10 * dice.share();
  if (dice.chance(0.05 * careless)) {
    (dice.chance(0.6) ? eye.all_columns : eye.all_rows) = dice.chance(0.5) ? 1 : -1;
  }
  return eye;
}

SimulatedPlug variant_of(const SimulatedPlug& plug, const std::string& id, Dice& dice) {
  SimulatedPlug variant = plug;
  variant.connector.id = id;
  for (Pin& pin : variant.pins) {
    pin.at.connector = id;
    if (pin.colour.known() && dice.chance(0.35)) pin.colour = any_colour(dice);
  }
  return variant;
}

// What really sits in a cavity: the table's wire, mostly.
Colour wire_in(const SimulatedPlug& plug, const std::string& cavity, Dice& dice, double careless) {
  const Pin* pin = pin_at(plug, cavity);
  if (pin == nullptr) return dice.chance(0.35) ? any_colour(dice) : Colour{};
  if (!pin->colour.known()) return dice.chance(0.75) ? any_colour(dice) : Colour{};
  if (dice.chance(0.06 * careless)) return {};
  if (dice.chance(0.04 * careless)) return any_colour(dice);
  return pin->colour;
}

bool is_large(const SimulatedPlug& plug, const std::string& cavity) {
  for (const CavityRow& row : plug.connector.rows) {
    if (std::find(row.cavities.begin(), row.cavities.end(), cavity) != row.cavities.end()) {
      return row.terminal_width.si > 2e-3;
    }
  }
  return false;
}

void look(const SimulatedPlug& plug, const Case& made, const Eye& eye, double careless, Dice& dice,
          std::vector<ObservedCavity>& cavities, int count) {
  const auto rows = seen_rows(plug, made.true_view, made.true_turned);
  std::vector<std::pair<int, int>> all;
  for (std::size_t r = 0; r < rows.size(); ++r) {
    for (std::size_t c = 0; c < rows[r].size(); ++c) {
      all.emplace_back(static_cast<int>(r), static_cast<int>(c));
    }
  }
  for (int i = 0; i < count && !all.empty(); ++i) {
    const int pick = dice.below(static_cast<int>(all.size()));
    const auto [row, column] = all[static_cast<std::size_t>(pick)];
    all.erase(all.begin() + pick);
    const std::string& cavity = rows[static_cast<std::size_t>(row)][static_cast<std::size_t>(column)];
    ObservedCavity observed;
    const Colour wire = wire_in(plug, cavity, dice, careless);
    if (wire.known() != dice.chance(0.01 * careless)) {
      observed.colour = wire.known() ? reported(wire, eye, dice) : any_colour(dice);
    } else {
      observed.empty = true;
    }
    if (dice.chance(0.15)) observed.large = is_large(plug, cavity) != dice.chance(0.05 * careless);
    if (!dice.chance(0.15)) {
      observed.row = row + 1 + eye.all_rows;
      observed.column = column + 1 + eye.all_columns;
      if (dice.chance(eye.slips)) {
        (dice.chance(0.6) ? observed.column : observed.row) += dice.chance(0.5) ? 1 : -1;
      }
      observed.row = std::max(1, observed.row);
      observed.column = std::max(1, observed.column);
    }
    cavities.push_back(observed);
  }
}

Side latch_seen(Side drawn, View view, bool turned) {
  Side side = drawn;
  if (view == View::mating && (side == Side::left || side == Side::right)) {
    side = side == Side::left ? Side::right : Side::left;
  }
  if (!turned) return side;
  if (side == Side::top) return Side::bottom;
  if (side == Side::bottom) return Side::top;
  return side == Side::left ? Side::right : Side::left;
}

void handle(const SimulatedPlug& plug, Case& made, Dice& dice) {
  if (dice.chance(0.35)) {
    made.observation.latch = latch_seen(plug.connector.latch, made.true_view, made.true_turned);
    if (dice.chance(0.03)) made.observation.latch = dice.chance(0.5) ? Side::top : Side::bottom;
  }
  if (dice.chance(0.30)) {
    const bool wrong = dice.chance(0.04);
    const bool mating = (made.true_view == View::mating) != wrong;
    made.observation.looked_from = mating ? View::mating : View::wire_entry;
  }
}

}  // namespace

std::vector<PlugCandidate> Case::candidates() const {
  std::vector<PlugCandidate> all;
  for (const SimulatedPlug& plug : plugs) all.push_back(plug.candidate());
  return all;
}

const Pin* pin_at(const SimulatedPlug& plug, const std::string& cavity) {
  for (const Pin& pin : plug.pins) {
    if (pin.at.cavity == cavity) return &pin;
  }
  return nullptr;
}

SimulatedPlug any_plug(Dice& dice, const std::string& id) {
  SimulatedPlug plug;
  plug.connector.id = id;
  plug.connector.view = dice.chance(0.6) ? View::wire_entry : View::mating;
  if (dice.chance(0.8)) plug.connector.latch = dice.chance(0.85) ? Side::top : Side::left;
  const int rows = dice.between(1, 4);
  const int columns = dice.between(3, 13);
  const double known = dice.chance(0.2) ? 0.4 : 0.85;
  int number = 0;
  for (int r = 0; r < rows; ++r) {
    const bool large = r == 0 && dice.chance(0.25);
    const int here = large ? std::max(2, columns / 2) : columns - (dice.chance(0.2) ? 1 : 0);
    CavityRow row;
    row.pitch = millimetres(large ? 5.0 : 2.5);
    row.x = millimetres(2.5);
    row.y = millimetres(2.5 + 4.0 * r);
    row.terminal_width = millimetres(large ? 2.8 : 0.64);
    for (int c = 0; c < here; ++c) {
      if (c > 0 && c + 1 < here && dice.chance(0.03)) row.cavities.emplace_back();
      row.cavities.push_back(std::to_string(++number));
      if (dice.chance(0.12)) continue;  // the table is silent
      Pin pin;
      pin.at = {id, row.cavities.back()};
      pin.signal = fmt::format("signal {}", number);
      if (dice.chance(known)) pin.colour = any_colour(dice);
      plug.pins.push_back(pin);
    }
    plug.connector.rows.push_back(row);
  }
  return plug;
}

std::vector<std::vector<std::string>> seen_rows(const SimulatedPlug& plug, View view, bool turned) {
  std::vector<std::vector<std::string>> rows;
  for (const CavityRow& row : plug.connector.rows) {
    std::vector<std::string> names;
    std::copy_if(row.cavities.begin(), row.cavities.end(), std::back_inserter(names),
                 [](const std::string& name) { return !name.empty(); });
    rows.push_back(names);
  }
  if (turned) std::reverse(rows.begin(), rows.end());
  if ((view != plug.connector.view) != turned) {
    for (auto& row : rows) std::reverse(row.begin(), row.end());
  }
  return rows;
}

Case any_case(Dice& dice, const World& world) {
  Case made;
  const int count = dice.between(1, world.most_plugs);
  for (int i = 0; i < count; ++i) {
    const std::string id = fmt::format("X{}", i + 1);
    if (i > 0 && dice.chance(world.alike)) {
      const int like = dice.below(i);
      made.plugs.push_back(variant_of(made.plugs[static_cast<std::size_t>(like)], id, dice));
    } else {
      made.plugs.push_back(any_plug(dice, id));
    }
  }
  SimulatedPlug truth = any_plug(dice, "other");
  if (!dice.chance(world.none)) {
    made.true_plug = dice.below(count);
    truth = made.plugs[static_cast<std::size_t>(made.true_plug)];
  }
  made.true_view = dice.chance(0.5) ? View::wire_entry : View::mating;
  made.true_turned = dice.chance(0.5);
  const Eye eye = any_eye(dice, world.careless);
  look(truth, made, eye, world.careless, dice, made.observation.cavities,
       dice.between(1, world.most_cavities));
  handle(truth, made, dice);
  return made;
}

}  // namespace loomgraft::plug_simulator
