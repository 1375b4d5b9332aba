// The cells of one line of a table of test data; a quoted cell may hold commas.
#pragma once

#include <string>
#include <vector>

namespace loomgraft::samples {

inline std::vector<std::string> fields_of(const std::string& line) {
  std::vector<std::string> fields(1);
  bool quoted = false;
  for (const char c : line) {
    if (c == '"') {
      quoted = !quoted;
    } else if (c == ',' && !quoted) {
      fields.emplace_back();
    } else {
      fields.back() += c;
    }
  }
  return fields;
}

}  // namespace loomgraft::samples
