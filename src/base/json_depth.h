// How deep a JSON text is nested, without parsing it: what copies, compares or prints JSON recurses once for each level.
#pragma once

#include <string_view>

namespace loomgraft {

inline constexpr int deepest_json = 64;

// Counts brackets outside of strings; a text that is no JSON may give either answer.
inline bool nested_too_deep(std::string_view json, int deepest = deepest_json) {
  int depth = 0;
  bool in_string = false;
  for (std::size_t i = 0; i < json.size(); ++i) {
    const char c = json[i];
    if (in_string) {
      if (c == '\\') ++i;
      if (c == '"') in_string = false;
    } else if (c == '"') {
      in_string = true;
    } else if (c == '[' || c == '{') {
      if (++depth > deepest) return true;
    } else if (c == ']' || c == '}') {
      --depth;
    }
  }
  return false;
}

}  // namespace loomgraft
