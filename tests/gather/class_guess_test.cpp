// The type of a pin from words, columns and remarks, with the grounds.
#include "gather/class_guess.h"

#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "gather/read_tables.h"
#include "standards/dictionary.h"

namespace loomgraft::class_guess_test {
namespace {

using gather::ClassClues;
using gather::ClassGuess;
using gather::guess_class;

struct Row {
  const char* type;
  const char* signal;
  PinClass expected;
};

ClassGuess guess(const std::string& type, const std::string& signal, const std::string& note = "") {
  const std::string hint = term_dictionary().normalise(signal).class_hint;
  ClassClues clues;
  clues.type = type;
  clues.hint = hint;
  clues.signal = signal;
  clues.note = note;
  return guess_class(clues);
}

TEST(ClassGuess, WordsOfTheSignalAndOfATypeColumn) {
  const std::vector<Row> rows{
      // A coil's trigger has a number or a cylinder; a feed says feed.
      {"", "Ignition 3", PinClass::ignition_trigger},
      {"", "IGN2", PinClass::ignition_trigger},
      {"ls", "Ignition cylinder 12", PinClass::ignition_trigger},
      {"", "Ignition 2 feed", PinClass::supply_15},
      {"", "Ignition", PinClass::supply_15},
      // A direction goes before volts.
      {"AIN (5V)", "Analog input 1", PinClass::voltage_input},
      {"DIN (24V)", "Digital input 1", PinClass::switch_to_supply_input},
      {"Power Out (24V)", "Power output 1", PinClass::supply_output},
      {"5V", "Sensor supply", PinClass::reference_5v},
      {"12v", "Battery Switched Supply", PinClass::supply_15},
      // Words of the signal outrank a coarse type.
      {"switch", "CAN LOW", PinClass::can_low},
      {"switch", "DBW+", PinClass::push_pull},
      {"gnd", "TMOT, TPS sensor analog GND", PinClass::sensor_earth},
      {"outputs", "Injector #3", PinClass::injector},
      {"", "LSU Heater +", PinClass::supply_output},
      {"", "LSU Heater -", PinClass::low_side_driver},
      {"", "Knock Sensor (+) Analog Input", PinClass::knock},
      {"analog_inputs", "Engine coolant temperature analog input", PinClass::thermistor_input},
      {"event_inputs", "Vehicle speed sensor digital input", PinClass::digital_sensor_input},
      {"", "EV-CAN high", PinClass::can_high},
      {"", "+12 V DC when vehicle powered on", PinClass::supply_15},
      // Windows and switches are neither shields nor earths.
      {"", "heated screen relay drive", PinClass::low_side_driver},
      {"", "hazard switch to gnd", PinClass::switch_to_earth_input},
      {"", "CAN screen", PinClass::shield},
      {"", "connected to ground", PinClass::power_earth},
  };
  for (const Row& row : rows)
    EXPECT_EQ(name_of(guess(row.type, row.signal).pin_class), name_of(row.expected))
        << row.type << " | " << row.signal;
}

TEST(ClassGuess, RemarksDecideBetweenStages) {
  EXPECT_EQ(guess("outputs", "Engine speed signal output", "push-pull").pin_class, PinClass::push_pull);
  EXPECT_EQ(guess("", "Solenoid B2 output", "push-pull").pin_class, PinClass::push_pull);
}

TEST(ClassGuess, ActivationAndFarEndSpeakWhereTheNameIsSilent) {
  ClassClues output;
  output.type = "Output";
  output.activation = "+12V";
  EXPECT_EQ(guess_class(output).pin_class, PinClass::high_side_driver);
  ClassClues input;
  input.type = "Switch input";
  input.activation = "+12V";
  EXPECT_EQ(guess_class(input).pin_class, PinClass::switch_to_supply_input);
  ClassClues unnamed;
  unnamed.far_end = "Horn relay";
  EXPECT_EQ(guess_class(unnamed).pin_class, PinClass::low_side_driver);
  EXPECT_EQ(guess_class({}).pin_class, PinClass::unknown);
  EXPECT_EQ(guess_class({}).grounds, "");
}

TEST(ClassGuess, GroundsNameTheWordsAndContradictionsAreDoubts) {
  EXPECT_EQ(guess("ls", "Fuel pump relay").grounds, "type \"ls\"");
  EXPECT_EQ(guess("", "Fuel pump relay").grounds, "signal \"Fuel pump relay\"");
  EXPECT_EQ(guess("ls", "Fuel pump relay").contradiction, "");
  EXPECT_NE(guess("battery", "Sensor ground").contradiction, "");
  const auto report = read_tables("Pin,Type,Signal\n1,ls,Horn relay\n2,battery,Sensor ground\n", "t.csv");
  EXPECT_EQ(report.tables[0].pins[0].class_grounds, "type \"ls\"");
  EXPECT_FALSE(report.tables[0].pins[1].doubts.empty());
}

}  // namespace
}  // namespace loomgraft::class_guess_test
