// What does not fit between two modules before any pin is looked at: generation, years, market, gearbox,
// board, and the other controllers on the same wires.
//
// Model   stated tags are compared as stated; what years and market imply for on-board diagnostics comes
//         from data/obd_dates.csv and is named with its source. Gearbox circuits are those of
//         data/gearbox_terms.csv.
// Needs   nothing: a missing tag gives a note that says where to look
// Gives   findings, the most serious first, then in the order below; tags that agree give no finding. A
//         donor without pins (a library entry) is judged by its tags alone
// Fails   never
#pragma once

#include <string>
#include <vector>

#include "loom/graft.h"

namespace loomgraft {

enum class TagWeight { note, attention, stop };

constexpr const char* name_of(TagWeight weight) {
  constexpr const char* names[] = {"note", "attention", "stop"};
  return names[static_cast<int>(weight)];
}

struct TagFinding {
  std::string
      what;  // "diagnostics", "years", "market", "transmission", "generation", "board", "shared circuit"
  std::string found;  // as stated, or "not stated"
  std::string donor;
  TagWeight weight = TagWeight::note;
  std::string reason;  // sentences for people
  std::string source;  // where a published date was used: document and status
  bool operator==(const TagFinding&) const = default;
};

std::vector<TagFinding> compare_tags(const Module& found, const Module& donor, const Vehicle& vehicle,
                                     const std::vector<SharedCircuit>& shared);

}  // namespace loomgraft
