// Many candidate modules, kept small: what ranking needs of each pin and nothing else.
//
// Model   keys of all modules in one pool, names and tags interned; the texts of the modules are not kept
// Cost    24 bytes a pin
#pragma once

#include <map>
#include <span>
#include <string>
#include <vector>

#include "compare/pin_key.h"
#include "loom/circuit_answers.h"
#include "loom/graft.h"

namespace loomgraft {

class DonorLibrary {
 public:
  // The library's names are interned in `keys`, which must outlive it and also key the found module.
  explicit DonorLibrary(KeyTable& keys) : keys_(keys) {}

  // `answers`: answers of people about pairs of the found module's pins and this one's.
  void add(const Module& module, const std::vector<Connector>& connectors, const PairAnswers& answers = {});
  // Keeps its pins as well, so that their own limits count as in a comparison.
  void add_with_pins(const Module& module, const std::vector<Connector>& connectors,
                     const PairAnswers& answers = {});

  std::size_t size() const { return entries_.size(); }
  const std::string& name(std::size_t donor) const { return entries_[donor].name; }
  const std::string& id(std::size_t donor) const { return entries_[donor].id; }
  std::span<const PinKey> pins(std::size_t donor) const;
  ModuleView view(std::size_t donor) const;
  std::span<const ConnectorKey> connectors(std::size_t donor) const;
  const std::vector<Pin>* full_pins(std::size_t donor) const;  // nullptr where they were not kept
  const PairAnswers& answers(std::size_t donor) const;

  // Modules of equal tags share one position in this list.
  const std::vector<ModuleTags>& tags() const { return tags_; }
  std::size_t tags_of(std::size_t donor) const { return entries_[donor].tags; }

 private:
  struct Entry {
    std::string id, name;
    std::size_t first_pin = 0, pin_count = 0;
    std::size_t first_connector = 0, connector_count = 0;
    std::size_t tags = 0;
  };
  KeyTable& keys_;
  std::vector<Entry> entries_;
  std::vector<PinKey> pins_;
  std::vector<ConnectorKey> connectors_;
  std::vector<ModuleTags> tags_;
  std::map<std::size_t, PairAnswers> answers_;  // of the few donors that have some
  std::map<std::size_t, std::vector<Pin>> full_pins_;
};

}  // namespace loomgraft
