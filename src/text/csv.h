// Comma-separated text as the program writes it and as its own files of data/ are written (RFC 4180). Files
// of other people, which break these rules, are read by tables/ (delimited.cpp): that reader guesses the
// delimiter, keeps the location of each cell and gets over quotes that nobody closed.
//
// Gives   csv_line: one line, ended as RFC 4180 says. A cell that a spreadsheet would run as a formula ("=",
//         "+", "-", "@" in front) gets an apostrophe before it unless it is a number
//         read_csv: the rows without quotes; empty lines are left out
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace loomgraft {

std::string csv_line(const std::vector<std::string>& cells);

std::vector<std::vector<std::string>> read_csv(std::string_view text);

}  // namespace loomgraft
