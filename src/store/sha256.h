// SHA-256 of bytes, to know a photo again and to see whether it is still what was sent.
//
// Gives   64 lower-case hexadecimal digits
// Cost    one pass
// Method  FIPS 180-4, sections 4.1.2, 4.2.2, 5.1.1, 5.3.3 and 6.2.2
#pragma once

#include <string>
#include <string_view>

namespace loomgraft {

std::string sha256_hex(std::string_view bytes);

}  // namespace loomgraft
