// Words that tell two circuits of one function apart (data/qualifiers.csv).
//
// Model   a rank ("primary", "alternate"), a letter ("A", "B"), a side, and nouns that a number follows
// Gives   what a word means, and a remark that consists of such words only: "alternate", "bank 2", "left rear"
#pragma once

#include <string>
#include <string_view>

namespace loomgraft {

enum class QualifierKind { none, rank, letter, side, numbered };

struct Qualifier {
  QualifierKind kind = QualifierKind::none;
  std::string means;  // words of one meaning do not tell apart
};

// `word` in lower case.
const Qualifier& qualifier_of(std::string_view word);

// The parts of a remark that qualify a circuit, each with a blank before it; empty where none does.
std::string qualifiers_in(std::string_view remark);

}  // namespace loomgraft
