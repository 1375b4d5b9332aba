// Each notation reads all distinct words of the column and gets a score, a log-likelihood: far below zero for
// each code it does not have, a little for each reading that is unlikely. The best score wins; a rival close
// behind it is reported as a doubt where it would read a cell otherwise.
#include "text/colour.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <unordered_map>

#include "base/ascii.h"
#include "base/text_hash.h"
#include "text/colour_cell.h"
#include "text/fold.h"
#include "text/signal_words.h"

namespace loomgraft {

using namespace text;
namespace {

// Log-likelihood weights, chosen so that one unknown code outweighs any preference between notations, and
// that two common notations which read the whole column always stay within kNearlyAsLikely; the last ones, letters of
// one country's diagrams, stand too far behind the first to cast doubt on them.
constexpr double kUnknownCode = -4.0;
constexpr double kJoinedCodes = -0.7;    // "BKYE" read as two codes
constexpr double kJoinedLetters = -2.5;  // "BL" read as two codes
constexpr double kNoBlack = -1.0;        // a table of many colours nearly always has black
constexpr std::size_t kManyColours = 5;
constexpr double kTwoCodesOneColour = -1.0;
constexpr double kLaterNotation = -0.1;  // notations stand in the order of how common they are
constexpr double kNearlyAsLikely = 1.45;

using CodeMap = std::unordered_map<std::string, std::string, TextHash, std::equal_to<>>;

// How one word reads under one notation: one colour, or two joined ones.
struct WordReading {
  bool known = false;
  bool code = false;    // through the notation's codes, not through a full word
  bool joined = false;  // two codes without a mark between
  std::string first;
  std::string second;
};

class Notation {
 public:
  Notation(const ColourNotation& notation, const CodeMap& words) : name_(notation.name), words_(words) {
    for (const auto& [code, colour] : notation.codes) codes_.emplace(code, colour);
  }

  const std::string& name() const { return name_; }

  WordReading read(const std::string& word) const {
    const std::string code = upper(word);
    if (const auto found = codes_.find(code); found != codes_.end()) {
      return {true, true, false, found->second, ""};
    }
    if (const auto found = words_.find(lower_case(word)); found != words_.end()) {
      return {true, false, false, found->second, ""};
    }
    return read_joined(word, code);
  }

 private:
  // "BkYe" is cut at the capital; "BKYE" in the middle first, then with the longest first code.
  WordReading read_joined(const std::string& word, const std::string& code) const {
    if (code.size() < 2 || code.size() > 6) return {};
    std::vector<std::size_t> cuts;
    for (std::size_t i = 1; i < word.size(); ++i) {
      if (word[i] == code[i] && word[i - 1] != code[i - 1]) cuts.push_back(i);
    }
    if (code.size() == 4) cuts.push_back(2);
    for (std::size_t i = code.size() - 1; i > 0; --i) cuts.push_back(i);
    for (const std::size_t cut : cuts) {
      const auto first = codes_.find(std::string_view(code).substr(0, cut));
      const auto second = codes_.find(std::string_view(code).substr(cut));
      if (first != codes_.end() && second != codes_.end()) {
        return {true, true, true, first->second, second->second};
      }
    }
    return {};
  }

  std::string name_;
  const CodeMap& words_;
  CodeMap codes_;
};

bool has_no_shades(std::string_view colour) {
  return colour == "BK" || colour == "RD" || colour == "WH" || colour == "YE" || colour == "OG";
}

// One list entry per distinct word of the column.
struct Column {
  std::vector<ColourCell> cells;     // distinct cells
  std::vector<std::size_t> cell_of;  // raw -> cell
  std::vector<std::string> words;    // distinct words, in order of appearance
  std::unordered_map<std::string, std::size_t> word_index;
};

// "L.Green" and "D/Blue": a single letter before the name of a colour that has shades is light or dark, not a colour.
bool tells_shade(std::string_view word, std::string_view colour) {
  const std::string letter = upper(word);
  if (letter == "D") return !colour.empty() && colour != "BK" && colour != "WH";
  return letter == "L" && !colour.empty() && !has_no_shades(colour);
}

void drop_shade_letters(ColourCell& cell, const CodeMap& names) {
  std::vector<ColourWord> kept;
  for (std::size_t i = 0; i < cell.words.size(); ++i) {
    if (i + 1 < cell.words.size()) {
      const auto next = names.find(lower_case(cell.words[i + 1].text));
      if (next != names.end() && tells_shade(cell.words[i].text, next->second)) {
        cell.words[i + 1].marked = cell.words[i].marked;
        continue;
      }
    }
    kept.push_back(cell.words[i]);
  }
  cell.words = std::move(kept);
}

Column take_column(std::span<const std::string_view> raw, const CodeMap& names) {
  Column column;
  std::unordered_map<std::string_view, std::size_t> seen;
  for (const std::string_view text : raw) {
    const auto [at, fresh] = seen.try_emplace(text, column.cells.size());
    column.cell_of.push_back(at->second);
    if (!fresh) continue;
    column.cells.push_back(split_colour_cell(text));
    drop_shade_letters(column.cells.back(), names);
    for (const ColourWord& word : column.cells.back().words) {
      if (column.word_index.try_emplace(word.text, column.words.size()).second) {
        column.words.push_back(word.text);
      }
    }
  }
  return column;
}

// Words that stand after a first one without a mark ("red left") may be remarks: no evidence against a
// notation.
std::vector<bool> words_that_count(const Column& column) {
  std::vector<bool> counts(column.words.size(), false);
  for (const ColourCell& cell : column.cells) {
    for (std::size_t i = 0; i < cell.words.size(); ++i) {
      if (i == 0 || cell.words[i].marked) counts[column.word_index.at(cell.words[i].text)] = true;
    }
  }
  return counts;
}

struct Candidate {
  double score = 0.0;
  bool uses_codes = false;
  std::vector<WordReading> readings;  // one for each distinct word
};

Candidate judge(const Notation& notation, const Column& column, const std::vector<bool>& counts) {
  Candidate candidate;
  std::map<std::string, std::string> code_of;  // colour -> the code met for it
  bool black = false;
  std::size_t colours = 0;
  for (std::size_t i = 0; i < column.words.size(); ++i) {
    candidate.readings.push_back(notation.read(column.words[i]));
    const WordReading& reading = candidate.readings.back();
    if (!reading.known) {
      if (counts[i]) candidate.score += kUnknownCode;
      continue;
    }
    candidate.uses_codes = candidate.uses_codes || reading.code;
    if (reading.joined) candidate.score += column.words[i].size() >= 4 ? kJoinedCodes : kJoinedLetters;
    black = black || reading.first == "BK" || reading.second == "BK";
    colours += reading.joined ? 0 : 1;
    if (!reading.code || reading.joined || !has_no_shades(reading.first)) continue;
    const std::string code = upper(column.words[i]);
    const auto [at, fresh] = code_of.try_emplace(reading.first, code);
    if (!fresh && at->second != code) candidate.score += kTwoCodesOneColour;
  }
  if (!black && colours >= kManyColours) candidate.score += kNoBlack;
  return candidate;
}

struct CellReading {
  std::string base;
  std::string tracer;
  std::vector<std::string> doubts;
};

void add_colour(CellReading& reading, const std::string& colour, int& count, const std::string& word) {
  ++count;
  if (colour.empty()) {
    reading.doubts.push_back(fmt::format("\"{}\" is a colour without letters in IEC 60757", word));
  } else if (count == 1) {
    reading.base = colour;
  } else if (count == 2) {
    reading.tracer = colour;
  } else {
    reading.doubts.push_back("a third colour is named: " + word);
  }
}

CellReading read_cell(const ColourCell& cell, const Column& column, const Candidate& candidate) {
  CellReading reading;
  int count = 0;
  for (const ColourWord& word : cell.words) {
    const WordReading& known = candidate.readings[column.word_index.at(word.text)];
    if (known.known) {
      add_colour(reading, known.first, count, word.text);
      if (known.joined) add_colour(reading, known.second, count, word.text);
    } else if (count == 0) {
      reading.doubts.push_back("colour \"" + word.text + "\" is not known");
      count = 2;  // what follows is not the base
    } else if (word.marked) {
      reading.doubts.push_back("the second colour \"" + word.text + "\" is not known");
    } else {
      reading.doubts.push_back("the colour cell carries a note: \"" + word.text + "\"");
    }
  }
  if (cell.choice || reading.base.empty()) {
    reading.base.clear();
    reading.tracer.clear();
  }
  return reading;
}

bool same_colours(const CellReading& a, const CellReading& b) {
  return a.base + a.tracer == b.base + b.tracer;  // GNYE is GN with YE
}

std::string letters_of(const CellReading& reading) {
  if (reading.base.empty()) return "unknown";
  return reading.tracer.empty() ? reading.base : reading.base + "/" + reading.tracer;
}

// Words of four letters and more are known without their accents too; "bla" and "gra" are codes elsewhere.
constexpr std::size_t kShortestWithoutAccents = 4;

CodeMap full_words(std::span<const ColourNotation> notations) {
  CodeMap words, plain;
  for (const ColourNotation& notation : notations) {
    if (!notation.full_words) continue;
    for (const auto& [word, colour] : notation.codes) {
      words.emplace(lower_case(word), colour);
      for (std::string folded : {folded_together(word), folded_together(umlauts_spelled_out(word))})
        if (folded.size() >= kShortestWithoutAccents) plain.emplace(std::move(folded), colour);
    }
  }
  words.merge(plain);  // what has its accents comes first
  return words;
}

// Names of colours: full words, and codes long enough to be told from letters.
CodeMap colour_names(std::span<const ColourNotation> notations, const CodeMap& words) {
  CodeMap names = words;
  for (const ColourNotation& notation : notations) {
    if (notation.full_words) continue;
    for (const auto& [code, colour] : notation.codes)
      if (code.size() >= 3) names.emplace(lower_case(code), colour);
  }
  return names;
}

struct Verdict {
  std::vector<std::string> names;
  std::vector<Candidate> candidates;
  std::size_t best = 0;
};

Verdict judge_all(std::span<const ColourNotation> notations, const Column& column, const CodeMap& words) {
  Verdict verdict;
  const std::vector<bool> counts = words_that_count(column);
  for (const ColourNotation& notation : notations) {
    if (notation.full_words) continue;
    Candidate candidate = judge(Notation(notation, words), column, counts);
    candidate.score += kLaterNotation * static_cast<double>(verdict.names.size());
    verdict.names.push_back(notation.name);
    verdict.candidates.push_back(std::move(candidate));
    if (verdict.candidates.back().score > verdict.candidates[verdict.best].score) {
      verdict.best = verdict.candidates.size() - 1;
    }
  }
  if (verdict.candidates.empty()) {
    verdict.names.emplace_back("words");
    verdict.candidates.push_back(judge(Notation({}, words), column, counts));
  }
  return verdict;
}

// Other notations nearly as likely, likeliest first.
std::vector<std::size_t> rivals_of(const Verdict& verdict) {
  std::vector<std::size_t> rivals;
  for (std::size_t i = 0; i < verdict.candidates.size(); ++i) {
    const double behind = verdict.candidates[verdict.best].score - verdict.candidates[i].score;
    if (i != verdict.best && behind <= kNearlyAsLikely) rivals.push_back(i);
  }
  std::stable_sort(rivals.begin(), rivals.end(), [&](std::size_t a, std::size_t b) {
    return verdict.candidates[a].score > verdict.candidates[b].score;
  });
  return rivals;
}

}  // namespace

ColourReading read_colours(std::span<const std::string_view> raw, std::span<const ColourNotation> notations) {
  const CodeMap words = full_words(notations);
  const Column column = take_column(raw, colour_names(notations, words));
  const Verdict verdict = judge_all(notations, column, words);
  const std::vector<std::size_t> rivals = rivals_of(verdict);
  ColourReading result;
  const Candidate& best = verdict.candidates[verdict.best];
  result.notation = best.uses_codes ? verdict.names[verdict.best] : "words";

  std::vector<CellReading> readings;
  for (const ColourCell& cell : column.cells) {
    CellReading reading = read_cell(cell, column, best);
    const std::string chosen = letters_of(reading);
    for (const std::size_t rival : rivals) {
      const CellReading other = read_cell(cell, column, verdict.candidates[rival]);
      if (same_colours(other, reading) || other.base.empty()) continue;
      reading.doubts.push_back("read as " + chosen + "; under \"" + verdict.names[rival] + "\" it would be " +
                               letters_of(other));
      if (!result.alternative) result.alternative = verdict.names[rival];
      break;
    }
    reading.doubts.insert(reading.doubts.begin(), cell.doubts.begin(), cell.doubts.end());
    readings.push_back(std::move(reading));
  }
  for (std::size_t i = 0; i < raw.size(); ++i) {
    const CellReading& reading = readings[column.cell_of[i]];
    result.colours.push_back({reading.base, reading.tracer, std::string(raw[i])});
    result.doubts.push_back(reading.doubts);
  }
  return result;
}

std::string print(const Colour& colour) {
  if (!colour.known()) return colour.raw;
  return colour.tracer.empty() ? colour.base : colour.base + "/" + colour.tracer;
}

}  // namespace loomgraft
