#include "loom/graft.h"

#include <algorithm>
#include <iterator>

namespace loomgraft {
namespace {

template <class List>
auto find_by_id(const List& list, std::string_view id) -> decltype(list.data()) {
  const auto found = std::find_if(list.begin(), list.end(), [&](const auto& item) { return item.id == id; });
  return found == list.end() ? nullptr : &*found;
}

constexpr std::string_view practice_prefix = "practice-";
constexpr std::string_view in_band_prefix = "in-band-";

}  // namespace

void set_marks_from_id(Reading& reading) {
  std::string_view id = reading.id;
  if (id.starts_with(practice_prefix)) {
    reading.practice = true;
    id.remove_prefix(practice_prefix.size());
  }
  if (id.starts_with(in_band_prefix)) reading.in_band_only = true;
}

std::vector<Reading> readings_of(const std::vector<Reading>& readings, bool practice) {
  std::vector<Reading> chosen;
  std::copy_if(readings.begin(), readings.end(), std::back_inserter(chosen),
               [&](const Reading& reading) { return reading.practice == practice; });
  return chosen;
}

const Module* find_module(const Graft& graft, std::string_view id) {
  return find_by_id(graft.modules, id);
}
const Connector* find_connector(const Graft& graft, std::string_view id) {
  return find_by_id(graft.connectors, id);
}

}  // namespace loomgraft
