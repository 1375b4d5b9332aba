#include "plug/odds.h"

#include <charconv>
#include <stdexcept>
#include <string>
#include <vector>

#include "standards/embedded.h"

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
  if (index < 0) throw std::logic_error("colour_confusion.csv: no such colour: " + std::string(letters));
  return static_cast<std::size_t>(index);
}

// Our own files: no quotes, and commas nowhere but between cells.
std::vector<std::vector<std::string_view>> rows_of(std::string_view csv) {
  std::vector<std::vector<std::string_view>> rows;
  while (!csv.empty()) {
    std::string_view line = csv.substr(0, csv.find('\n'));
    csv.remove_prefix(std::min(line.size() + 1, csv.size()));
    std::vector<std::string_view> cells;
    for (;;) {
      const std::size_t comma = line.find(',');
      cells.push_back(line.substr(0, comma));
      if (comma == std::string_view::npos) break;
      line.remove_prefix(comma + 1);
    }
    rows.push_back(std::move(cells));
  }
  if (!rows.empty()) rows.erase(rows.begin());  // the header
  return rows;
}

double number_of(std::string_view text) {
  double value = 0.0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc{} || end != text.data() + text.size()) {
    throw std::logic_error("not a number in the plug odds: " + std::string(text));
  }
  return value;
}

class NamedOdds {
 public:
  NamedOdds() : rows_(rows_of(embedded_file("plug_odds.csv"))) {}

  double operator()(std::string_view name) const {
    for (const auto& row : rows_) {
      if (row.size() >= 2 && row[0] == name) return number_of(row[1]);
    }
    throw std::logic_error("plug_odds.csv has no row " + std::string(name));
  }

 private:
  std::vector<std::vector<std::string_view>> rows_;
};

// What the table leaves of each row is seen right; a little of everything is seen as any colour at all.
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

void read_confusion(PlugOdds& odds, const NamedOdds& named) {
  SeeingCondition& clear = odds.conditions[0];
  SeeingCondition& dirty = odds.conditions[1];
  double total = 0.0;
  for (const auto& row : rows_of(embedded_file("colour_confusion.csv"))) {
    if (row.size() < 4) continue;
    const std::size_t hue = needed_hue(row[1]);
    const double p = number_of(row[3]);
    if (row[0] == "share") {
      odds.hue_share[hue] = p;
      total += p;
    } else {
      (row[0] == "dirty" ? dirty : clear).seen_as[hue][needed_hue(row[2])] = p;
    }
  }
  for (double& share : odds.hue_share) share /= total;
  complete(clear, odds.hue_share, named("stray_clear"));
  odds.conditions[3].seen_as = dirty.seen_as;
  complete(dirty, odds.hue_share, named("stray_dirty"));
  complete(odds.conditions[3], odds.hue_share, named("stray_bad"));
  odds.conditions[2].seen_as = clear.seen_as;
}

PlugOdds read_odds() {
  const NamedOdds named;
  PlugOdds odds;
  read_confusion(odds, named);
  constexpr std::array<std::string_view, condition_count> names{"clear", "dirty", "base_only", "bad"};
  for (std::size_t i = 0; i < condition_count; ++i) {
    odds.conditions[i].share = named("condition_" + std::string(names[i]));
    odds.conditions[i].tracer_unseen = named("tracer_unseen_" + std::string(names[i]));
  }
  odds.tracer_false = named("tracer_false");
  odds.tracer_untold = named("tracer_untold");
  odds.tracer_swapped = named("tracer_swapped");
  odds.tracer_share = named("tracer_share");
  odds.wire_other_colour = named("wire_other_colour");
  odds.empty_where_wire = named("empty_where_wire");
  odds.empty_where_populated = named("empty_where_populated");
  odds.empty_where_signal = named("empty_where_signal");
  odds.empty_undocumented = named("empty_undocumented");
  odds.empty_where_none = named("empty_where_none");
  odds.empty_in_general = named("empty_in_general");
  odds.wire_seen_in_empty = named("wire_seen_in_empty");
  odds.empty_seen_with_wire = named("empty_seen_with_wire");
  odds.slip = named("slip");
  odds.slip_column_all = named("slip_column_all");
  odds.slip_row_all = named("slip_row_all");
  odds.misplaced = named("misplaced");
  odds.misplaced_guessed = named("misplaced_guessed");
  odds.latch_right = named("latch_right");
  odds.latch_top = named("latch_top");
  odds.latch_bottom = named("latch_bottom");
  odds.latch_left = named("latch_left");
  odds.latch_right_hand = named("latch_right_hand");
  odds.looked_from_right = named("looked_from_right");
  odds.view_assumed_right = named("view_assumed_right");
  odds.size_mistaken = named("size_mistaken");
  odds.size_mistaken_alone = named("size_mistaken_alone");
  odds.large_from_mm = named("large_from_mm");
  odds.large_in_general = named("large_in_general");
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
