// The rows of one recognised pin table, as pins.
//
// Model   one row gives a pin for each cavity it names; with several products side by side, one for each
//         product; a row of a cable gives a pin at either end, each with the other as its far end
// Needs   a plan whose is_pin_table is true, made for the same table
// Gives   pins in the order of the rows, colours not yet read (see `colours`); every row with text is either
//         a pin or a Problem with its line
// Cost    linear; each distinct signal text is normalised once
#pragma once

#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "gather/column_roles.h"
#include "gather/read_tables.h"
#include "gather/signal_cell.h"
#include "text/signal.h"

namespace loomgraft::gather {

// A distinct signal text, split and normalised.
struct SignalReading {
  SignalCell cell;
  SignalName name;
};

// Readings by text. The texts must outlive it.
class SignalMemory {
 public:
  const SignalReading& read(std::string_view text);

 private:
  std::unordered_map<std::string_view, SignalReading> readings_;
};

struct ColourToRead {
  std::size_t module = 0;  // index into ReadRows::modules
  std::size_t pin = 0;
  const Cell* cell = nullptr;
};

struct ModuleRows {
  std::string name;  // the product's, empty where the table has no products side by side
  std::vector<TablePin> pins;
};

struct ReadRows {
  std::vector<ModuleRows> modules;
  std::vector<ColourToRead> colours;
  std::vector<std::pair<std::string, std::string>>
      parts;  // connector name -> housing part number from a head
  Problems problems;
};

struct RowContext {
  std::string file;
  std::string connector;  // named by the heading, empty where none is
  const std::vector<std::pair<std::string, PinClass>>* types = nullptr;  // rules, see ReadOptions
  std::size_t most_pins = static_cast<std::size_t>(-1);                  // reading stops behind so many
};

ReadRows read_rows(const Table& table, const ColumnPlan& plan, const RowContext& context,
                   SignalMemory& memory);

}  // namespace loomgraft::gather
