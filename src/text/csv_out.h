// CSV for spreadsheets: RFC 4180 quoting, and cells that a spreadsheet would run as a formula made harmless.
//
// Model   a cell that starts with = + - @ or a control character gets an apostrophe in front, which
//         spreadsheets take as "this is text" and do not show. A plain number keeps its sign.
// Gives   one line with CR LF at its end
#pragma once

#include <string>
#include <vector>

namespace loomgraft {

std::string csv_line(const std::vector<std::string>& cells);

}  // namespace loomgraft
