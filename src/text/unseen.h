// Characters that nobody sees and that can disguise a text: control codes, marks that turn the direction of writing,
// and byte order marks.
//
// Model   control codes of ISO/IEC 6429 (C0 and C1) but for tabulator and line ends; the embeddings, overrides and
//         isolates of the Unicode Bidirectional Algorithm (UAX #9, section 2): U+202A to 202E, U+2066 to 2069; U+FEFF.
//         Marks that right-to-left writing needs (U+200E, U+200F) and joiners stay
// Needs   UTF-8
// Cost    linear
#pragma once

#include <string>
#include <string_view>

namespace loomgraft {

bool has_unseen_characters(std::string_view text);
// Control codes become blanks, the others go.
std::string without_unseen_characters(std::string_view text);

}  // namespace loomgraft
