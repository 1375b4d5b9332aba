#include "find/figures.h"

#include "standards/named_figures.h"

namespace loomgraft::find {
namespace {

FindFigures load() {
  const NamedFigures table("find_odds.csv", "value");
  FindFigures figures;
  figures.no_fault = table.at("no_fault");
  figures.second_fault = table.at("second_fault");
  figures.edge_of_reading = table.at("edge_of_reading");
  figures.edge_of_interval = table.at("edge_of_interval");
  figures.table_weight = table.at("table_weight");
  figures.harm_allowed = table.at("harm_allowed");
  figures.repeat_agrees = table.at("repeat_agrees");
  figures.isolated_at = table.at("isolated_at");
  figures.gross_misread = table.at("gross_misread");
  figures.gross_again = table.at("gross_again");
  figures.small_misread = table.at("small_misread");
  figures.touch_ohm = table.at("touch_ohm");
  figures.digit_share = table.at("digit_share");
  figures.sound_at_most = table.at("sound_at_most");
  figures.most_repeats = table.at("most_repeats");
  figures.symptom_wrong = table.at("symptom_wrong");
  figures.symptom_stops = table.at("symptom_stops");
  figures.symptom_weak = table.at("symptom_weak");
  figures.symptom_runs = table.at("symptom_runs");
  figures.worth = table.at("worth");
  return figures;
}

}  // namespace

const FindFigures& find_figures() {
  static const FindFigures figures = load();
  return figures;
}

}  // namespace loomgraft::find
