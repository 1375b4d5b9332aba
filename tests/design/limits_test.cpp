// What a design must not let pass: leads ahead of fuses, sources at both ends, hot ends, fuses of other families, inrush,
// terminals, missing facts. Figures with a source where there is one.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "design/design.h"
#include "network/loom_network.h"
#include "network/netlist.h"
#include "standards/fuses.h"
#include "standards/network_figures.h"
#include "tests/design/report_queries.h"
#include "tests/design/small_loom.h"
#include "tests/network/ngspice.h"

namespace loomgraft::design_limits_test {
namespace {

using samples::check_of;
using samples::wire_of;

const FuseDesign* fuse_of(const DesignReport& report, const std::string& id) {
  for (const CircuitDesign& circuit : report.circuits) {
    for (const FuseDesign& fuse : circuit.fuses) {
      if (fuse.device == id) return &fuse;
    }
  }
  return nullptr;
}

Device placed(Device item, const std::string& place) {
  item.place = place;
  return item;
}

LoomPlace place(const std::string& id, double hottest) {
  LoomPlace item;
  item.id = id;
  item.hottest = Celsius{hottest};
  return item;
}

Wire sized(Wire item, double mm2, const std::string& insulation = "class B") {
  item.area = square_millimetres(mm2);
  item.insulation = insulation;
  return item;
}

// A battery with an earth, and a heater behind a fuse: lead, out, back.
Graft heater_loom(double ohms, double fuse_a) {
  Graft graft;
  graft.devices = {device("B", "battery"), device("G1", "earth"), placed(device("F1", "fuse"), "here"),
                   placed(device("E1", "heater"), "here"), placed(device("G2", "earth"), "here")};
  if (fuse_a > 0) graft.devices[2].rating = Amperes{fuse_a};
  graft.devices[3].resistance = Ohms{ohms};
  graft.places = {place("here", 60)};
  graft.wires = {sized(wire("w1", {"B", "-"}, {"G1", "1"}, 0.5), 35)};
  Wire lead = wire("lead", {"B", "+"}, {"F1", "1"}, 0.15);
  lead.insulation = "class B";
  graft.plan = {adding(lead), adding(sized(wire("out", {"F1", "2"}, {"E1", "1"}, 1.0), 6)),
                adding(sized(wire("back", {"E1", "2"}, {"G2", "1"}, 0.3), 6))};
  return graft;
}

// A fuse need not open below 1.35 times its rating (TE Power Relay B datasheet quotes ISO 8820-3): 40.5 A of a 30 A one.
TEST(Limits, ALeadCarriesForGoodWhatItsFuseLetsThrough) {
  const DesignReport report = design_circuits(heater_loom(3.0, 30));
  const Check* lead = check_of(report, CheckKind::lead_current, "lead");
  ASSERT_TRUE(lead);
  EXPECT_NEAR(lead->limit, 40.5, 1e-9);
  EXPECT_GE(in_square_millimetres(wire_of(report, "lead")->smallest), 2.5);
  Graft thin = heater_loom(3.0, 30);
  thin.plan[0].added->area = square_millimetres(0.5);
  const DesignReport failing = design_circuits(thin);
  EXPECT_FALSE(check_of(failing, CheckKind::lead_current, "lead")->passes);
  EXPECT_FALSE(failing.passes);
}

TEST(Limits, ALeadOverAJointIsALeadToo) {
  Graft graft = heater_loom(3.0, 30);
  graft.devices.push_back(device("J", "splice"));
  graft.plan[0].added->to = {"J", "1"};
  graft.plan.push_back(adding(wire("lead2", {"J", "1"}, {"F1", "1"}, 0.05)));
  const DesignReport report = design_circuits(graft);
  for (const char* id : {"lead", "lead2"}) {
    ASSERT_TRUE(check_of(report, CheckKind::lead_current, id)) << id;
    EXPECT_NEAR(check_of(report, CheckKind::lead_current, id)->limit, 40.5, 1e-9) << id;
  }
}

TEST(Limits, AShortWireBehindAFuseIsNoLead) {
  Graft graft = heater_loom(3.0, 30);
  graft.plan[1].added->length = Metres{0.1};
  graft.plan[1].added->area = square_millimetres(0.5);
  const DesignReport report = design_circuits(graft);
  EXPECT_FALSE(check_of(report, CheckKind::lead_current, "out"));
  ASSERT_TRUE(check_of(report, CheckKind::protection, "out"));
  EXPECT_FALSE(check_of(report, CheckKind::protection, "out")->passes);
}

Graft alternator_loom(double amperes) {
  Graft graft = heater_loom(3.0, 30);
  graft.devices.push_back(placed(device("ALT", "alternator"), "here"));
  graft.devices.back().rating = Amperes{amperes};
  graft.plan = {adding(sized(wire("x1", {"B", "+"}, {"F1", "1"}, 0.1), 25, "class D")),
                adding(sized(wire("x2", {"F1", "2"}, {"ALT", "B+"}, 2.5), 25, "class D"))};
  return graft;
}

TEST(Limits, AnAlternatorGivesItsWholeCurrent) {
  const DesignReport report = design_circuits(alternator_loom(150));
  const FuseDesign* fuse = fuse_of(report, "F1");
  ASSERT_TRUE(fuse);
  EXPECT_NEAR(fuse->load.si, 150, 0.5);
  EXPECT_FALSE(check_of(report, CheckKind::fuse_load, "F1")->passes);
  EXPECT_NEAR(wire_of(report, "x2")->current.si, 150, 0.5);
  // The end at the fuse is fed by the alternator through no fuse at all.
  ASSERT_TRUE(check_of(report, CheckKind::lead_current, "x2"));
  Graft thin = alternator_loom(150);
  thin.plan[1].added->area = square_millimetres(4);
  const DesignReport failing = design_circuits(thin);
  ASSERT_TRUE(check_of(failing, CheckKind::protection, "x2"));
  EXPECT_FALSE(check_of(failing, CheckKind::protection, "x2")->passes);
}

// Two batteries, a fuse at each, and a wire between the fuses: a short at either end is fed through the other's fuse.
Graft two_batteries() {
  Graft graft = heater_loom(3.0, 50);
  graft.devices.push_back(device("B2", "battery"));
  graft.devices.push_back(placed(device("F2", "fuse"), "here"));
  graft.devices[2].model = graft.devices.back().model = "maxi blade";
  graft.devices.back().rating = Amperes{60};
  graft.wires.push_back(sized(wire("w2", {"B2", "-"}, {"G1", "1"}, 0.5), 35));
  graft.plan = {adding(sized(wire("a", {"B", "+"}, {"F1", "1"}, 0.1), 16)),
                adding(sized(wire("x", {"F1", "2"}, {"F2", "1"}, 4.0), 16)),
                adding(sized(wire("b", {"F2", "2"}, {"B2", "+"}, 0.1), 16))};
  return graft;
}

TEST(Limits, AShortIsFedFromBothEndsAsNgspiceSolvesIt) {
  if (!reference::have_ngspice()) GTEST_SKIP() << "ngspice is not installed";
  const Graft graft = two_batteries();
  const DesignReport report = design_circuits(graft, {false, true, false});
  const WireDesign* x = wire_of(report, "x");
  ASSERT_TRUE(x && x->protection);
  Condition condition;
  LoomNetwork network = network_of(graft, condition, {LoomState::as_planned, Corner::strongest});
  ASSERT_TRUE(solve(network));
  double greatest = 0.0;
  for (const WireEnd& end : {WireEnd{"F1", "2"}, WireEnd{"F2", "1"}}) {
    LoomNetwork shorted = network;
    const NodeId at = *node_at(network, end);
    // The shape of the network with its short, in the last resistor.
    shorted.circuit.resistors.push_back({at, earth_node, {default_figure("dead_short_ohm")}});
    shorted.branches.push_back({BranchKind::meter, "short", "short", at, earth_node, ElementList::resistor,
                                shorted.circuit.resistors.size() - 1, std::nullopt, std::nullopt});
    const auto solution = solve(shorted);
    ASSERT_TRUE(solution);
    const auto volts = reference::ngspice_volts(netlist(shorted, &solution->point),
                                                static_cast<std::uint32_t>(shorted.nodes.size()));
    ASSERT_EQ(volts.size(), shorted.nodes.size());
    for (const NetworkBranch& branch : network.branches) {
      if (branch.kind != BranchKind::wire || branch.subject != "x") continue;
      const double ohms = network.circuit.resistors[branch.index].resistance.si;
      greatest = std::max(greatest, std::abs(volts[branch.a.value] - volts[branch.b.value]) / ohms);
    }
  }
  EXPECT_NEAR(x->protection->question.dead_short.si / greatest, 1.0, 0.02);
  for (const char* id : {"a", "b"}) EXPECT_TRUE(check_of(report, CheckKind::lead_current, id)) << id;
}

TEST(Limits, TheHottestPlaceOnTheWayCounts) {
  Graft graft = heater_loom(1.5, 15);
  graft.places = {place("here", 40), place("engine", 120)};
  graft.devices[3].place = "engine";
  graft.plan[1].added->area = square_millimetres(1);
  const double without = wire_of(design_circuits(graft), "out")->conductor.degrees;
  LoomPath path;
  path.id = "r1";
  path.from = "here";
  path.to = "engine";
  path.hottest = Celsius{40};
  graft.paths = {path};
  graft.plan[1].added->along = {"r1"};
  const double with = wire_of(design_circuits(graft), "out")->conductor.degrees;
  EXPECT_GT(without, 120);
  EXPECT_GE(with, without - 0.01);
}

TEST(Limits, AFuseIsChosenAcrossFamilies) {
  const DesignReport report = design_circuits(heater_loom(0.22, 0));
  const FuseDesign* fuse = fuse_of(report, "F1");
  ASSERT_TRUE(fuse && fuse->smallest && fuse->family);
  EXPECT_GE(*fuse->smallest, fuse->needed);
  EXPECT_EQ(fuse->family->name, "small bolt-down");
  const DesignReport huge = design_circuits(heater_loom(0.02, 0));
  ASSERT_TRUE(fuse_of(huge, "F1"));
  EXPECT_FALSE(fuse_of(huge, "F1")->smallest);
  EXPECT_FALSE(check_of(huge, CheckKind::fuse_load, "F1")->passes);
}

TEST(Limits, AFuseInAHotPlaceCarriesLess) {
  Graft graft = heater_loom(3.0, 10);
  const double at_60 = check_of(design_circuits(graft), CheckKind::fuse_load, "F1")->limit;
  graft.places = {place("here", 85)};
  const double at_85 = check_of(design_circuits(graft), CheckKind::fuse_load, "F1")->limit;
  // 0.2 % for each degree above 25 C (fuse derating guide, interfacebus.com): 0.88 against 0.93.
  EXPECT_NEAR(at_85 / at_60, 0.88 / 0.93, 1e-9);
}

// A blade fuse interrupts 1000 A (ISO 8820-3:2015, scope).
TEST(Limits, ABladeFuseAtABatteryMayNotInterruptItsShort) {
  Graft graft = heater_loom(3.0, 30);
  graft.devices[0].resistance = Ohms{0.001};
  graft.plan[0].added->area = square_millimetres(25);
  const DesignReport report = design_circuits(graft);
  const Check* breaking = check_of(report, CheckKind::fuse_breaking, "F1");
  ASSERT_TRUE(breaking);
  EXPECT_EQ(breaking->limit, 1000);
  EXPECT_FALSE(breaking->passes);
  EXPECT_TRUE(breaking->judged);
}

TEST(Limits, ALinkIsNotJudgedAsABladeFuse) {
  Graft graft = heater_loom(0.5, 80);
  graft.devices[2].kind = "fusible_link";
  const DesignReport report = design_circuits(graft);
  const FuseDesign* link = fuse_of(report, "F1");
  ASSERT_TRUE(link && link->family);
  EXPECT_EQ(link->family->name, "fusible link");
  EXPECT_TRUE(link->family_assumed);
  ASSERT_TRUE(check_of(report, CheckKind::protection, "out"));
  EXPECT_TRUE(check_of(report, CheckKind::protection, "out")->assumed);
}

// A pull-up's wire behind a fuse of 20 A: what flows in a short is milliamperes.
TEST(Limits, AFuseJudgesAWireOnlyByWhatFlowsThroughIt) {
  Graft graft = small_loom({12.0, 3.0, 20.0});
  graft.devices.push_back(device("R1", "resistor"));
  graft.devices.back().resistance = Ohms{1000};
  graft.modules[0].pins.push_back(module_pin("5", "signal", PinClass::voltage_input));
  graft.plan.push_back(adding(wire("pull", {"F1", "2"}, {"R1", "1"}, 0.3)));
  graft.plan.push_back(adding(wire("signal", {"R1", "2"}, {"box.C1", "5"}, 3.0)));
  const DesignReport report = design_circuits(graft);
  EXPECT_LE(in_square_millimetres(wire_of(report, "signal")->smallest), 0.5);
  EXPECT_GT(in_square_millimetres(wire_of(report, "pull")->smallest), 0.5);
}

Graft driven(const Device& load) {
  Graft graft = small_loom();
  graft.modules[0].pins[1].pin_class = PinClass::high_side_driver;
  graft.devices.push_back(load);
  graft.devices.push_back(device("G9", "earth"));
  graft.plan = {adding(wire("drive", {"box.C1", "2"}, {load.id, "1"}, 1.0)),
                adding(wire("home", {load.id, "2"}, {"G9", "1"}, 0.5))};
  return graft;
}

// A filament lamp draws 10 to 15 times its current when cold (eapc-lheureux-44.fr; elesa.com, lamp load).
TEST(Limits, AColdLampAndAStandingMotorAreJudgedAtTheOutput) {
  Device lamp = device("H1", "lamp");
  lamp.model = "lamp 12 V 10 W";
  const DesignReport lit = design_circuits(driven(lamp));
  const Check* cold = check_of(lit, CheckKind::driver_inrush, "box.C1:2");
  ASSERT_TRUE(cold);
  EXPECT_GT(cold->value, 10 * 10.0 / 12);
  EXPECT_LT(cold->value, 15 * 14.8 / 12);
  EXPECT_FALSE(cold->passes);
  EXPECT_TRUE(cold->judged);
  Device motor = device("M1", "motor");
  motor.current = Amperes{1.0};
  const DesignReport turning = design_circuits(driven(motor));
  const Check* standing = check_of(turning, CheckKind::driver_inrush, "box.C1:2");
  ASSERT_TRUE(standing);
  EXPECT_NEAR(standing->value, 5.0, 1e-9);
  EXPECT_FALSE(standing->passes);
}

TEST(Limits, ATerminalCarriesWhatItsWidthAllows) {
  Device heater = device("E1", "heater");
  heater.resistance = Ohms{1.6};
  Graft graft = driven(heater);
  graft.connectors[0].view = View::wire_entry;
  CavityRow row;
  for (const char* cavity : {"1", "2", "3"}) row.cavities.push_back(cavity);
  row.terminal_width = Metres{0.00064};
  graft.connectors[0].rows = {row};
  graft.plan[0].added->area = square_millimetres(0.75);
  const DesignReport report = design_circuits(graft);
  const Check* terminal = check_of(report, CheckKind::terminal_current, "drive");
  ASSERT_TRUE(terminal);
  EXPECT_GT(terminal->value, 7.0);  // what a fresh one carries, from memory
  EXPECT_FALSE(terminal->passes);
  EXPECT_TRUE(terminal->judged);
}

// With the coil's resistance, against the integral of Vc i over the decay, by steps.
TEST(Limits, AClampTakesTheEnergyOfTheCoilAndOfTheSupply) {
  Graft graft = small_loom();
  graft.devices[3].inductance = Henries{0.02};
  const DesignReport report = design_circuits(graft);
  const Check* clamp = check_of(report, CheckKind::clamp_energy, "box.C1:2");
  const Check* driver = check_of(report, CheckKind::driver_current, "box.C1:2");
  ASSERT_TRUE(clamp && driver);
  const double volts = 45.0;  // data/pin_limits.csv: low-side driver, 12 V
  const double supply = 14.8;
  double amperes = driver->value;
  double joules = 0.0;
  for (const double step = 1e-8; amperes > 0.0;) {
    joules += volts * amperes * step;
    amperes += step * (supply - volts - 12.0 * amperes) / 0.02;
  }
  EXPECT_NEAR(clamp->value * 1e-3, joules, 0.01 * joules);
}

TEST(Limits, NothingPassesWithAValueThatIsWrong) {
  Graft graft = heater_loom(-2.0, 10);
  const DesignReport report = design_circuits(graft);
  EXPECT_FALSE(report.passes);
  for (const CircuitDesign& circuit : report.circuits) {
    EXPECT_FALSE(circuit.passes) << circuit.id;
    EXPECT_FALSE(circuit.judged) << circuit.id;
  }
}

std::set<MissingFact> missing_in(const Graft& graft) {
  std::set<MissingFact> facts;
  for (const CircuitDesign& circuit : design_circuits(graft).circuits) {
    if (circuit.missing.empty()) continue;
    EXPECT_FALSE(circuit.passes);
    EXPECT_FALSE(circuit.judged);
    for (const Missing& item : circuit.missing) facts.insert(item.fact);
  }
  return facts;
}

TEST(Limits, MissingFactsAreNoGreenPass) {
  Graft length = heater_loom(3.0, 10);
  length.plan[1].added->length.reset();
  for (Device& device : length.devices) device.place.clear();
  EXPECT_TRUE(missing_in(length).contains(MissingFact::length));
  Graft load = heater_loom(3.0, 10);
  load.devices[3].resistance.reset();
  EXPECT_TRUE(missing_in(load).contains(MissingFact::load));
  Graft end = heater_loom(3.0, 10);
  end.plan[2].added->to = {};
  EXPECT_TRUE(missing_in(end).contains(MissingFact::end));
  EXPECT_TRUE(missing_in(heater_loom(3.0, 10)).empty());
}

TEST(Limits, ListsWhatItTakesForGranted) {
  Graft graft = small_loom();
  const DesignReport report = design_circuits(graft);
  const auto has = [&](const char* subject, const char* quantity) {
    return std::ranges::any_of(report.assumptions, [&](const Assumption& item) {
      return item.subject == subject && item.quantity == quantity;
    });
  };
  EXPECT_TRUE(has("vehicle", "supply"));
  EXPECT_TRUE(has("battery", "resistance"));
  EXPECT_TRUE(has("box", "resistance"));
  EXPECT_TRUE(has("feed", "air"));
  EXPECT_TRUE(has("feed", "insulation"));
  EXPECT_TRUE(has("F1", "family"));
}

// ISO 16750-2:2010, supply codes (text reproduced at 360docs.net): A is 6 to 16 V, E is 10 to 32 V.
TEST(Limits, SuppliesLieWithinTheWidestCodesOfIso16750) {
  EXPECT_LE(network_figure("running_v", SystemVolts::nominal_12).high(), 16.0);
  EXPECT_GE(network_figure("cranking_v", SystemVolts::nominal_12).low(), 6.0);
  EXPECT_LE(network_figure("running_v", SystemVolts::nominal_24).high(), 32.0);
  EXPECT_GE(network_figure("cranking_v", SystemVolts::nominal_24).low(), 10.0);
}

TEST(Limits, ColdResistanceIsOfTheFamily) {
  const FamilyOfFuse maxi = family_of_fuse("maxi", false, Amperes{80});
  ASSERT_TRUE(maxi.family);
  EXPECT_FALSE(maxi.assumed);
  EXPECT_NEAR(cold_resistance(*maxi.family, Amperes{80}).si, 0.58e-3, 1e-9);
  const FamilyOfFuse by_rating = family_of_fuse("", false, Amperes{80});
  EXPECT_TRUE(by_rating.assumed);
  EXPECT_EQ(by_rating.family, maxi.family);
}

}  // namespace
}  // namespace loomgraft::design_limits_test
