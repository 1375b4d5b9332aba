#include "store/sha256.h"

#include <array>
#include <bit>
#include <cstdint>

namespace loomgraft {
namespace {

using Words = std::array<std::uint32_t, 8>;

// The standard defines its constants as the first 32 bits of the fractional parts of roots of the first
// primes (4.2.2 cube roots, 5.3.3 square roots), so they are computed and not typed. Integer search keeps
// every bit.
constexpr bool is_prime(unsigned n) {
  for (unsigned d = 2; d * d <= n; ++d) {
    if (n % d == 0) return false;
  }
  return n > 1;
}

// floor(2^32 * p^(1/degree)), by bits; only its low 32 bits are the fraction.
constexpr std::uint32_t root_fraction(unsigned prime, int degree) {
  __extension__ using Wide = unsigned __int128;
  std::uint64_t root = 0;
  for (int bit = 35; bit >= 0; --bit) {
    const std::uint64_t trial = root | (std::uint64_t{1} << bit);
    // trial^degree <= prime * 2^(32 degree); a trial below 2^36 leaves a cube below 2^108.
    Wide power = 1;
    for (int i = 0; i < degree; ++i) power *= trial;
    if (power <= static_cast<Wide>(prime) << (32 * degree)) root = trial;
  }
  return static_cast<std::uint32_t>(root);
}

template <std::size_t N>
constexpr std::array<std::uint32_t, N> root_fractions(int degree) {
  std::array<std::uint32_t, N> out{};
  unsigned candidate = 2;
  for (std::uint32_t& value : out) {
    while (!is_prime(candidate)) ++candidate;
    value = root_fraction(candidate++, degree);
  }
  return out;
}

constexpr std::array<std::uint32_t, 64> round_constants = root_fractions<64>(3);
constexpr Words first_state = root_fractions<8>(2);

std::uint32_t big_endian(const unsigned char* at) {
  return std::uint32_t{at[0]} << 24U | std::uint32_t{at[1]} << 16U | std::uint32_t{at[2]} << 8U | at[3];
}

void take_block(Words& state, const unsigned char* block) {
  std::array<std::uint32_t, 64> w{};
  for (std::size_t t = 0; t < 16; ++t) w[t] = big_endian(block + 4 * t);
  for (std::size_t t = 16; t < 64; ++t) {
    const std::uint32_t s0 = std::rotr(w[t - 15], 7) ^ std::rotr(w[t - 15], 18) ^ (w[t - 15] >> 3U);
    const std::uint32_t s1 = std::rotr(w[t - 2], 17) ^ std::rotr(w[t - 2], 19) ^ (w[t - 2] >> 10U);
    w[t] = w[t - 16] + s0 + w[t - 7] + s1;
  }
  auto [a, b, c, d, e, f, g, h] = state;
  for (std::size_t t = 0; t < 64; ++t) {
    const std::uint32_t s1 = std::rotr(e, 6) ^ std::rotr(e, 11) ^ std::rotr(e, 25);
    const std::uint32_t t1 = h + s1 + ((e & f) ^ (~e & g)) + round_constants[t] + w[t];
    const std::uint32_t s0 = std::rotr(a, 2) ^ std::rotr(a, 13) ^ std::rotr(a, 22);
    const std::uint32_t t2 = s0 + ((a & b) ^ (a & c) ^ (b & c));
    h = g;
    g = f;
    f = e;
    e = d + t1;
    d = c;
    c = b;
    b = a;
    a = t1 + t2;
  }
  const Words added = {a, b, c, d, e, f, g, h};
  for (std::size_t i = 0; i < state.size(); ++i) state[i] += added[i];
}

// What is left of the bytes, the closing bit, and the length in bits.
std::string closing_blocks(std::string_view rest, std::uint64_t all_bytes) {
  std::string out(rest);
  out += '\x80';
  while (out.size() % 64 != 56) out += '\0';
  for (int shift = 56; shift >= 0; shift -= 8) out += static_cast<char>((all_bytes * 8) >> shift & 0xffU);
  return out;
}

void take_blocks(Words& state, std::string_view bytes) {
  const auto* at = reinterpret_cast<const unsigned char*>(bytes.data());
  for (std::size_t i = 0; i + 64 <= bytes.size(); i += 64) take_block(state, at + i);
}

}  // namespace

std::string sha256_hex(std::string_view bytes) {
  Words state = first_state;
  take_blocks(state, bytes);
  take_blocks(state, closing_blocks(bytes.substr(bytes.size() / 64 * 64), bytes.size()));
  constexpr char digits[] = "0123456789abcdef";
  std::string hex;
  for (const std::uint32_t word : state) {
    for (int shift = 28; shift >= 0; shift -= 4) hex += digits[word >> shift & 0xfU];
  }
  return hex;
}

}  // namespace loomgraft
