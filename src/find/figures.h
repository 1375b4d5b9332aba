// What find takes for granted where nobody counted: data/find_odds.csv.
#pragma once

namespace loomgraft::find {

struct FindFigures {
  double no_fault = 0.0;
  double second_fault = 0.0;
  double edge_of_reading = 0.0;
  double edge_of_interval = 0.0;
  double table_weight = 0.0;
  double harm_allowed = 0.0;
  double repeat_agrees = 0.0;
};

const FindFigures& find_figures();

}  // namespace loomgraft::find
