// Which column of a table is what.
//
// Model   head words decide where they are known (data/column_heads.csv); content decides where they are not:
//         a column of "A1 A2 B7" is cavities, of "YE/BU" colours. A head may name the connector ("DB9-F"),
//         its part number ("173851-2") or the product ("GEVCU 4") instead of the quantity
// Gives   a role for each column, and whether the table is a pin table, with the reason where it is not
// Cost    linear in the cells; only the first few hundred rows are examined
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "tables/table.h"

namespace loomgraft::gather {

enum class ColumnRole {
  unknown,
  cavity,
  connector,
  signal,
  description,  // another description of the signal
  colour,
  note,
  pin_class,
  direction,
  far_end,
  activation,  // which way an output pulls or a switch leads: "ground when on"
  label,       // the name a tuning program shows; may repeat the cavity
  module,      // one of several products side by side
  ignore,
  part,
  other,  // a quantity that pin tables do not have: blink counts, fuses, settings
};

struct ColumnPlan {
  std::vector<ColumnRole> roles;
  std::vector<std::size_t>
      cavities;  // cavity columns: two or more are the ends of one cable, or several products
  std::vector<std::size_t> modules;          // columns of role `module`
  std::optional<std::size_t> colour_chosen;  // where the table has several columns of colours
  bool cavity_per_product = false;           // every cavity column is one product's, the signals stand beside
  bool is_pin_table = false;
  bool doubtful = false;  // read as a pin table although nothing says that it is one
  std::string reason;     // why it is not a pin table, or doubtful
};

using ColumnChoice = std::vector<std::pair<std::string, std::string>>;

ColumnPlan plan_columns(const Table& table, const ColumnChoice& choice);

// The first column of a role; npos where there is none.
constexpr std::size_t no_column = static_cast<std::size_t>(-1);
std::size_t column_of(const ColumnPlan& plan, ColumnRole role);

ColumnRole role_of_head(std::string_view head);

// The word by which a column choice names the role; "unknown" and "module" cannot be chosen.
std::string_view name_of(ColumnRole role);

// What a column choice calls a column: its head, or "column 3" where it has none.
std::string name_of_column(const Table& table, std::size_t column);

// Empty where the row is shorter.
const Cell& cell_at(const std::vector<Cell>& row, std::size_t column);

// "173851-2", "1-967616-1": mostly digits, at least five of them.
bool is_part_number(std::string_view text);

}  // namespace loomgraft::gather
