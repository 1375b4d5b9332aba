#include "donor/bound.h"

#include <algorithm>

namespace loomgraft::donor {
namespace {

// The lowest similarity of function with which a pair could still be made: all else known and equal.
double smallest_similarity(const MatchOptions& o) {
  const double all = o.function + o.cavity + o.pin_class + o.far_end + o.colour;
  const double others = o.cavity + o.pin_class + o.far_end + o.colour;
  return (o.ask * all - others) / o.function;
}

}  // namespace

DonorBound::DonorBound(const ModuleKey& found, const FunctionTable& functions, const MatchOptions& options,
                       const DonorCosts& costs, Volts supply)
    : found_(found), functions_(functions), options_(options), costs_(costs), supply_(supply) {
  for (std::size_t f = 0; f < found.pins.size(); ++f) {
    const PinKey& pin = found.pins[f];
    if (pin.connector >= places_.size()) places_.resize(pin.connector + 1u);
    auto& cavities = places_[pin.connector];
    if (pin.cavity >= cavities.size()) cavities.resize(pin.cavity + 1u, -1);
    if (cavities[pin.cavity] < 0 && pin.function != 0) cavities[pin.cavity] = static_cast<int>(f);
    const auto known = std::find(found_functions_.begin(), found_functions_.end(), pin.function);
    found_function_of_.push_back(static_cast<std::uint32_t>(known - found_functions_.begin()));
    if (known == found_functions_.end()) found_functions_.push_back(pin.function);
    if (pin.function != 0 && pin.populated) ++live_count_;
  }
  similarity_.assign(functions.size() * found_functions_.size(), 0.0F);
  rows_.assign(functions.size(), Row{});
}

// The similarity of one donor function to every function found, worked out when it is first met.
const DonorBound::Row& DonorBound::row(FunctionId function) {
  Row& row = rows_[function];
  if (row.ready) return row;
  double best = 0.0;
  for (std::size_t i = 0; i < found_functions_.size(); ++i) {
    const double similarity = functions_.similarity(found_functions_[i], function);
    similarity_[function * found_functions_.size() + i] = similarity;
    best = std::max(best, similarity);
  }
  row.ready = true;
  row.may_be_served = best > 0.0 && best >= smallest_similarity(options_);
  return row;
}

int DonorBound::found_at(std::uint16_t plug, std::uint32_t cavity) const {
  if (plug >= places_.size() || cavity >= places_[plug].size()) return -1;
  return places_[plug][cavity];
}

// What the donor pin costs at smallest if `found` is the wire in its place.
DonorBound::InPlace DonorBound::in_place(std::size_t f, const PinKey& donor, double elsewhere) const {
  const PinKey& found = found_.pins[f];
  const double similarity = pair_similarity(
      found, donor, true, similarity_[donor.function * found_functions_.size() + found_function_of_[f]],
      functions_);
  InPlace result;
  result.cost = elsewhere;
  result.may_be_served = similarity > 0;
  const bool known = found.pin_class != PinClass::unknown && donor.pin_class != PinClass::unknown;
  const Grade grade =
      found.populated ? class_grade(found.pin_class, donor.pin_class, supply_) : Grade::harmless;
  result.hazard = cost_of(grade, costs_);
  const double value = similarity > 0 ? score(found, donor, true, similarity, functions_, options_) : 0.0;
  if (value >= options_.ask) {
    if (!known || found.pin_class == donor.pin_class)
      result.hazard = 0.0;  // of one circuit they do not harm each other
    double served = 0.0;
    if (!found.populated) {
      served = cost_of_add(donor, costs_);
    } else if (value < options_.accept) {
      served = costs_.unsure;
    } else if (known && found.pin_class != donor.pin_class && grade >= Grade::damage) {
      served = std::min(costs_.clash, costs_.unsure);
    }
    result.cost = std::min(result.cost, served);
  }
  if (similarity > 0) result.cost = std::min(result.cost, costs_.unsure);
  return result;
}

double DonorBound::of(std::span<const PinKey> pins, const PlugMap& plugs) {
  double sum = 0.0;
  int may_be_served = 0;
  ++stamp_;
  stamps_.resize(found_.pins.size(), 0);
  for (const PinKey& donor : pins) {
    if (donor.function == 0) continue;
    const double add = cost_of_add(donor, costs_);
    const bool served_elsewhere = row(donor.function).may_be_served;
    InPlace smallest{served_elsewhere ? std::min({costs_.shift, costs_.unsure, costs_.clash, add}) : add, 0.0,
                     false};
    const int f = donor.connector < plugs.found_of.size()
                      ? found_at(plugs.found_of[donor.connector], donor.cavity)
                      : -1;
    if (f >= 0) smallest = in_place(static_cast<std::size_t>(f), donor, smallest.cost);
    // A cavity that a table names twice is charged once.
    if (f >= 0 && stamps_[static_cast<std::size_t>(f)] != stamp_) {
      stamps_[static_cast<std::size_t>(f)] = stamp_;
      sum += smallest.hazard;
    }
    may_be_served += served_elsewhere || smallest.may_be_served ? 1 : 0;
    sum += smallest.cost + (donor.hardware ? 0.0 : costs_.no_hardware);
  }
  const int left_over = live_count_ - may_be_served;
  return sum + std::max(0, left_over) * std::min(costs_.retire, costs_.unsure);
}

}  // namespace loomgraft::donor
