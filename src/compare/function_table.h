// Functions of circuits as small numbers, and how alike two functions are.
//
// Model   a function is the J1930 term with the canonical words beside it (text/signal.h). Words are of four
//         kinds: plain, number, polarity and side; a differing number, polarity or side tells two circuits
//         apart however alike the rest is (injector 1 and 2, CAN high and low). So do two ranks or two letters
//         (CAN primary and alternate, valve A and B; contention/qualifiers.h), which are plain words besides.
// Gives   similarity from 0 (nothing in common) to 1 (same function); symmetric
// Cost    one normalisation for each distinct text, a few ten nanoseconds a pair
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "text/signal.h"

namespace loomgraft {

// Position in a FunctionTable. 0 is "no function": empty or absent text.
using FunctionId = std::uint32_t;

struct Function {
  enum Kind { plain, number, polarity, side, rank, letter, kind_count };
  std::uint32_t term = 0;                                    // interned, 0 is none
  std::array<std::vector<std::uint32_t>, kind_count> words;  // interned, sorted, without doubles
  std::uint64_t signature = 0;                               // one bit for each term or plain word, hashed
};

class FunctionTable {
 public:
  explicit FunctionTable(const TermDictionary& dictionary);

  FunctionId add(std::string_view text);
  const Function& function(FunctionId id) const { return functions_[id]; }
  double similarity(FunctionId a, FunctionId b) const;
  std::size_t size() const { return functions_.size(); }

 private:
  std::uint32_t intern(const std::string& word);
  Function function_of(const SignalName& name);

  const TermDictionary& dictionary_;
  std::unordered_map<std::string, FunctionId> by_text_;
  std::unordered_map<std::string, FunctionId> by_meaning_;
  std::unordered_map<std::string, std::uint32_t> words_;
  std::vector<Function> functions_;
};

}  // namespace loomgraft
