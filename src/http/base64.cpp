#include "http/base64.h"

#include <openssl/evp.h>

#include <algorithm>
#include <limits>

namespace loomgraft {
namespace {

constexpr std::string_view alphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

}  // namespace

std::optional<std::string> from_base64(std::string_view text) {
  std::string letters(text);
  std::erase_if(letters, [](char c) { return c == '\r' || c == '\n' || c == ' '; });
  const std::size_t end = std::min(letters.find_first_not_of(alphabet), letters.size());
  const std::size_t padding = letters.size() - end;
  const bool padded = padding <= 2 && letters.find_first_not_of('=', end) == std::string::npos;
  if (!padded || letters.size() % 4 != 0 || letters.size() > std::numeric_limits<int>::max())
    return std::nullopt;
  std::string bytes(letters.size() / 4 * 3, '\0');
  const int count = EVP_DecodeBlock(reinterpret_cast<unsigned char*>(bytes.data()),
                                    reinterpret_cast<const unsigned char*>(letters.data()),
                                    static_cast<int>(letters.size()));
  if (count < 0) return std::nullopt;
  bytes.resize(static_cast<std::size_t>(count) - padding);
  return bytes;
}

}  // namespace loomgraft
