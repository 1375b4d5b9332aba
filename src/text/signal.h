// Signal names: many spellings, one term.
//
// Model   a name is split into words (at blanks, marks, case changes, letter-digit changes); words and word
//         groups are replaced by the dictionary ("coolant temp snsr" -> ECT); what is left qualifies the
//         term: ordinal, side, polarity
// Gives   the SAE J1930 term where one fits ("ECT", "CKP"), the remaining words in a canonical spelling,
//         lower case, in order, and the pin class that the name suggests; two spellings of one signal give
//         equal words
// Fails   never; a name that the dictionary does not know has an empty term and its own words
#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace loomgraft {

struct SignalName {
  std::string term;  // J1930 acronym, or another dictionary term such as "GND"; empty if none fits
  // Canonical words besides the term, for example {"2"}, {"3", "high"}, {"left", "rear"}: numbers first in
  // their order, the rest sorted.
  std::vector<std::string> words;
  std::string class_hint;  // a pin class name (standards/pin_class.h) or empty
  bool absent = false;     // the text says that nothing is there ("n/c", "not used", "-")
  bool operator==(const SignalName&) const = default;
};

// One dictionary line: a phrase of words and what it stands for. A "#" in the phrase is any number, a "#" in
// `words` is that number. `words` = "=sensor" makes the phrase (one word) a spelling of "sensor", in names
// and in the phrases below. `words` = "~" makes it a linking word ("de", "della"): it may stand between the words of
// any phrase ("masa de chasis" is read as "masa chasis"), and means nothing between two words that are no numbers.
struct TermPhrase {
  std::string phrase;  // one or more words, lower case, as split from names: "coolant temp"
  std::string term;    // the term it stands for, or empty where it only rewrites words
  std::string words;   // canonical words that stay beside the term
  // Pin class that the phrase suggests, or empty; "~voltage_input" only where the rest of the name tells no
  // class of an input, "~low_side_driver" none of an output.
  std::string class_hint;
};

class TermDictionary {
 public:
  explicit TermDictionary(const std::vector<TermPhrase>& phrases);
  ~TermDictionary();
  TermDictionary(TermDictionary&&) noexcept;
  TermDictionary& operator=(TermDictionary&&) noexcept;

  SignalName normalise(std::string_view name) const;

 private:
  struct Index;
  std::unique_ptr<Index> index_;
};

}  // namespace loomgraft
