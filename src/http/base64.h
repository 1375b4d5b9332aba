// Decodes base64 (RFC 4648, section 4).
//
// Gives   the bytes; line ends and blanks within the text are skipped
// Fails   nothing if the text has any other character, wrong padding, or is cut off
// Method  OpenSSL's libcrypto, which is less strict: alphabet and padding are checked here
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace loomgraft {

std::optional<std::string> from_base64(std::string_view text);

}  // namespace loomgraft
