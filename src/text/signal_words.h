// The words of a signal name, before anything is looked up.
//
// Model   a name is cut at blanks and marks and between letters and digits. A run of letters that the caller
//         does not know is also cut at changes of case ("auxMain"). "+" and "-" are words where they tell
//         polarity ("VR+", "HEAT -", "-ETB"), and nothing where they join ("K-Line", "+12V").
// Gives   words in lower case (Latin letters with accents too, independent of any locale); numbers without
//         leading zeros
// Cost    linear, one buffer
#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <vector>

namespace loomgraft {

struct NameWord {
  std::string_view text;  // into NameWords::buffer
  bool number = false;
  bool remark = false;  // stands after a comma or semicolon
};

struct NameWords {
  std::vector<char> buffer;  // a vector: its bytes stay where they are when it is moved
  std::vector<NameWord> words;
};

// `knows` says whether a run of letters (lower case) is to stay whole in spite of its case changes.
NameWords split_name(std::string_view name, const std::function<bool(std::string_view)>& knows);

// Lower case for ASCII, Latin-1 and Latin Extended-A letters in UTF-8; the same everywhere.
std::string lower_case(std::string_view text);

// Whether the word stands in the text with neither a letter nor a digit of ASCII beside it.
bool contains_word(std::string_view text, std::string_view word);

}  // namespace loomgraft
