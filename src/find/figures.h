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
  double gross_misread = 0.0;
  double gross_again = 0.0;
  double small_misread = 0.0;
  double touch_ohm = 0.0;
  double digit_share = 0.0;
  double sound_at_most = 0.0;
  double most_repeats = 0.0;
  double symptom_wrong = 0.0;
  double symptom_stops = 0.0;
  double symptom_weak = 0.0;
  double symptom_runs = 0.0;
  double worth = 0.0;
};

const FindFigures& find_figures();

}  // namespace loomgraft::find
