// Which faults a loom can have, and what each changes in a network.
#include "network/faults.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <set>

#include "network/netlist.h"
#include "standards/network_figures.h"
#include "tests/network/ngspice.h"
#include "tests/network/random_graft.h"
#include "tests/rounds.h"

namespace loomgraft::network_faults_test {
namespace {

using namespace samples;

constexpr int grafts = 20;
constexpr std::uint32_t most_nodes = 200;  // of a deck

NetworkOptions with_crimps() {
  NetworkOptions options;
  options.crimps = true;
  return options;
}

DrawnLoom drawn_graft(int seed) {
  return random_graft(static_cast<std::uint64_t>(seed), 1 + seed % 3, seed % 2 == 0 ? 12.0 : 24.0);
}

std::vector<std::string> ids_of(const std::vector<Fault>& faults) {
  std::vector<std::string> ids;
  for (const Fault& fault : faults) ids.push_back(fault.id);
  return ids;
}

std::vector<std::string> ids_of(const std::vector<Fault>& faults, FaultKind kind) {
  std::vector<std::string> ids;
  for (const Fault& fault : faults) {
    if (fault.kind == kind) ids.push_back(fault.id.substr(std::string(name_of(kind)).size() + 1));
  }
  return ids;
}

std::vector<std::string> subject_ids(const Fault& fault) {
  std::vector<std::string> ids;
  for (const FaultSubject& subject : fault.subjects) ids.push_back(subject_id(subject));
  return ids;
}

const Fault& find(const std::vector<Fault>& faults, const std::string& id) {
  const auto found = std::ranges::find(faults, id, &Fault::id);
  if (found == faults.end()) throw std::runtime_error("no fault " + id);
  return *found;
}

// A module's plug of 2 rows of 3, three wires of it added, one there before:
//   1 2 3
//   4 5 6
Graft small_plug() {
  Graft graft;
  graft.connectors = {connector("C1")};
  graft.connectors[0].rows = rows_of(6, 3);
  Module module;
  module.id = module.name = "ECU";
  module.role = ModuleRole::found;
  module.connectors = {"C1"};
  module.pins = {pin("C1:1", PinClass::low_side_driver), pin("C1:2", PinClass::switch_to_earth_input),
                 pin("C1:3", PinClass::supply_30), pin("C1:4", PinClass::sensor_earth),
                 pin("C1:6", PinClass::voltage_input)};
  graft.modules = {module};
  graft.devices = {device("BAT", "battery"), device("E1", "earth"), device("F1", "fuse"),
                   device("V1", "valve"), device("S1", "switch")};
  graft.devices[2].rating = Amperes{10.0};
  graft.wires = {wire("w1", "BAT:+", "F1:1", 2.5), wire("w2", "F1:2", "C1:3"),
                 wire("w3", "BAT:-", "E1:", 16.0, 0.5)};
  graft.plan = {addition(wire("a1", "C1:1", "V1:2")), addition(wire("a2", "C1:2", "S1:1")),
                addition(wire("a4", "C1:4", "S1:2"))};
  return graft;
}

// A sensor with a shield, earthed at the module, a resistor across it, and two fuses.
Graft shielded_sensor() {
  Graft graft = small_plug();
  Module& module = graft.modules[0];
  module.pins.push_back(pin("C1:5", PinClass::shield));
  graft.devices.push_back(device("P1", "sensor_vr"));
  graft.devices.push_back(device("R1", "resistor"));
  graft.devices.push_back(device("F2", "fuse"));
  graft.devices.push_back(device("X1", "splice"));
  graft.plan.push_back(addition(wire("a5", "C1:5", "X1:1")));
  graft.plan.push_back(addition(wire("a6", "C1:6", "R1:1")));
  graft.plan.push_back(addition(wire("a7", "R1:2", "F2:2")));
  return graft;
}

// ---- which faults

TEST(Faults, EveryOneOfAHeaterLoom) {
  const std::vector<std::string> expected{"wire_open w1",
                                          "bad_joint BAT:+ w1",
                                          "terminal_unseated F1:1 w1",
                                          "bad_joint F1:1 w1",
                                          "short_to_earth w1",
                                          "wire_open w2",
                                          "terminal_unseated F1:2 w2",
                                          "bad_joint F1:2 w2",
                                          "terminal_unseated H1:1 w2",
                                          "bad_joint H1:1 w2",
                                          "short_to_earth w2",
                                          "short_to_supply w2 BAT",
                                          "wire_open w3",
                                          "terminal_unseated H1:2 w3",
                                          "bad_joint H1:2 w3",
                                          "bad_joint E1:1 w3",
                                          "short_to_supply w3 BAT",
                                          "wire_open w4",
                                          "bad_joint BAT:- w4",
                                          "bad_joint E1:1 w4",
                                          "short_to_supply w4 BAT",
                                          "blown_fuse F1",
                                          "wrong_rating F1",
                                          "open_device H1"};
  EXPECT_EQ(ids_of(faults_of(heater_loom())), expected);
}

TEST(Faults, OfAPlugByItsFace) {
  const std::vector<Fault> faults = faults_of(small_plug());
  using List = std::vector<std::string>;
  // Within 1.5 pitch of a cavity with an added wire, diagonals too.
  EXPECT_EQ(ids_of(faults, FaultKind::bridged_cavities),
            (List{"C1:1 C1:2", "C1:1 C1:4", "C1:1 C1:5", "C1:2 C1:3", "C1:2 C1:5", "C1:2 C1:4", "C1:2 C1:6",
                  "C1:4 C1:5"}));
  EXPECT_EQ(ids_of(faults, FaultKind::one_cavity_off),
            (List{"C1:1 C1:5 a1", "C1:2 C1:5 a2", "C1:2 C1:6 a2", "C1:4 C1:5 a4"}));
  EXPECT_EQ(ids_of(faults, FaultKind::swapped_wires),
            (List{"C1:1 C1:2 a1 a2", "C1:1 C1:4 a1 a4", "C1:2 C1:4 a2 a4"}));
  EXPECT_EQ(ids_of(faults, FaultKind::mirrored_plug), List{"C1"});
  EXPECT_EQ(subject_ids(find(faults, "mirrored_plug C1")),
            (List{"C1", "C1:1", "C1:3", "a1", "C1:3", "C1:1", "w2", "C1:4", "C1:6", "a4"}));
  EXPECT_EQ(ids_of(faults, FaultKind::dead_driver), List{"C1:1"});
  EXPECT_EQ(ids_of(faults, FaultKind::missing_pull_up), List{"C1:2"});
  EXPECT_EQ(ids_of(faults, FaultKind::opposite_contacts), List{"S1"});
}

TEST(Faults, CoverTheWholeLoomOnRequest) {
  FaultOptions whole;
  whole.whole_loom = true;
  const std::vector<Fault> part = faults_of(small_plug());
  const std::vector<Fault> all = faults_of(small_plug(), whole);
  EXPECT_TRUE(std::ranges::none_of(part, [](const Fault& fault) { return fault.id == "wire_open w1"; }));
  EXPECT_FALSE(find(all, "wire_open w1").added);
  EXPECT_TRUE(find(all, "wire_open a1").added);
  EXPECT_GT(find(all, "wire_open a1").prior, find(all, "wire_open w1").prior);
}

TEST(Faults, IdsAreUniqueAndStable) {
  for (int seed = 0; seed < grafts; ++seed) {
    const Graft graft = drawn_graft(seed).graft;
    const std::vector<Fault> faults = faults_of(graft);
    const std::vector<std::string> ids = ids_of(faults);
    EXPECT_EQ(std::set<std::string>(ids.begin(), ids.end()).size(), ids.size());
    EXPECT_EQ(ids, ids_of(faults_of(graft)));
    // What is looked for in the part has the same name in the whole; but there each wire of a bundle has
    // others beside it.
    FaultOptions whole;
    whole.whole_loom = true;
    const std::vector<std::string> all = ids_of(faults_of(graft, whole));
    const std::set<std::string> known(all.begin(), all.end());
    for (const std::string& id : ids) EXPECT_TRUE(known.contains(id) || id.starts_with("chafed")) << id;
    double sum = 0.0;
    for (const Fault& fault : faults) {
      sum += fault.prior;
      EXPECT_GT(fault.prior, 0.0);
      EXPECT_FALSE(fault.text.empty() || fault.repair.empty() || fault.repair_text.empty());
      EXPECT_FALSE(fault.prior_source.empty());
    }
    EXPECT_NEAR(sum, 1.0, 1e-12);
  }
}

TEST(Faults, EveryKindOccurs) {
  std::set<FaultKind> met;
  for (int seed = 0; seed < grafts; ++seed) {
    for (const Fault& fault : faults_of(drawn_graft(seed).graft)) met.insert(fault.kind);
  }
  for (const Fault& fault : faults_of(shielded_sensor())) met.insert(fault.kind);
  for (std::size_t k = 0; k < fault_kinds; ++k)
    EXPECT_TRUE(met.contains(static_cast<FaultKind>(k))) << name_of(static_cast<FaultKind>(k));
}

TEST(Faults, NothingForbiddenIsASubject) {
  for (int seed = 0; seed < grafts; ++seed) {
    const Graft graft = drawn_graft(seed).graft;
    FaultOptions whole;
    whole.whole_loom = true;
    const CavityRef at = graft.modules.front().pins.back().at;
    ASSERT_TRUE(graft.modules.front().pins.back().forbidden);
    const std::set<std::string> forbidden{"f1", "f2", "SQUIB", "SQUIB:1", at.connector + ":" + at.cavity};
    for (const Fault& fault : faults_of(graft, whole)) {
      for (const std::string& subject : subject_ids(fault))
        EXPECT_FALSE(forbidden.contains(subject)) << fault.id;
    }
  }
}

// ---- what they change

struct Changed {
  LoomNetwork network;
  NetworkSolution solution;
};

Changed solved(const LoomNetwork& network, const NetworkChange& change) {
  Changed all{changed(network, change), {}};
  auto solution = solve(all.network);
  EXPECT_TRUE(solution) << (solution ? "" : solution.error().message);
  if (solution) all.solution = std::move(*solution);
  return all;
}

double volts_at(const Changed& all, const std::string& end) {
  return all.solution.point.nodes[node_at(all.network, end_of(end))->value].si;
}

// What a volt behind a kilohm drives through: the network is dead else.
double ohms_between(LoomNetwork network, NodeId a, NodeId b) {
  const double unlimited = std::numeric_limits<double>::infinity();
  network.circuit.sources.push_back({a, b, Volts{1.0}, Ohms{1000.0}, Amperes{unlimited}});
  const auto solution = solve(network);
  if (!solution) return std::nan("");
  return (solution->point.nodes[a.value] - solution->point.nodes[b.value]).si /
         solution->point.sources.back().si;
}

struct Case {
  Graft graft;
  std::vector<Fault> faults;
  LoomNetwork network;
  std::vector<NetworkChange> changes;

  Case(Graft loom, const Condition& condition)
      : graft(std::move(loom)),
        faults(faults_of(graft)),
        network(network_of(graft, condition, with_crimps())),
        changes(changes_of(faults, network)) {}

  LoomNetwork under(const std::string& id) const {
    return changed(network, changes[static_cast<std::size_t>(&find(faults, id) - faults.data())]);
  }
  NodeId at(const std::string& end) const { return *node_at(network, end_of(end)); }
};

// Every terminal stands in one cavity or hangs free, and no cavity holds two.
TEST(FaultChanges, NoCavityHoldsTwoTerminals) {
  int moved = 0;
  for (int seed = 0; seed < grafts; ++seed) {
    DrawnLoom loom = drawn_graft(seed);
    // Two wires in one terminal.
    PlanStep twin = addition(wire("twin", "C1:1", "E1:"));
    loom.graft.plan.push_back(twin);
    const Case all(loom.graft, loom.condition);
    for (std::size_t k = 0; k < all.faults.size(); ++k) {
      if (all.faults[k].kind == FaultKind::two_in_cavity) continue;
      std::map<NodeId, NodeId> terminal_of;  // by the wire's side of a crimp: the place its terminal has
      std::map<NodeId, NodeId> place_of;
      for (const auto& [at, branch] : all.network.crimps) {
        const NetworkBranch& crimp = all.network.branches[branch];
        const WireEnd& end = all.network.nodes[crimp.b.value].at;
        if (!find_connector(all.graft, end.at)) continue;
        terminal_of[crimp.a] = crimp.b;
        place_of[crimp.a] = crimp.b;
      }
      for (const BranchChange& change : all.changes[k].branches) {
        if (std::isinf(change.resistance.si)) place_of.erase(all.network.branches[change.branch].a);
      }
      for (const Bridge& bridge : all.changes[k].bridges) {
        if (!terminal_of.contains(bridge.a) || place_of.contains(bridge.a)) continue;
        place_of[bridge.a] = bridge.b;
        ++moved;
      }
      std::map<NodeId, NodeId> held;
      for (const auto& [wire, place] : place_of) {
        const auto [found, is_new] = held.try_emplace(place, terminal_of[wire]);
        EXPECT_EQ(found->second, terminal_of[wire])
            << all.faults[k].id << " in " << all.network.nodes[place.value].name;
      }
    }
  }
  EXPECT_GE(moved, 200);
}

Condition lifted() {
  Condition condition;
  condition.battery_off = true;
  condition.unplugged = {"C1"};
  return condition;
}

TEST(FaultChanges, ProbesFromTheFrontMissAnUnseatedTerminal) {
  const Case all(small_plug(), lifted());
  const NodeId back = all.at("C1:1");
  const NodeId front = *face_node_at(all.network, end_of("C1:1"));
  const NodeId far = all.at("V1:2");
  EXPECT_LT(ohms_between(all.network, front, far), 0.1);
  const LoomNetwork loose = all.under("terminal_unseated C1:1 a1");
  EXPECT_GT(ohms_between(loose, front, far), 1e9);
  EXPECT_LT(ohms_between(loose, back, far), 0.1);
  // At the device's end nothing is left to touch but the device.
  EXPECT_GT(ohms_between(all.under("terminal_unseated V1:2 a1"), front, far), 1e9);
}

TEST(FaultChanges, SwappedWiresReadInEachOthersCavity) {
  const Case all(small_plug(), lifted());
  const LoomNetwork swapped = all.under("swapped_wires C1:1 C1:2 a1 a2");
  const NodeId valve = all.at("V1:2");
  const NodeId contact = all.at("S1:1");
  for (const bool front : {false, true}) {
    const auto probe = [&](const char* end) {
      return front ? *face_node_at(all.network, end_of(end)) : all.at(end);
    };
    EXPECT_LT(ohms_between(all.network, probe("C1:1"), valve), 0.1);
    EXPECT_GT(ohms_between(all.network, probe("C1:1"), contact), 1e9);
    EXPECT_GT(ohms_between(swapped, probe("C1:1"), valve), 1e9);
    EXPECT_LT(ohms_between(swapped, probe("C1:1"), contact), 0.1);
    EXPECT_LT(ohms_between(swapped, probe("C1:2"), valve), 0.1);
    EXPECT_GT(ohms_between(swapped, probe("C1:2"), contact), 1e9);
  }
}

TEST(FaultChanges, AMovedTerminalLeavesAnEmptyCavity) {
  Condition live;
  const Case all(small_plug(), live);
  const Changed healthy = solved(all.network, {});
  const Changed off = [&] {
    Changed one{all.under("one_cavity_off C1:2 C1:5 a2"), {}};
    one.solution = *solve(one.network);
    return one;
  }();
  // The pull-up behind the input's pin does not reach a cavity without a terminal.
  EXPECT_GT(volts_at(healthy, "C1:2"), 4.0);
  EXPECT_LT(volts_at(off, "C1:2"), 0.01);
  EXPECT_LT(volts_at(off, "S1:1"), 0.01);
}

TEST(FaultChanges, BothHalvesOfAMiddlePlugHaveFacesWhenItIsApart) {
  const DrawnLoom loom = drawn_graft(3);
  for (const char* half : {"X1", "X2"}) {
    Condition apart = loom.condition;
    apart.unplugged = {half};
    const LoomNetwork network = network_of(loom.graft, apart, with_crimps());
    for (const char* end : {"X1:1", "X2:1"}) {
      ASSERT_TRUE(face_node_at(network, end_of(end))) << half << " " << end;
      EXPECT_NE(face_node_at(network, end_of(end)), node_at(network, end_of(end)));
    }
  }
  EXPECT_FALSE(face_node_at(network_of(loom.graft, loom.condition, with_crimps()), end_of("X1:1")));
}

TEST(FaultChanges, AddTheirOhms) {
  Case all(small_plug(), lifted());
  const double before = ohms_between(all.network, all.at("C1:1"), all.at("V1:2"));
  const auto added = [&] {
    return ohms_between(all.under("bad_joint C1:1 a1"), all.at("C1:1"), all.at("V1:2")) - before;
  };
  EXPECT_NEAR(added(), network_figure("bad_joint_ohm", SystemVolts::nominal_12).middle(), 1e-6);
  FaultOptions options;
  options.joint_ohms = 0.25;
  all.faults = faults_of(all.graft, options);
  all.changes = changes_of(all.faults, all.network);
  EXPECT_NEAR(added(), 0.25, 1e-6);
  const double touch = ohms_between(all.under("bridged_cavities C1:1 C1:2"), all.at("C1:1"), all.at("C1:2"));
  EXPECT_NEAR(touch, network_figure("touch_ohm", SystemVolts::nominal_12).middle(), 1e-6);
}

TEST(FaultChanges, OppositeContactsChangePosition) {
  Condition worked = lifted();
  for (const bool closed : {false, true}) {
    if (closed) worked.worked = {"S1"};
    const Case all(small_plug(), worked);
    const double ohms = ohms_between(all.network, all.at("S1:1"), all.at("S1:2"));
    const double turned = ohms_between(all.under("opposite_contacts S1"), all.at("S1:1"), all.at("S1:2"));
    EXPECT_EQ(ohms < 1.0, closed);
    EXPECT_EQ(turned < 1.0, !closed);
  }
}

TEST(FaultChanges, AnInputWithoutPullUpFloats) {
  const Case all(small_plug(), {});
  EXPECT_GT(volts_at(solved(all.network, {}), "C1:2"), 4.0);
  Changed without{all.under("missing_pull_up C1:2"), {}};
  without.solution = *solve(without.network);
  EXPECT_LT(volts_at(without, "C1:2"), 0.5);
}

TEST(FaultChanges, NothingChangesWithoutCrimps) {
  for (int seed = 0; seed < grafts; ++seed) {
    const DrawnLoom loom = drawn_graft(seed);
    const LoomNetwork plain = network_of(loom.graft, loom.condition);
    const LoomNetwork crimped = network_of(loom.graft, loom.condition, with_crimps());
    EXPECT_TRUE(plain.crimps.empty());
    EXPECT_TRUE(plain.face_nodes.empty());
    for (const NetworkBranch& branch : plain.branches)
      EXPECT_EQ(branch.name.find("crimp"), std::string::npos) << branch.name;
    const Changed one = solved(plain, {});
    const Changed other = solved(crimped, {});
    for (const auto& [end, node] : plain.end_nodes) {
      if (end.at == "X1" || end.at == "X2") continue;
      ASSERT_TRUE(node_at(crimped, end)) << end.at << ":" << end.cavity;
      // A crimp of 0.3 mohm at no more than some tens of amperes.
      EXPECT_NEAR(one.solution.point.nodes[node.value].si,
                  other.solution.point.nodes[node_at(crimped, end)->value].si, 0.05)
          << seed << " " << end.at << ":" << end.cavity;
    }
  }
}

// ---- against another solver

// Many circuits in one deck: beside one another, the body common.
struct Side {
  std::vector<std::string> names{"body"};
  Circuit circuit;
  OperatingPoint point;

  void add(const Changed& all) {
    const Circuit& other = all.network.circuit;
    const std::uint32_t shift = circuit.node_count - 1;
    const auto moved = [&](NodeId id) { return id == earth_node ? id : NodeId{id.value + shift}; };
    for (const Resistor& item : other.resistors)
      circuit.resistors.push_back({moved(item.a), moved(item.b), item.resistance});
    for (LimitedSource item : other.sources) {
      item.plus = moved(item.plus);
      item.minus = moved(item.minus);
      circuit.sources.push_back(item);
    }
    for (Diode item : other.diodes) {
      item.anode = moved(item.anode);
      item.cathode = moved(item.cathode);
      circuit.diodes.push_back(item);
    }
    const std::vector<Volts>& volts = all.solution.point.nodes;
    for (std::size_t k = 1; k < all.network.nodes.size(); ++k) names.push_back(all.network.nodes[k].name);
    if (point.nodes.empty()) point.nodes.push_back({});
    point.nodes.insert(point.nodes.end(), volts.begin() + 1, volts.end());
    circuit.node_count += other.node_count - 1;
  }
};

struct Agreement {
  std::size_t faults = 0;
  std::size_t volts = 0;
  std::size_t undecided = 0;
  double worst = 0.0;  // in tolerances: 1e-6 of the value, or 0.1 uV
};

// Where insulation alone holds a part of the loom, ngspice's own answer depends on how the same circuit is
// written; ours must then be about as near to the one as the other is.
void compare(Side& side, Agreement& agreement, const std::string& where) {
  const std::string deck = netlist(side.circuit, &side.point);
  const std::uint32_t count = side.circuit.node_count;
  const std::vector<double> theirs =
      reference::ngspice_volts(reference::without_high_conductances(deck), count);
  ASSERT_EQ(theirs.size(), count) << where;
  std::vector<double> plain;
  for (std::size_t k = 1; k < count; ++k) {
    const double ours = side.point.nodes[k].si;
    const double tolerance = std::max(1e-7, 1e-6 * std::abs(theirs[k]));
    const double apart = std::abs(ours - theirs[k]);
    ++agreement.volts;
    if (apart <= tolerance) {
      agreement.worst = std::max(agreement.worst, apart / tolerance);
      continue;
    }
    if (plain.empty()) plain = reference::ngspice_volts(deck, count);
    ++agreement.undecided;
    ASSERT_EQ(plain.size(), count) << where;
    EXPECT_LE(apart, 2.0 * std::abs(plain[k] - theirs[k]))
        << where << ", " << side.names[k] << ": " << ours << " and " << theirs[k];
  }
  side = {};
}

TEST(FaultChanges, EveryFaultAgreesWithNgspice) {
  if (!reference::have_ngspice()) GTEST_SKIP() << "ngspice is not installed";
  Agreement agreement;
  constexpr std::size_t every = 4;  // all of them take two minutes more
  std::size_t met = 0;
  const auto compare_all = [&](const Graft& graft, const Condition& condition, const std::string& where) {
    const Case all(graft, condition);
    Side side;
    for (std::size_t k = 0; k < all.faults.size(); ++k) {
      if (all.changes[k].empty() || ++met % every != 0) continue;
      side.add(solved(all.network, all.changes[k]));
      ++agreement.faults;
      if (side.circuit.node_count > most_nodes) compare(side, agreement, where);
    }
    compare(side, agreement, where);
  };
  for (int seed = 0; seed < samples::rounds(grafts); ++seed) {
    const DrawnLoom loom = drawn_graft(seed);
    Condition condition = loom.condition;
    if (seed % 5 == 1) condition.unplugged = {"X1"};
    if (seed % 5 == 2) condition.unplugged = {"C1"};
    compare_all(loom.graft, condition, "seed " + std::to_string(seed));
  }
  compare_all(shielded_sensor(), {}, "a shielded sensor");
  EXPECT_GE(agreement.faults, samples::rounds(500U));
  EXPECT_LE(agreement.undecided, agreement.volts / 500);
  std::printf("%zu faults, %zu volts; worst %.3f of the tolerance; %zu volts beyond it and undecided\n",
              agreement.faults, agreement.volts, agreement.worst, agreement.undecided);
}

}  // namespace
}  // namespace loomgraft::network_faults_test
