// Names as people sort them: runs of digits count as numbers, so A2 comes before A10.
//
// Gives   a strict total order of texts: equal numbers with other leading zeros are told apart by the text
//         itself
// Cost    linear in the length
#pragma once

#include <string_view>

namespace loomgraft {

// Below, at or above zero as `a` comes before, is the same as, or comes after `b`.
int natural_compare(std::string_view a, std::string_view b);

}  // namespace loomgraft
