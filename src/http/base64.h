// Base64 (RFC 4648, section 4) back to bytes.
//
// Gives   the bytes; line ends and blanks between are passed over
// Fails   nothing where another character stands in it, or it is cut off
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace loomgraft {

std::optional<std::string> from_base64(std::string_view text);

}  // namespace loomgraft
