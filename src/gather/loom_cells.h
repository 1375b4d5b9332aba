// What the cells of a table of the loom mean.
#pragma once

#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "loom/graft.h"

namespace loomgraft::gather {

// Lower case, each run of blanks one blank.
std::string plain(std::string_view text);

// Which of these members a head means ("area_mm2" for "Size, mm²"), and the unit in it; empty for a head without a meaning.
// The heads that the workbench writes come first, then the words of others, in the order of the members.
struct HeadMeaning {
  std::string member;
  std::string unit;
};
HeadMeaning meaning_of_head(std::string_view head, std::span<const std::string_view> members);

// Parts by the names that people give them, and their ends.
class PartBook {
 public:
  explicit PartBook(const Graft& graft);

  // Nothing with `reason` set where the text names no end.
  std::optional<WireEnd> end(const std::string& text, std::string& reason) const;
  std::optional<std::string> place(const std::string& text) const;
  std::optional<std::string> path(const std::string& text) const;

 private:
  std::optional<WireEnd> terminal(const Device& device, const std::string& name, std::string& reason) const;

  std::map<std::string, const Connector*> plugs_;
  std::map<std::string, const Device*> devices_;
  std::map<std::string, std::string> places_;
  std::map<std::string, std::string> paths_;
};

// Sets a member from the text of its cell; the answer says why not, and is empty if it was set.
std::string set_cell(const PartBook& book, Wire& wire, const std::string& member, const std::string& unit,
                     const std::string& text);
std::string set_cell(const PartBook& book, Device& device, const std::string& member, const std::string& unit,
                     const std::string& text);
std::string set_cell(const PartBook& book, LoomPlace& place, const std::string& member,
                     const std::string& unit, const std::string& text);

}  // namespace loomgraft::gather
