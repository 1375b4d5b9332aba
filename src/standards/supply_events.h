// What a vehicle's supply does beyond its working volts: load dump, jump start, reversed battery, starting, pulses
// (data/supply_events.csv, after ISO 16750-2 and ISO 7637-2).
//
// Model   one row for each event, level and quantity of a 12 V or 24 V system. Several sources may state one row: those that
//         were looked up stand first
// Gives   volts with their source and status; the resistance of the source where a pulse has one
// Fails   supply_event() for a row that the table lacks is a bug: std::logic_error
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "standards/figure.h"
#include "standards/pin_states.h"

namespace loomgraft {

struct SupplyEvent {
  std::string event;     // "load_dump", "load_dump_clamped", "jump_start", "reversed", "pulse_1" ...
  std::string level;     // test, code or severity: "A", "II"
  std::string quantity;  // "peak", "clamped", "supply", "lowest", "highest", "deepest", "plateau" ...
  SystemVolts system = SystemVolts::nominal_12;
  Figure volts;
  std::optional<Ohms>
      lowest_resistance;  // of the source of a pulse; the highest volts go with the highest resistance
  std::optional<Ohms> highest_resistance;
  std::string duration;
  std::string standard;
};

std::span<const SupplyEvent> supply_events();

// The first row of an event and a quantity, of any level where that is empty.
const SupplyEvent& supply_event(std::string_view event, std::string_view quantity, SystemVolts system,
                                std::string_view level = {});

}  // namespace loomgraft
