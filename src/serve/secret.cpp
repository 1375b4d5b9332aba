#include "serve/secret.h"

#include <sys/random.h>

#include <cstdio>
#include <cstdlib>
#include <vector>

namespace loomgraft::serve {
namespace {

constexpr std::string_view letters = "0123456789abcdefghjkmnpqrstvwxyz";  // 32: no i, l, o, u

std::vector<unsigned char> random_bytes(std::size_t count) {
  std::vector<unsigned char> bytes(count);
  std::size_t filled = 0;
  while (filled < count) {
    const ssize_t got = ::getrandom(bytes.data() + filled, count - filled, 0);
    if (got <= 0) {
      std::fputs("The system gives no random numbers; secrets cannot be made.\n", stderr);
      std::abort();
    }
    filled += static_cast<std::size_t>(got);
  }
  return bytes;
}

}  // namespace

std::string typed_secret(int bits) {
  std::string text;
  // One letter takes five bits of a byte; the other three are not used.
  for (const unsigned char byte : random_bytes(static_cast<std::size_t>((bits + 4) / 5)))
    text += letters[byte & 31U];
  return text;
}

std::string hex_secret(int bits) {
  constexpr std::string_view digits = "0123456789abcdef";
  std::string text;
  for (const unsigned char byte : random_bytes(static_cast<std::size_t>(bits / 8))) {
    text += digits[byte >> 4U];
    text += digits[byte & 15U];
  }
  return text;
}

std::string tidy_secret(std::string_view typed) {
  std::string tidy;
  for (char c : typed) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    if (c == 'o') c = '0';
    if (c == 'i' || c == 'l') c = '1';
    if (letters.find(c) != std::string_view::npos) tidy += c;
  }
  return tidy;
}

bool same_secret(std::string_view a, std::string_view b) {
  unsigned difference = a.size() == b.size() ? 0U : 1U;
  for (std::size_t i = 0; i < a.size(); ++i) {
    const char other = b.empty() ? '\0' : b[i % b.size()];
    difference |= static_cast<unsigned char>(a[i]) ^ static_cast<unsigned char>(other);
  }
  return difference == 0;
}

}  // namespace loomgraft::serve
