#include "contention/qualifiers.h"

#include <algorithm>
#include <array>
#include <map>
#include <utility>
#include <vector>

#include "base/ascii.h"
#include "base/bug.h"
#include "standards/data_table.h"
#include "text/word_phrases.h"

namespace loomgraft {
namespace {

using Qualifiers = std::map<std::string, Qualifier, std::less<>>;

Qualifiers read_qualifiers() {
  constexpr std::array<std::pair<std::string_view, QualifierKind>, 4> kinds{
      {{"rank", QualifierKind::rank},
       {"letter", QualifierKind::letter},
       {"side", QualifierKind::side},
       {"numbered", QualifierKind::numbered}}};
  Qualifiers all;
  const DataTable table("qualifiers.csv");
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const std::string word = plain_words(table.at(row, table.column("word"))).front();
    const std::string& name = table.at(row, table.column("kind"));
    const auto kind = std::ranges::find(kinds, name, &std::pair<std::string_view, QualifierKind>::first);
    if (kind == kinds.end()) bug("qualifiers.csv: unknown kind " + name);
    const std::string& means = table.at(row, table.column("means"));
    all.emplace(word, Qualifier{kind->second, means.empty() ? word : means});
  }
  return all;
}

bool is_count(const std::string& word) {
  return word.size() <= 2 && std::ranges::all_of(word, is_digit);
}

bool qualifies(const std::vector<std::string>& words) {
  bool tells = false;
  bool after_noun = false;
  for (const std::string& word : words) {
    const QualifierKind kind = qualifier_of(word).kind;
    const bool count = is_count(word) && after_noun;
    if (kind == QualifierKind::none && !count) return false;
    after_noun = kind == QualifierKind::numbered;
    tells = tells || count || kind != QualifierKind::numbered;
  }
  return tells;
}

}  // namespace

const Qualifier& qualifier_of(std::string_view word) {
  static const Qualifiers all = read_qualifiers();
  static const Qualifier none;
  const auto found = all.find(word);
  return found == all.end() ? none : found->second;
}

std::string qualifiers_in(std::string_view remark) {
  std::string result;
  while (!remark.empty()) {
    const std::size_t end = std::min(remark.find_first_of(";,"), remark.size());
    const std::vector<std::string> words = plain_words(remark.substr(0, end));
    remark.remove_prefix(std::min(end + 1, remark.size()));
    if (words.empty() || words.size() > 5 || !qualifies(words)) continue;
    for (const std::string& word : words) result += " " + word;
  }
  return result;
}

}  // namespace loomgraft
