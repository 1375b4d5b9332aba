// What went wrong, where, and what to do about it: the one form of error of the whole program.
//
// Model   a note informs, a warning asks for a look, an error means that this piece of input was not used
// Needs   `code` is one of base/problem_codes.h ("duplicate-cavity"); message and remedy are whole sentences for people
// Gives   the place as file, line and column (from 1; 0 is unknown) or as a JSON pointer, whichever the input
// has
#pragma once

#include <algorithm>
#include <string>
#include <vector>

#include "base/problem_codes.h"

namespace loomgraft {

struct Location {
  std::string file;
  int line = 0;
  int column = 0;
  std::string pointer;  // JSON pointer (RFC 6901) within a document, empty for tables
  // The place as a person finds it where line and column do not say it: "sheet Pins, B7", "page 3, line 12".
  std::string place = {};
  auto operator<=>(const Location&) const = default;
};

struct Problem {
  Severity severity = Severity::warning;
  ProblemCode code;
  Location location;
  std::string message;
  std::string remedy;
  bool operator==(const Problem&) const = default;
};

using Problems = std::vector<Problem>;

inline bool has_error(const Problems& problems) {
  return std::ranges::any_of(problems, [](const Problem& one) { return one.severity == Severity::error; });
}

constexpr const char* name_of(Severity severity) {
  constexpr const char* names[] = {"note", "warning", "error"};
  return names[static_cast<int>(severity)];
}

}  // namespace loomgraft
