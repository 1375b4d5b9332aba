// SHA-256 of bytes: recognises a photo that is sent again, and shows whether a stored one was altered.
//
// Gives   64 lower-case hexadecimal digits
// Cost    one pass
// Method  FIPS 180-4, by OpenSSL's libcrypto
#pragma once

#include <string>
#include <string_view>

namespace loomgraft {

std::string sha256_hex(std::string_view bytes);
// The same as 32 bytes.
std::string sha256_bytes(std::string_view bytes);

}  // namespace loomgraft
