// Cavity names: from what a cell says to the cavities it means.
//
// Model   a cell names one cavity ("A1", "1A", "12", "auxMain"), a connector and a cavity ("C101-12"), a list
//         ("1, 20, 24", "Pins 9 & 10") or a range ("A1-A4"). "2-3" may be either: the whole column
//         decides
// Gives   canonical names: case is kept, leading zeros are dropped ("01" is "1"), "1.0" of a spreadsheet is
//         "1", words such as "Pin" and marks around the name are dropped, suffixes kept ("K17b"); text unlike
//         a cavity stays a name as it is
// Fails   never: a range of more than 200 cavities, or over rows, stays one name with a doubt; a cell that
//         names nothing ("", "-", ".") gives no cavities
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace loomgraft {

struct CavityName {
  std::string connector;  // "C101" of "C101-12", empty where the cell names none
  std::string cavity;
  bool operator==(const CavityName&) const = default;
};

struct CavityReading {
  std::vector<CavityName> cavities;
  std::vector<std::string> doubts;
  std::string note;  // what stood in brackets after the name
};

// How a column writes "4-1": connector 4, cavity 1, or the cavities from 4 to 1.
struct CavityStyle {
  bool dash_is_connector = false;
};

CavityStyle cavity_style(std::span<const std::string_view> column);

CavityReading read_cavities(std::string_view cell, const CavityStyle& style = {});

// Whether the text has the form of a cavity, a list or a range of them (for telling columns apart; names such
// as "auxMain" do not count).
bool looks_like_cavities(std::string_view cell);

// "A", "m", "AB": letters alone, as lettered plugs number their cavities. Only in company does it tell a cavity.
bool is_lettered_cavity(std::string_view cell);

// One cavity as letters and numbers, for ordering and for laying out faces: "17C" -> {"", 17, "C"}, "AA12" ->
// {"AA", 12, ""}.
struct CavityParts {
  std::string row;  // letters before the number
  int number = 0;   // 0 where there is none
  std::string tail;
  auto operator<=>(const CavityParts&) const = default;
};
CavityParts split_cavity(std::string_view cavity);

}  // namespace loomgraft
