#include "gather/heading_words.h"

#include <array>
#include <map>
#include <set>
#include <unordered_map>
#include <utility>

#include "base/bug.h"
#include "standards/data_table.h"
#include "text/signal_words.h"

namespace loomgraft::gather {
namespace {

using Tag = std::string ModuleTags::*;

using WordSet = std::set<std::string, std::less<>>;

struct HeadingWords {
  std::map<std::string, WordSet, std::less<>> sets;  // by meaning
  std::unordered_map<std::string, Tag> tags;
};

Tag tag_of(const std::string& meaning) {
  static constexpr std::array<std::pair<std::string_view, Tag>, 6> tags{
      {{"years", &ModuleTags::years},
       {"market", &ModuleTags::market},
       {"transmission", &ModuleTags::transmission},
       {"generation", &ModuleTags::generation},
       {"diagnostics", &ModuleTags::diagnostics},
       {"board", &ModuleTags::board}}};
  for (const auto& [name, tag] : tags)
    if (name == meaning) return tag;
  bug("heading_words.csv: unknown meaning " + meaning);
}

const HeadingWords& heading_words() {
  static const HeadingWords all = [] {
    HeadingWords result;
    for (const char* meaning : {"connector", "pins", "filler", "other board", "step"}) result.sets[meaning];
    const DataTable table("heading_words.csv");
    const std::size_t word = table.column("word");
    const std::size_t meaning = table.column("meaning");
    for (std::size_t row = 0; row < table.rows(); ++row) {
      const auto set = result.sets.find(table.at(row, meaning));
      if (set != result.sets.end())
        set->second.insert(table.at(row, word));
      else
        result.tags.emplace(table.at(row, word), tag_of(table.at(row, meaning)));
    }
    return result;
  }();
  return all;
}

bool in_set(std::string_view meaning, std::string_view word) {
  return heading_words().sets.find(meaning)->second.contains(lower_case(word));
}

}  // namespace

bool is_connector_word(std::string_view word) {
  return in_set("connector", word);
}

bool is_pin_table_word(std::string_view word) {
  return in_set("pins", word);
}

bool is_filler_word(std::string_view word) {
  return in_set("filler", word);
}

bool is_board_word(std::string_view word) {
  return in_set("other board", word);
}

bool is_step_word(std::string_view word) {
  return in_set("step", word);
}

std::optional<Tag> tag_named(std::string_view name) {
  const auto found = heading_words().tags.find(lower_case(name));
  return found == heading_words().tags.end() ? std::nullopt : std::optional<Tag>(found->second);
}

}  // namespace loomgraft::gather
