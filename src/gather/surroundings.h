// The text around a table: connector names in headings, tags of the module, colour legends.
//
// Model   tags are lines "Years: 1998-2001"; a colour legend is a line with three or more pairs of a code and
//         a colour word ("sw schwarz, br braun")
// Fails   never: what is not recognised is prose
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "loom/graft.h"
#include "tables/table.h"
#include "text/colour.h"

namespace loomgraft::gather {

constexpr std::string_view heading_marks = " \t:,;()[]/\"";  // between the words of a heading

// The words between marks, as views into the text.
std::vector<std::string_view> tokens_of(std::string_view text, std::string_view marks);

// The IEC letters of a full colour word in any language; empty where it is none.
std::string colour_of_word(std::string_view word);

// "Connector M42" -> "M42", "C1: black, 26 way" -> "C1", "Model S X437 connector" -> "X437"; empty where none
// is named.
std::string connector_in_heading(std::string_view heading);

// "Stecker X1, schwarz": the heading is about a connector, so it does not name the module.
bool begins_with_connector_word(std::string_view heading);

// Sets the tag that the line gives; false where it gives none.
bool read_tag(std::string_view line, ModuleTags& tags);

// Codes and colours of all colour legends among the lines; empty where there are none.
std::vector<std::pair<std::string, std::string>> read_colour_legend(const std::vector<std::string>& lines);

}  // namespace loomgraft::gather
