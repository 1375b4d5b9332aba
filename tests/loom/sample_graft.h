// A document in which every member of every struct holds something: what a reader, a writer or the schema
// forgets shows.
#pragma once

#include "loom/graft.h"

namespace loomgraft {

inline Graft sample_graft() {
  Graft g;
  g.title = "A lamp for the rear ladder";
  g.vehicle = {"Harrow 35", Volts{24.0}, "EU", "1999", "manual", "OBD-I", "lorry"};
  g.job = {"A. Farmer", "417", "HR 35", "HARROW00000000001", "M.", "2026-03-02", "second visit"};
  g.sources = {{"manual", "Workshop manual, sheet 12", SourceKind::manual, 2.0, "EU", "G2", "1998-2001"}};
  Connector c;
  c.id = "ecu.C1";
  c.name = "C1";
  c.place = "cab";
  c.part = "P-100";
  c.housing_colour = "GY";
  c.view = View::mating;
  c.latch = Side::top;
  c.keying = "rib below cavity 3";
  c.origin = "cavity 1 at the latch, left";
  c.sealed = true;
  c.rows_guessed = true;
  c.mates = "ecu.C1";
  c.rows = {{{"1", "", "2"}, millimetres(3.0), millimetres(2.5), millimetres(2.54), millimetres(0.64)}};
  g.connectors = {c};
  Pin pin;
  pin.at = {"ecu.C1", "1"};
  pin.signal = "Ladder lamp";
  pin.term = "LAMP";
  pin.pin_class = PinClass::high_side_driver;
  pin.colour = {"YE", "BU", "Y/L"};
  pin.note = "through the rear plug";
  pin.far_end = "lamp";
  pin.populated = false;
  pin.hardware = true;
  pin.software = false;
  pin.bias = "none";
  pin.limits = {Amperes{2.0}, Volts{40.0}, millijoules(50)};
  pin.forbidden = true;
  pin.claims = {{"manual", 12, 3, "Ladder lamp", PinClass::high_side_driver, {"YE", "BU", "Y/L"}, true}};
  pin.doubts = {"the colour column is smudged"};
  Module m;
  m.id = "ecu";
  m.name = "Body controller";
  m.role = ModuleRole::found;
  m.tags = {"G2", "OBD-I", "1998-2001", "EU", "manual", "B-77"};
  m.connectors = {"ecu.C1"};
  m.pins = {pin};
  m.legend = {"CAN2: body"};
  m.rated = Volts{24.0};
  g.modules = {m};
  g.shared_circuits = {{"Engine speed", "gearbox"}};
  Module other;
  other.id = "spare";
  other.role = ModuleRole::donor;
  other.connectors = {"ecu.C1"};
  other.pins.resize(1);
  other.pins[0].at = {"ecu.C1", "2"};
  g.modules.push_back(other);
  g.safety_answers = {{"s1",
                       SafetySubject::device,
                       {"lamp", "a"},
                       "Ladder lamp",
                       true,
                       "M.",
                       "2026-03-02T08:00:00Z",
                       "seen"}};
  g.circuit_answers = {{"a1", {"ecu.C1", "1"}, {"ecu.C1", "2"}, true}};
  g.devices = {{"lamp",
                "Ladder lamp",
                "lamp",
                "LAMP-21W",
                {"58", "31"},
                Ohms{6.9},
                Henries{0.001},
                Amperes{1.75},
                Amperes{1.7},
                Volts{8.0},
                Volts{2.0},
                true,
                Volts{24.0},
                Volts{60.0},
                "diode",
                "rear",
                "hs_lamp",
                true,
                true}};
  Wire wire;
  wire.id = "w1";
  wire.signal = "Ladder lamp";
  wire.from = {"ecu.C1", "1"};
  wire.to = {"lamp", "58"};
  wire.colour = {"YE", "BU", ""};
  wire.area = square_millimetres(0.75);
  wire.length = millimetres(4200);
  wire.insulation = "class B";
  wire.along = {"sill"};
  wire.twist = "ladder pair";
  wire.guessed = true;
  g.wires = {wire};
  g.places = {{"cab", "Cab", Celsius{85}, false, false, {}, 0.25, 0.5},
              {"rear", "Rear frame", Celsius{60}, true, true, Seconds{900}, 0.9, 0.5}};
  g.paths = {{"sill", "cab", "rear", millimetres(3800), millimetres(3000), millimetres(5000), Celsius{70},
              millimetres(25), "sharp edge"}};
  Wire added = wire;
  added.id = "w2";
  added.from = {"ecu.C1", "2"};
  g.plan = {{PlanAction::add, "", {}, {}, added, "second lamp"},
            {PlanAction::retire, "w1", {}, {}, std::nullopt, "not needed"}};
  g.rules = {"passenger_vehicle", {{"drop_earth_v", 0.05, "the sensor is fussy"}}};
  g.conditions = {{"ladder out",
                   true,
                   KeyPosition::off,
                   Volts{23.0},
                   Celsius{-10},
                   {"lamp"},
                   {{"ecu.C1", "1"}},
                   {"ecu.C1"},
                   {"lamp"}}};
  g.readings = {{"r1", "t1", 0.15, "ohm", "bench", "2026-03-01T10:00:00Z", true, true}};
  return g;
}

// The same with a reading that was measured: files keep none of practice.
inline Graft measured_sample_graft() {
  Graft g = sample_graft();
  g.readings[0].practice = false;
  return g;
}

}  // namespace loomgraft
