#include "plug/odds.h"

#include <string>

#include "base/bug.h"
#include "standards/data_cell.h"
#include "standards/named_figures.h"

namespace loomgraft::plug {
namespace {

int hue_index(std::string_view letters) {
  for (std::size_t i = 0; i < hue_count; ++i) {
    if (hue_letters[i] == letters) return static_cast<int>(i);
  }
  return -1;
}

std::size_t needed_hue(std::string_view letters) {
  const int index = hue_index(letters);
  if (index < 0) bug("colour_confusion.csv: no such colour: " + std::string(letters));
  return static_cast<std::size_t>(index);
}

// The rest of each row is seen correctly; a small share of every colour is seen as any colour.
void complete(SeeingCondition& condition, const std::array<double, hue_count>& share, double stray) {
  for (std::size_t hue = 0; hue < hue_count; ++hue) {
    double wrong = 0.0;
    for (const double p : condition.seen_as[hue]) wrong += p;
    condition.seen_as[hue][hue] = 1.0 - wrong;
    for (std::size_t seen = 0; seen < hue_count; ++seen) {
      condition.seen_as[hue][seen] = (1.0 - stray) * condition.seen_as[hue][seen] + stray * share[seen];
    }
  }
}

void read_confusion(PlugOdds& odds, const NamedFigures& named) {
  SeeingCondition& clear = odds.conditions[0];
  SeeingCondition& dirty = odds.conditions[1];
  double total = 0.0;
  const DataTable rows("colour_confusion.csv");
  const auto cell = [&](std::size_t row, std::string_view name) { return rows.at(row, rows.column(name)); };
  for (std::size_t row = 0; row < rows.rows(); ++row) {
    const std::size_t hue = needed_hue(cell(row, "colour"));
    const double p = number_cell(cell(row, "probability"));
    if (cell(row, "condition") == "share") {
      odds.hue_share[hue] = p;
      total += p;
    } else {
      (cell(row, "condition") == "dirty" ? dirty : clear).seen_as[hue][needed_hue(cell(row, "seen_as"))] = p;
    }
  }
  for (double& share : odds.hue_share) share /= total;
  complete(clear, odds.hue_share, named.at("stray_clear"));
  odds.conditions[3].seen_as = dirty.seen_as;
  complete(dirty, odds.hue_share, named.at("stray_dirty"));
  complete(odds.conditions[3], odds.hue_share, named.at("stray_bad"));
  odds.conditions[2].seen_as = clear.seen_as;
}

PlugOdds read_odds() {
  const NamedFigures named("plug_odds.csv", "value");
  PlugOdds odds;
  read_confusion(odds, named);
  constexpr std::array<std::string_view, condition_count> names{"clear", "dirty", "base_only", "bad"};
  for (std::size_t i = 0; i < condition_count; ++i) {
    odds.conditions[i].share = named.at("condition_" + std::string(names[i]));
    odds.conditions[i].tracer_unseen = named.at("tracer_unseen_" + std::string(names[i]));
  }
  odds.tracer_false = named.at("tracer_false");
  odds.tracer_untold = named.at("tracer_untold");
  odds.tracer_swapped = named.at("tracer_swapped");
  odds.tracer_share = named.at("tracer_share");
  odds.wire_other_colour = named.at("wire_other_colour");
  odds.empty_where_wire = named.at("empty_where_wire");
  odds.empty_where_populated = named.at("empty_where_populated");
  odds.empty_where_signal = named.at("empty_where_signal");
  odds.empty_undocumented = named.at("empty_undocumented");
  odds.empty_where_none = named.at("empty_where_none");
  odds.empty_in_general = named.at("empty_in_general");
  odds.wire_seen_in_empty = named.at("wire_seen_in_empty");
  odds.empty_seen_with_wire = named.at("empty_seen_with_wire");
  odds.slip = named.at("slip");
  odds.slip_column_all = named.at("slip_column_all");
  odds.slip_row_all = named.at("slip_row_all");
  odds.misplaced = named.at("misplaced");
  odds.misplaced_guessed = named.at("misplaced_guessed");
  odds.latch_right = named.at("latch_right");
  odds.latch_top = named.at("latch_top");
  odds.latch_bottom = named.at("latch_bottom");
  odds.latch_left = named.at("latch_left");
  odds.latch_right_hand = named.at("latch_right_hand");
  odds.looked_from_right = named.at("looked_from_right");
  odds.view_assumed_right = named.at("view_assumed_right");
  odds.size_mistaken = named.at("size_mistaken");
  odds.size_mistaken_alone = named.at("size_mistaken_alone");
  odds.large_from_mm = named.at("large_from_mm");
  odds.large_in_general = named.at("large_in_general");
  return odds;
}

}  // namespace

Hues hues_of(const Colour& colour) {
  if (colour.base == "GNYE") return {hue_index("GN"), hue_index("YE")};
  Hues hues{hue_index(colour.base), hue_index(colour.tracer)};
  if (hues.base < 0) hues.tracer = -1;
  return hues;
}

const PlugOdds& plug_odds() {
  static const PlugOdds odds = read_odds();
  return odds;
}

}  // namespace loomgraft::plug
