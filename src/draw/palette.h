// The colours that all drawings share.
#pragma once

#include <string_view>

namespace loomgraft::palette {

inline constexpr std::string_view paper = "#fffefb";
inline constexpr std::string_view white = "#ffffff";
inline constexpr std::string_view text = "#1c1c1c";
inline constexpr std::string_view soft = "#4a4a4a";
inline constexpr std::string_view outline = "#2a2a2a";

}  // namespace loomgraft::palette
