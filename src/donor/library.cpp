#include "donor/library.h"

#include <algorithm>

namespace loomgraft {

void DonorLibrary::add(const Module& module, const std::vector<Connector>& connectors,
                       const PairAnswers& answers) {
  const ModuleKey key = keys_.key_of(module, connectors);
  Entry entry{
      module.id, module.name, pins_.size(), key.pins.size(), connectors_.size(), key.connectors.size(), 0};
  pins_.insert(pins_.end(), key.pins.begin(), key.pins.end());
  connectors_.insert(connectors_.end(), key.connectors.begin(), key.connectors.end());
  const auto known = std::find(tags_.begin(), tags_.end(), module.tags);
  entry.tags = static_cast<std::size_t>(known - tags_.begin());
  if (known == tags_.end()) tags_.push_back(module.tags);
  if (!answers.empty()) answers_.emplace(entries_.size(), answers);
  entries_.push_back(std::move(entry));
}

void DonorLibrary::add_with_pins(const Module& module, const std::vector<Connector>& connectors,
                                 const PairAnswers& answers) {
  full_pins_.emplace(entries_.size(), module.pins);
  add(module, connectors, answers);
}

const std::vector<Pin>* DonorLibrary::full_pins(std::size_t donor) const {
  const auto kept = full_pins_.find(donor);
  return kept == full_pins_.end() ? nullptr : &kept->second;
}

std::span<const PinKey> DonorLibrary::pins(std::size_t donor) const {
  return std::span(pins_).subspan(entries_[donor].first_pin, entries_[donor].pin_count);
}

std::span<const ConnectorKey> DonorLibrary::connectors(std::size_t donor) const {
  return std::span(connectors_).subspan(entries_[donor].first_connector, entries_[donor].connector_count);
}

const PairAnswers& DonorLibrary::answers(std::size_t donor) const {
  static const PairAnswers none;
  const auto found = answers_.find(donor);
  return found == answers_.end() ? none : found->second;
}

ModuleView DonorLibrary::view(std::size_t donor) const {
  return {connectors(donor), pins(donor)};
}

}  // namespace loomgraft
