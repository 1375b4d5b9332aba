// Probabilities and thresholds of the search that are estimates: data/find_odds.csv.
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
  double isolated_at = 0.0;
  double misread = 0.0;
  double worth = 0.0;
};

const FindFigures& find_figures();

}  // namespace loomgraft::find
