// The wire colours of a file, read together: their notation is inferred from all of them.
//
// Model   rules of a person go before the file's own legend ("sw schwarz"), and that before the published notations, which
//         are tried where the legend leaves more than a tenth open
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "text/colour.h"

namespace loomgraft::gather {

using ColourCodes = std::vector<std::pair<std::string, std::string>>;  // code -> IEC 60757 letters

// `lines` are those around the tables, legends among them; `rules` see ReadOptions::colour_codes.
ColourReading read_file_colours(std::span<const std::string_view> raw, const std::vector<std::string>& lines,
                                const ColourCodes& rules);

}  // namespace loomgraft::gather
