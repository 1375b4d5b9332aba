// What a person calls the parts of a loom in a sentence: "C2-7", "PTO valve", "F31", "work lamp".
//
// Gives   the name where there is one; an id only where nothing else tells what is meant. A cavity is written with the
//         name of its plug everywhere: "C2-7"
#pragma once

#include <string>
#include <unordered_map>
#include <vector>

#include "loom/graft.h"

namespace loomgraft {

// "C2-7"; either alone where the other is empty.
std::string cavity_text(const std::string& plug, const std::string& cavity);
std::string plug_text(const Graft& graft, const std::string& id);
std::string cavity_text(const Graft& graft, const CavityRef& at);

// An id as it stands on parts and diagrams: capitals and digits, short ("F31", "K4").
bool is_mark(const std::string& id);

const std::string& device_text(const Device& device);
// The id where it is such a mark, else the name.
const std::string& device_mark(const Device& device);
// "F31 (fuse 31)" where the id is such a mark, else the name.
std::string device_text_with_mark(const Device& device);

// "fuse F31", "work lamp load fuse".
std::string fuse_text(const Device& device);

// The heading of a sheet about a wire and the fuse ahead of it: "Fuse F31 and wire PTO valve".
std::string fuse_sheet_title(const Graft& graft, const std::string& fuse, const std::string& wire);

// Of a wire: its signal, with its ends where several have that signal; without a signal its ends alone.
class WireTexts {
 public:
  WireTexts() = default;
  WireTexts(const Graft& graft, const std::vector<Wire>& wires);

  // The id of a wire that was not among them.
  const std::string& of(const std::string& wire) const;

 private:
  std::unordered_map<std::string, std::string> texts_;
};

}  // namespace loomgraft
