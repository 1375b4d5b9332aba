#include "store/sha256.h"

#include <openssl/sha.h>

#include <array>

namespace loomgraft {

std::string sha256_bytes(std::string_view bytes) {
  std::array<unsigned char, SHA256_DIGEST_LENGTH> digest{};
  SHA256(reinterpret_cast<const unsigned char*>(bytes.data()), bytes.size(), digest.data());
  return {digest.begin(), digest.end()};
}

std::string sha256_hex(std::string_view bytes) {
  constexpr char digits[] = "0123456789abcdef";
  std::string hex;
  for (const char c : sha256_bytes(bytes)) {
    const auto byte = static_cast<unsigned char>(c);
    hex += digits[byte >> 4U];
    hex += digits[byte & 15U];
  }
  return hex;
}

}  // namespace loomgraft
