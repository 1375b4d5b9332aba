// Lets an unordered map of std::string be asked with a std::string_view.
#pragma once

#include <functional>
#include <string_view>

namespace loomgraft {

struct TextHash {
  using is_transparent = void;
  std::size_t operator()(std::string_view text) const { return std::hash<std::string_view>{}(text); }
};

}  // namespace loomgraft
