// An independent maker of plugs and observations for the tests of find_plug.
//
// Nothing of the engine's likelihood is used here: colours are points in a space of lightness and hue that
// are dulled by dirt, disturbed by the lamp, and named after the nearest colour; faces are mirrored and
// turned as plain lists; people differ in how often they count wrong.
#pragma once

#include <cstdint>
#include <random>
#include <string>
#include <vector>

#include "plug/plug.h"

namespace loomgraft::plug_simulator {

class Dice {
 public:
  explicit Dice(std::uint64_t seed) : engine_(seed) {}
  double share() { return static_cast<double>(engine_() >> 11) * 0x1.0p-53; }
  bool chance(double p) { return share() < p; }
  int below(int n) { return static_cast<int>(share() * n); }
  int between(int low, int high) { return low + below(high - low + 1); }
  double normal() {  // the sum of twelve is near enough to a bell for a lamp
    double sum = -6.0;
    for (int i = 0; i < 12; ++i) sum += share();
    return sum;
  }

 private:
  std::mt19937_64 engine_;
};

struct SimulatedPlug {
  Connector connector;
  std::vector<Pin> pins;
  PlugCandidate candidate() const { return {&connector, pins}; }
};

struct Case {
  std::vector<SimulatedPlug> plugs;
  int true_plug = -1;  // -1: none of them
  View true_view = View::unknown;
  bool true_turned = false;
  Observation observation;
  std::vector<PlugCandidate> candidates() const;
};

// Kinds of work: how alike the plugs are, how dirty, how careless.
struct World {
  double alike = 0.3;     // share of plugs that are an earlier one with a few wires changed
  double careless = 1.0;  // scales every kind of mistake
  int most_plugs = 8;
  int most_cavities = 9;
  double none = 0.02;
};

SimulatedPlug any_plug(Dice& dice, const std::string& id);
Case any_case(Dice& dice, const World& world = {});

// What a person sees of `plug` from one side, one way up, without any mistake: rows of cavity names.
std::vector<std::vector<std::string>> seen_rows(const SimulatedPlug& plug, View view, bool turned);

const Pin* pin_at(const SimulatedPlug& plug, const std::string& cavity);

}  // namespace loomgraft::plug_simulator
