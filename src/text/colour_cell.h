// One colour cell split into its words, before any notation is known.
//
// Model   colours are written as codes or words joined by marks or "with ... stripe"; sizes ("0,75", "18
//         AWG") are left out; what stands after a comma or in brackets is a note
// Gives   the colour words in order, and what makes the cell doubtful, as text for people
// Cost    linear; at most eight colour words are kept
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace loomgraft::text {

struct ColourWord {
  std::string text;     // as written
  bool marked = false;  // joined to the word before by a mark or "with", so it must be a colour
};

struct ColourCell {
  std::vector<ColourWord> words;
  std::vector<std::string> doubts;
  bool choice = false;  // "white or red": the base is open
};

ColourCell split_colour_cell(std::string_view raw);

}  // namespace loomgraft::text
