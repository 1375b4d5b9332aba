// A name is read like a sentence by a phrase book: from each word on, the longest phrase of the dictionary is
// taken (a walk down a trie whose edges are words), and what is in no phrase stays as it is. The phrase with
// the strongest claim gives the term and the class, the others become qualifying words.
#include "text/signal.h"

#include <algorithm>
#include <array>
#include <cstdint>
#include <unordered_map>
#include <utility>

#include "base/ascii.h"
#include "base/text_hash.h"
#include "text/signal_words.h"

namespace loomgraft {
namespace {

constexpr int kUnknown = -1;
constexpr int kAnyNumber = 0;  // the word "#" of a phrase

std::uint64_t edge(int node, int word) {
  return (static_cast<std::uint64_t>(static_cast<std::uint32_t>(node)) << 32U) |
         static_cast<std::uint32_t>(word);
}

struct EdgeHash {
  std::size_t operator()(std::uint64_t key) const {
    key *= 0x9E3779B97F4A7C15ULL;
    return static_cast<std::size_t>(key ^ (key >> 29U));
  }
};

std::vector<std::string> split_blanks(std::string_view text) {
  std::vector<std::string> parts;
  std::size_t i = 0;
  while (i < text.size()) {
    const std::size_t end = std::min(text.find(' ', i), text.size());
    if (end > i) parts.emplace_back(text.substr(i, end - i));
    i = end + 1;
  }
  return parts;
}

// What a phrase means.
struct Meaning {
  std::string term;
  std::vector<std::string> words;
  std::string class_hint;
  std::uint32_t numbers = 0;  // bit k: the k-th word of the phrase is "#"
  bool words_take_number = false;
  bool weak = false;  // "analog input": the class only where no other phrase of the name tells an input's
  bool nothing() const { return term.empty() && words.empty() && class_hint.empty() && numbers == 0; }
};

// How strongly a hint claims the whole name: "sensor earth of the coolant sensor" is an earth whatever else
// is named.
int rank_of(std::string_view hint) {
  constexpr std::array<std::pair<std::string_view, int>, 10> ranks{{{"shield", 5},
                                                                    {"power_earth", 4},
                                                                    {"sensor_earth", 4},
                                                                    {"reference_5v", 3},
                                                                    {"can_high", 2},
                                                                    {"can_low", 2},
                                                                    {"serial_line", 2},
                                                                    {"supply_30", 2},
                                                                    {"supply_15", 2},
                                                                    {"supply_output", 2}}};
  for (const auto& [name, rank] : ranks)
    if (name == hint) return rank;
  return 1;
}

bool is_sensor_input(std::string_view hint) {
  constexpr std::array<std::string_view, 8> kinds{
      "voltage_input", "thermistor_input", "variable_reluctance",   "digital_sensor_input",
      "knock",         "oxygen_sensor",    "switch_to_earth_input", "switch_to_supply_input"};
  return std::find(kinds.begin(), kinds.end(), hint) != kinds.end();
}

bool is_output(std::string_view hint) {
  constexpr std::array<std::string_view, 6> kinds{"low_side_driver",  "high_side_driver", "push_pull",
                                                  "ignition_trigger", "injector",         "reference_5v"};
  return std::find(kinds.begin(), kinds.end(), hint) != kinds.end();
}

bool same_direction(std::string_view a, std::string_view b) {
  return (is_sensor_input(a) && is_sensor_input(b)) || (is_output(a) && is_output(b));
}

bool is_number_word(const std::string& word) {
  return !word.empty() && is_digit(word[0]);
}

// Words [from, to) of the name and what they mean; no meaning where the dictionary has none.
struct Stretch {
  std::size_t from = 0;
  std::size_t to = 0;
  const Meaning* meaning = nullptr;
  bool remark = false;
};

}  // namespace

struct TermDictionary::Index {
  std::unordered_map<std::string, int, TextHash, std::equal_to<>> vocabulary;
  std::unordered_map<std::uint64_t, int, EdgeHash> edges;  // (node, word) -> node
  std::vector<int> meaning_of;                             // node -> meaning, or -1
  std::vector<Meaning> meanings;
  std::vector<int> spelling_of;    // word -> the word it is a spelling of (mostly itself)
  std::vector<std::string> texts;  // word -> its text
  std::vector<bool> links;         // word -> may stand between the words of any phrase

  int word(const std::string& text) {
    const auto [at, fresh] = vocabulary.try_emplace(text, static_cast<int>(vocabulary.size()));
    if (fresh) {
      spelling_of.push_back(at->second);
      texts.push_back(text);
      links.push_back(false);
    }
    return at->second;
  }

  int child(int node, int word) const {
    const auto found = edges.find(edge(node, word));
    return found == edges.end() ? kUnknown : found->second;
  }

  void add(const TermPhrase& phrase) {
    if (phrase.words.starts_with('=')) {
      const int canonical = word(phrase.words.substr(1));
      spelling_of[static_cast<std::size_t>(word(phrase.phrase))] = canonical;
      return;
    }
    if (phrase.words == "~") {
      const int id = spelling_of[static_cast<std::size_t>(word(phrase.phrase))];
      links[static_cast<std::size_t>(id)] = true;
      return;
    }
    Meaning meaning{phrase.term, split_blanks(phrase.words), phrase.class_hint};
    if (meaning.class_hint.starts_with('~')) {
      meaning.weak = true;
      meaning.class_hint.erase(0, 1);
    }
    int node = 0;
    std::uint32_t position = 0;
    for (const std::string& text : split_blanks(phrase.phrase)) {
      if (text == "#" && position < 32U) meaning.numbers |= 1U << position;
      ++position;
      const int id = spelling_of[static_cast<std::size_t>(word(text))];
      const auto [at, fresh] = edges.try_emplace(edge(node, id), static_cast<int>(meaning_of.size()));
      if (fresh) meaning_of.push_back(kUnknown);
      node = at->second;
    }
    for (const std::string& text : meaning.words) {
      if (text.find('#') != std::string::npos) meaning.words_take_number = true;
    }
    if (node == 0 || meaning_of[static_cast<std::size_t>(node)] != kUnknown) return;  // the first line wins
    meaning_of[static_cast<std::size_t>(node)] = static_cast<int>(meanings.size());
    meanings.push_back(std::move(meaning));
  }

  bool linking(int word) const { return word != kUnknown && links[static_cast<std::size_t>(word)]; }

  int id_of(std::string_view word) const {
    auto found = vocabulary.find(word);
    if (found == vocabulary.end() && word.size() > 3 && word.back() == 's') {
      found = vocabulary.find(word.substr(0, word.size() - 1));
      if (found != vocabulary.end() && linking(found->second))
        found = vocabulary.end();  // "less" is no "les"
    }
    return found == vocabulary.end() ? kUnknown : spelling_of[static_cast<std::size_t>(found->second)];
  }

  // The longest phrase that starts at `at`; a literal number is tried before "any number". `behind_link`: the word
  // before was passed over, and no phrase ends with it.
  void longest(const std::vector<NameWord>& words, const std::vector<int>& ids, std::size_t at, int node,
               Stretch& best, bool behind_link = false) const {
    const int meaning = meaning_of[static_cast<std::size_t>(node)];
    if (meaning != kUnknown && at > best.to && !behind_link) {
      best.to = at;
      best.meaning = &meanings[static_cast<std::size_t>(meaning)];
    }
    if (at == words.size()) return;
    if (ids[at] != kUnknown) {
      const int next = child(node, ids[at]);
      if (next != kUnknown) longest(words, ids, at + 1, next, best);
      if (node != 0 && links[static_cast<std::size_t>(ids[at])])
        longest(words, ids, at + 1, node, best, true);
    }
    if (words[at].number) {
      const int next = child(node, kAnyNumber);
      if (next != kUnknown) longest(words, ids, at + 1, next, best);
    }
  }

  bool means_nothing(std::string_view word) const {
    const int id = id_of(word);
    const int node = id == kUnknown ? kUnknown : child(0, id);
    const int meaning = node == kUnknown ? kUnknown : meaning_of[static_cast<std::size_t>(node)];
    return meaning != kUnknown && meanings[static_cast<std::size_t>(meaning)].nothing();
  }

  // "1 and 4" is the list "1/4": a word that only joins two numbers is dropped.
  void drop_joining_words(std::vector<NameWord>& words) const {
    std::size_t kept = 0;
    for (std::size_t i = 0; i < words.size(); ++i) {
      const bool between = kept > 0 && words[kept - 1].number && i + 1 < words.size() && words[i + 1].number;
      if (between && !words[i].number && means_nothing(words[i].text)) continue;
      words[kept++] = words[i];
    }
    words.resize(kept);
  }

  // Also replaces words by their canonical spelling.
  std::vector<Stretch> stretches(std::vector<NameWord>& words) const {
    drop_joining_words(words);
    std::vector<int> ids(words.size());
    for (std::size_t i = 0; i < words.size(); ++i) {
      ids[i] = id_of(words[i].text);
      if (ids[i] != kUnknown) words[i].text = texts[static_cast<std::size_t>(ids[i])];
    }
    static const Meaning no_meaning;
    std::vector<Stretch> result;
    for (std::size_t i = 0; i < words.size();) {
      Stretch best{i, i, nullptr, words[i].remark};
      longest(words, ids, i, 0, best);
      if (best.meaning == nullptr) best.to = i + 1;
      const bool alone = best.to == i + 1 && linking(ids[i]);
      if (alone && i > 0 && best.to < words.size() && !words[i - 1].number && !words[best.to].number)
        best.meaning = &no_meaning;
      result.push_back(best);
      i = best.to;
    }
    return result;
  }
};

namespace {

void add_word(std::vector<std::string>& words, std::string word) {
  if (!is_number_word(word) && std::find(words.begin(), words.end(), word) != words.end()) return;
  words.push_back(std::move(word));
}

void add_meaning_words(const Stretch& stretch, const std::vector<NameWord>& words,
                       std::vector<std::string>& out) {
  const Meaning& meaning = *stretch.meaning;
  std::vector<std::string_view> numbers;
  for (std::size_t k = 0; k < stretch.to - stretch.from && k < 32; ++k) {
    if ((meaning.numbers >> k & 1U) != 0) numbers.push_back(words[stretch.from + k].text);
  }
  if (!meaning.words_take_number) {
    for (const std::string_view number : numbers) out.emplace_back(number);
  }
  std::size_t used = 0;
  for (std::string word : meaning.words) {
    const std::size_t mark = word.find('#');
    if (mark != std::string::npos && used < numbers.size()) {
      word.replace(mark, 1, numbers[used]);
      ++used;
    }
    add_word(out, std::move(word));
  }
}

// Numbers keep their order and stand first; the rest is sorted, so "front left" and "left front" are one.
void order_words(std::vector<std::string>& words) {
  const auto rest = std::stable_partition(words.begin(), words.end(), is_number_word);
  std::sort(rest, words.end());
}

bool only_marks_for_nothing(std::string_view name) {
  bool any = false;
  for (const char c : name) {
    if (c == ' ' || c == '\t') continue;
    if (c == '?') return false;
    any = true;
  }
  return any;
}

// The stretch whose term names the circuit, and the hint for its class.
struct Choice {
  const Stretch* main = nullptr;
  std::string hint;
  int rank = 0;
};

Choice choose(const std::vector<Stretch>& stretches) {
  Choice choice;
  int main_rank = -1;
  bool beside_sensor = false;
  // "pedal sensor 1, earth": a remark of nothing but one known phrase belongs to the name.
  const bool short_remark =
      std::count_if(stretches.begin(), stretches.end(), [](const Stretch& s) { return s.remark; }) == 1;
  for (const Stretch& stretch : stretches) {
    if (stretch.meaning == nullptr) continue;
    const Meaning& meaning = *stretch.meaning;
    const int rank = meaning.class_hint.empty() ? 0 : rank_of(meaning.class_hint);
    if (meaning.class_hint == "no_connection") continue;
    // "oil lamp switch, closes to earth": the remark does not make it an earth.
    if (stretch.remark && choice.main != nullptr && !short_remark) continue;
    // "side lamp on input 12 V" says what the switch leads to, not that the pin is a feed.
    const bool switched_input =
        choice.hint == "switch_to_supply_input" || choice.hint == "switch_to_earth_input";
    if (meaning.term == "12V" && switched_input) continue;
    if (!meaning.term.empty() && std::max(rank, 1) > main_rank) {
      main_rank = std::max(rank, 1);
      choice.main = &stretch;
    }
    beside_sensor = beside_sensor || is_sensor_input(meaning.class_hint);
    // A plain noun with a driver at the end of the name ("ignition relay") says more than the supply before
    // it.
    const bool head_noun = meaning.term.empty() && choice.rank == 2 && is_output(meaning.class_hint);
    const bool plain_noun = meaning.term.empty() && rank == 1 && choice.rank == 1 &&
                            !(meaning.weak && same_direction(meaning.class_hint, choice.hint));
    // "+12 V when the vehicle is on" is switched.
    const bool switched =
        meaning.term.empty() && meaning.class_hint == "supply_15" && choice.hint == "supply_30";
    if (rank > choice.rank || plain_noun || head_noun || switched) {
      choice.hint = meaning.class_hint;
      choice.rank = rank;
    }
  }
  if (choice.hint == "power_earth" && beside_sensor && choice.main != nullptr &&
      choice.main->meaning->term == "GND") {
    choice.hint = "sensor_earth";
  }
  return choice;
}

void add_source_words(const Stretch& stretch, const std::vector<NameWord>& words,
                      std::vector<std::string>& out) {
  for (std::size_t i = stretch.from; i < stretch.to; ++i) add_word(out, std::string(words[i].text));
}

void drop_word(std::vector<std::string>& words, std::string_view word) {
  words.erase(std::remove(words.begin(), words.end(), word), words.end());
}

SignalName compose(const std::vector<NameWord>& words, const std::vector<Stretch>& stretches) {
  SignalName result;
  const Choice choice = choose(stretches);
  if (choice.main != nullptr) result.term = choice.main->meaning->term;
  result.class_hint = choice.hint;
  for (const Stretch& stretch : stretches) {
    if (stretch.meaning == nullptr || stretch.meaning->class_hint == "no_connection") {
      add_source_words(stretch, words, result.words);
      continue;
    }
    const std::string& term = stretch.meaning->term;
    if (!term.empty() && term != result.term) add_word(result.words, lower_case(term));
    add_meaning_words(stretch, words, result.words);
  }
  if (!result.term.empty() && is_sensor_input(result.class_hint)) drop_word(result.words, "in");
  if (!result.term.empty() && is_output(result.class_hint)) drop_word(result.words, "out");
  if (result.term.empty() && result.words.empty()) {
    for (const Stretch& stretch : stretches) add_source_words(stretch, words, result.words);
  }
  order_words(result.words);
  return result;
}

}  // namespace

TermDictionary::TermDictionary(const std::vector<TermPhrase>& phrases) : index_(std::make_unique<Index>()) {
  (void)index_->word("#");  // becomes kAnyNumber
  index_->meaning_of.push_back(kUnknown);
  for (const TermPhrase& phrase : phrases) index_->add(phrase);
}

TermDictionary::~TermDictionary() = default;
TermDictionary::TermDictionary(TermDictionary&&) noexcept = default;
TermDictionary& TermDictionary::operator=(TermDictionary&&) noexcept = default;

SignalName TermDictionary::normalise(std::string_view name) const {
  NameWords split =
      split_name(name, [this](std::string_view run) { return index_->vocabulary.contains(run); });
  const std::vector<Stretch> stretches = index_->stretches(split.words);
  bool absent = !stretches.empty();
  bool stated = false;
  for (const Stretch& stretch : stretches) {
    const Meaning* meaning = stretch.meaning;
    const bool nothing_there = meaning != nullptr && meaning->class_hint == "no_connection";
    stated = stated || (nothing_there && !stretch.remark);
    // "not used, blanking plug": a remark without a circuit in it brings none.
    const bool names_circuit = stretch.remark ? meaning != nullptr && !meaning->term.empty()
                                              : meaning == nullptr || !meaning->nothing();
    if (!nothing_there && names_circuit) absent = false;
  }
  if ((absent && stated) || (stretches.empty() && only_marks_for_nothing(name))) {
    SignalName result;
    result.absent = true;
    result.class_hint = "no_connection";
    return result;
  }
  return compose(split.words, stretches);
}

}  // namespace loomgraft
