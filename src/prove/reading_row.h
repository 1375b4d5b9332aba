// What one test would show under every fault, in little memory.
//
// Model   most faults leave a reading as it is, and a meter has few digits: the few intervals that occur are kept once,
//         and for each fault which of them
// Gives   exactly the intervals that were put in
// Cost    a byte for each fault, four where more than 256 intervals occur
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

namespace loomgraft {

struct Band {
  double low = 0.0;
  double high = 0.0;  // above over_range_ohms: the meter shows that it cannot measure so much
};

class ReadingRow {
 public:
  void reserve(std::size_t faults) { narrow_.reserve(faults); }
  void push_back(const Band& band) { push_place(place_of(band)); }
  // Where the interval is kept, to put it in again without a search.
  std::uint32_t place_of(const Band& band);
  void push_place(std::uint32_t place);
  void shrink_to_fit();

  std::size_t size() const { return wide_.empty() ? narrow_.size() : wide_.size(); }
  const Band& at(std::size_t fault) const { return shown_[wide_.empty() ? narrow_[fault] : wide_[fault]]; }
  const Band& back() const { return at(size() - 1); }

 private:
  std::vector<Band> shown_;  // one may occur twice where there are many
  std::vector<std::uint8_t> narrow_;
  std::vector<std::uint32_t> wide_;
};

}  // namespace loomgraft
