// The demonstration's observations, which were not written together with the code: text, faces and the
// answer.
#include <gtest/gtest.h>

#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "loom/face.h"
#include "plug/observation.h"
#include "standards/dictionary.h"

namespace loomgraft::plug_demo_test {
namespace {

const std::string folder = std::string(LOOMGRAFT_ROOT) + "/examples/power-takeoff/";

View view_named(const std::string& name) {
  return name == "mating" ? View::mating : name == "wire_entry" ? View::wire_entry : View::unknown;
}

std::vector<Connector> connectors_of(const std::string& file) {
  std::vector<Connector> connectors;
  std::ifstream stream(file);
  for (const auto& entry : nlohmann::json::parse(stream)) {
    Connector connector;
    connector.id = entry.at("id");
    connector.view = view_named(entry.at("view"));
    connector.latch = entry.at("latch") == "top" ? Side::top : Side::bottom;
    for (const auto& given : entry.at("rows")) {
      CavityRow row;
      row.cavities = given.at("cavities").get<std::vector<std::string>>();
      row.x = millimetres(given.at("x_mm"));
      row.y = millimetres(given.at("y_mm"));
      row.pitch = millimetres(given.at("pitch_mm"));
      row.terminal_width = millimetres(given.at("terminal_width_mm"));
      connector.rows.push_back(std::move(row));
    }
    connectors.push_back(std::move(connector));
  }
  return connectors;
}

struct Seen {
  std::string observation;
  std::string connector;
  View view = View::unknown;
  std::vector<std::string> cavities;
};

std::vector<Seen> seen_in(const std::string& file) {
  std::vector<Seen> all;
  std::ifstream stream(file);
  std::string line;
  while (std::getline(stream, line)) {
    const std::size_t colon = line.find(": ");
    if (line.starts_with("#") || colon == std::string::npos) continue;
    const std::string key = line.substr(0, colon);
    std::istringstream rest(line.substr(colon + 2));
    if (key == "observation") {
      all.push_back({rest.str(), "", View::unknown, {}});
    } else if (key == "truth") {
      std::string view;
      rest >> all.back().connector >> view;
      all.back().view = view_named(view);
    } else if (key == "cavities") {
      for (std::string cavity; rest >> cavity;) {
        if (cavity.back() == ',') cavity.pop_back();
        all.back().cavities.push_back(cavity);
      }
    }
  }
  return all;
}

TEST(DemoObservations, PositionsLeadToTheNamedCavitiesAndThePlugIsFound) {
  const std::vector<Connector> connectors = connectors_of(folder + "connectors.json");
  const std::vector<Seen> all = seen_in(folder + "seen.txt");
  ASSERT_EQ(all.size(), 2U);
  std::vector<PlugCandidate> candidates;
  candidates.reserve(connectors.size());
  for (const Connector& connector : connectors) candidates.push_back({&connector, {}});
  for (const Seen& seen : all) {
    const ObservationReading reading = read_observation(seen.observation, colour_notations());
    EXPECT_TRUE(reading.problems.empty());
    EXPECT_EQ(reading.observation.latch, Side::top);
    ASSERT_EQ(reading.observation.cavities.size(), seen.cavities.size());
    for (PlugCandidate& candidate : candidates) {
      if (candidate.connector->id != seen.connector) continue;
      const Face face = face_of(*candidate.connector, seen.view);
      for (std::size_t i = 0; i < seen.cavities.size(); ++i) {
        const ObservedCavity& observed = reading.observation.cavities[i];
        const FacePlace* place = place_at(face, observed.row, observed.column);
        ASSERT_NE(place, nullptr);
        EXPECT_EQ(place->cavity, seen.cavities[i]);
        // The wires of this plug's table, as far as the observation goes; the others stay unknown.
        Pin pin;
        pin.at = {seen.connector, seen.cavities[i]};
        pin.colour = observed.colour;
        if (observed.empty == true) pin.populated = false;
        candidate.pins.push_back(pin);
      }
    }
  }
  for (const Seen& seen : all) {
    const Observation observation = read_observation(seen.observation, colour_notations()).observation;
    const PlugReport report = find_plug(candidates, observation);
    EXPECT_EQ(report.hypotheses.front().connector, seen.connector);
    EXPECT_EQ(report.hypotheses.front().view, seen.view);
    EXPECT_FALSE(report.hypotheses.front().turned);
    EXPECT_TRUE(report.certain);
  }
}

}  // namespace
}  // namespace loomgraft::plug_demo_test
