// Sets of small numbers, 64 to a word.
#pragma once

#include <compare>
#include <cstddef>
#include <cstdint>
#include <vector>

namespace loomgraft {

inline std::size_t words_for_bits(std::size_t count) {
  return (count + 63) / 64;
}
// Of a row of words.
inline bool has_bit(const std::uint64_t* words, std::size_t k) {
  return (words[k / 64] >> (k % 64) & 1) != 0;
}
inline void set_bit(std::uint64_t* words, std::size_t k) {
  words[k / 64] |= std::uint64_t{1} << (k % 64);
}

class Bits {
 public:
  explicit Bits(std::size_t count) : words_(words_for_bits(count)) {}
  void set(std::size_t k) { set_bit(words_.data(), k); }
  void clear(std::size_t k) { words_[k / 64] &= ~(std::uint64_t{1} << (k % 64)); }
  bool has(std::size_t k) const { return has_bit(words_.data(), k); }
  bool within(const Bits& other) const {
    for (std::size_t k = 0; k < words_.size(); ++k) {
      if ((words_[k] & ~other.words_[k]) != 0) return false;
    }
    return true;
  }
  auto operator<=>(const Bits&) const = default;

 private:
  std::vector<std::uint64_t> words_;
};

}  // namespace loomgraft
