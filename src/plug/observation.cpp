#include "plug/observation.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "base/ascii.h"
#include "plug/observation_terms.h"

namespace loomgraft {

using namespace plug;
namespace {

using Kind = GlimpseWordKind;

constexpr const char* example =
    "Write it like this: r1c1 YE/BU, r1c2 empty, r2c5 RD large, two BK somewhere, latch top, from wire side";
constexpr int most_copies = 40;  // "two blacks" is a glimpse, "two hundred" is not

// ---- colours

bool read_by_all(const ColourNotation& notation) {
  return notation.name == "IEC 60757" || notation.name.starts_with("words ");
}

std::string look_up(std::string_view code, std::span<const ColourNotation> notations) {
  const std::string wanted = upper(code);
  for (const ColourNotation& notation : notations) {
    if (!read_by_all(notation)) continue;
    for (const auto& [written, letters] : notation.codes) {
      if (upper(written) == wanted && !letters.empty()) return letters;
    }
  }
  return "";
}

// One colour in IEC letters or in a word, singular or plural; empty where it is neither.
std::string plain_colour(std::string_view code, std::span<const ColourNotation> notations) {
  std::string letters = look_up(code, notations);
  if (letters.empty() && code.size() > 3 && (code.back() == 's' || code.back() == 'S')) {
    letters = look_up(code.substr(0, code.size() - 1), notations);
  }
  return letters;
}

// "YE/BU", "yellow-blue", "YE/-"; unknown where some part is in another notation.
Colour plain_colours(std::string_view code, std::span<const ColourNotation> notations) {
  Colour colour;
  colour.raw = code;
  const std::size_t cut = code.find_first_of("/-+");
  const std::string base = plain_colour(code.substr(0, cut), notations);
  if (base.empty()) {
    if (code.size() != 4) return colour;  // "YEBU": two codes without a sign between them
    colour.base = plain_colour(code.substr(0, 2), notations);
    colour.tracer = plain_colour(code.substr(2), notations);
    if (colour.base.empty() || colour.tracer.empty()) colour.base = colour.tracer = "";
    return colour;
  }
  if (cut != std::string_view::npos) {
    const std::string_view tracer = code.substr(cut + 1);
    colour.tracer = plain_colour(tracer, notations);
    if (colour.tracer.empty() && !tracer.empty() && tracer != "-") return colour;
  }
  colour.base = base;
  return colour;
}

// ---- sightings

struct Draft {
  Sighting sighting;
  bool placed = false;
  bool impossible = false;
  int copies = 1;
  bool tracer_next = false;
  int column = 0;  // of its first word

  bool says_something() const {
    return !sighting.colour.raw.empty() || sighting.empty.has_value() || sighting.large.has_value();
  }
};

class Reader {
 public:
  explicit Reader(std::span<const ColourNotation> notations) : notations_(notations) {}

  GlimpseReading read(std::string_view text) {
    words_ = glimpse_words(text);
    for (at_ = 0; at_ < words_.size(); ++at_) take(words_[at_]);
    finish_clause();
    settle_colours();
    return std::move(reading_);
  }

 private:
  void complain(Severity severity, const char* code, int column, std::string message, std::string remedy) {
    Location location;
    location.line = 1;
    location.column = column;
    reading_.problems.push_back({severity, code, std::move(location), std::move(message), std::move(remedy)});
  }

  void not_understood(const GlimpseWord& word) {
    complain(Severity::warning, "glimpse-unclear", word.column,
             fmt::format("\"{}\" is not understood and is left out.", word.raw), example);
  }

  void touch(const GlimpseWord& word) {
    if (draft_.column == 0) draft_.column = word.column;
    if (!word.unsure) return;
    complain(Severity::note, "glimpse-unsure", word.column,
             fmt::format("\"{}\" counts like everything else, question mark or not.", word.raw),
             "Leave out what you are not sure of; other places say more.");
  }

  void take(const GlimpseWord& word) {
    switch (word.kind) {
      case Kind::separator:
        finish_clause();
        break;
      case Kind::place:
        take_place(word, word.row_number, word.column_number);
        break;
      case Kind::row:
      case Kind::column:
        take_spelled_place(word);
        break;
      case Kind::number:
        take_count(word);
        break;
      case Kind::empty:
        take_emptiness(word, true);
        break;
      case Kind::wire:
        take_emptiness(word, false);
        break;
      case Kind::size:
        take_size(word);
        break;
      case Kind::latch:
        latch_named_ = true;
        latch_column_ = word.column;
        break;
      case Kind::side:
        take_side(word);
        break;
      case Kind::view:
        take_view(word);
        break;
      case Kind::tracer:
        draft_.tracer_next = !draft_.sighting.colour.raw.empty();
        break;
      case Kind::somewhere:
      case Kind::filler:
        break;
      case Kind::other:
        take_colour(word);
        break;
    }
  }

  void take_place(const GlimpseWord& word, int row, int column) {
    // A colour before its place belongs to it; anything else starts a new sighting.
    if (draft_.placed) finish_sighting();
    touch(word);
    draft_.placed = true;
    draft_.impossible = row < 0 || column < 0;
    draft_.sighting.row = std::max(0, row);
    draft_.sighting.column = std::max(0, column);
    if (draft_.impossible) {
      complain(Severity::error, "place-impossible", word.column,
               fmt::format("\"{}\" cannot be a place: rows and columns count from 1.", word.raw), example);
    }
  }

  // "row 2 column 5": the number is the next word.
  void take_spelled_place(const GlimpseWord& word) {
    const bool numbered = at_ + 1 < words_.size() && words_[at_ + 1].kind == Kind::number;
    if (!numbered) {
      not_understood(word);
      return;
    }
    const int given = words_[++at_].number;
    const int number = given < 1 ? -1 : given;
    if (word.kind == Kind::row) {
      take_place(word, number, 0);
    } else if (draft_.placed && draft_.sighting.column == 0 && !draft_.says_something() && number > 0) {
      draft_.sighting.column = number;
    } else {
      take_place(word, 0, number);
    }
  }

  void take_count(const GlimpseWord& word) {
    if (word.number < 1 || word.number > most_copies) {
      not_understood(word);
      return;
    }
    touch(word);
    draft_.copies = word.number;
  }

  void take_emptiness(const GlimpseWord& word, bool empty) {
    // "red wire" says no more than "red".
    if (!empty && draft_.says_something()) return;
    if (!empty && next_is_colour()) return;
    touch(word);
    draft_.sighting.empty = empty;
  }

  bool next_is_colour() const { return at_ + 1 < words_.size() && words_[at_ + 1].kind == Kind::other; }

  void take_size(const GlimpseWord& word) {
    touch(word);
    draft_.sighting.large = word.large;
  }

  void take_side(const GlimpseWord& word) {
    side_ = word.side;
    side_word_ = word;
  }

  void take_view(const GlimpseWord& word) {
    View& view = reading_.glimpse.looked_from;
    if (view != View::unknown && view != word.view) {
      complain(Severity::warning, "glimpse-contradicts", word.column,
               "Two different sides are given as looked from; the last one is used.", example);
    }
    view = word.view;
  }

  void take_colour(const GlimpseWord& word) {
    touch(word);
    std::string raw = word.text;
    const bool open_end = raw.size() > 1 && raw.back() == '/';  // "yellow/ blue"
    if (open_end) raw.pop_back();
    Colour& colour = draft_.sighting.colour;
    if (draft_.tracer_next) {
      raw = colour.raw + "/" + raw;
      draft_.tracer_next = false;
    } else if (!colour.raw.empty()) {
      // A second colour without a sign: "YE BU" may be one wire or two.
      not_understood(word);
      return;
    }
    colour = plain_colours(raw, notations_);
    colour.raw = raw;
    draft_.tracer_next = open_end;
    if (draft_.sighting.empty == false) draft_.sighting.empty.reset();
  }

  void finish_clause() {
    finish_sighting();
    if (latch_named_ && side_ == Side::unknown) {
      complain(Severity::warning, "glimpse-unclear", latch_column_,
               "On which side the latch is, is not said.", "Write for example: latch top");
    } else if (!latch_named_ && side_ != Side::unknown) {
      not_understood(side_word_);
    } else if (latch_named_) {
      reading_.glimpse.latch = side_;
    }
    latch_named_ = false;
    side_ = Side::unknown;
  }

  void finish_sighting() {
    const Draft done = std::exchange(draft_, Draft{});
    if (done.impossible) return;
    if (!done.says_something()) {
      if (done.placed) {
        complain(Severity::warning, "glimpse-unclear", done.column,
                 "Nothing is said of what is at this place.", example);
      }
      return;
    }
    const int copies = done.placed ? 1 : done.copies;
    for (int i = 0; i < copies; ++i) {
      reading_.glimpse.sightings.push_back(done.sighting);
      columns_.push_back(done.column);
    }
  }

  // Letters of other notations are read all together: only a whole glimpse tells what B stands for.
  void settle_colours() {
    std::vector<Sighting>& sightings = reading_.glimpse.sightings;
    std::vector<std::string_view> raw;
    std::vector<std::size_t> owner;
    bool open = false;
    for (std::size_t i = 0; i < sightings.size(); ++i) {
      if (sightings[i].colour.raw.empty()) continue;
      raw.push_back(sightings[i].colour.raw);
      owner.push_back(i);
      open = open || !sightings[i].colour.known();
    }
    if (!open) return;
    const ColourReading read = read_colours(raw, notations_);
    for (std::size_t k = 0; k < owner.size(); ++k) {
      if (sightings[owner[k]].colour.known()) continue;
      settle_colour(sightings[owner[k]], columns_[owner[k]], read, k);
    }
    drop_unread();
  }

  void settle_colour(Sighting& sighting, int column, const ColourReading& read, std::size_t k) {
    const std::string raw = sighting.colour.raw;
    if (k < read.colours.size() && read.colours[k].known()) {
      sighting.colour = read.colours[k];
      sighting.colour.raw = raw;
      complain(Severity::note, "colour-notation", column,
               fmt::format("\"{}\" is read as {}{} ({}).", raw, sighting.colour.base,
                           sighting.colour.tracer.empty() ? "" : "/" + sighting.colour.tracer, read.notation),
               "Use IEC letters (BK, BU, GN, GY ...) or words to be sure.");
      if (read.alternative) {
        complain(Severity::warning, "colour-ambiguous", column,
                 fmt::format("\"{}\" may mean another colour ({}).", raw, *read.alternative),
                 "Use IEC letters (BK, BU, GN, GY ...) or words.");
      }
      return;
    }
    complain(Severity::warning, "glimpse-unclear", column,
             fmt::format("\"{}\" is not understood and is left out.", raw), example);
    sighting.colour = {};
  }

  void drop_unread() {
    std::erase_if(reading_.glimpse.sightings, [](const Sighting& sighting) {
      return !sighting.colour.known() && !sighting.empty.has_value() && !sighting.large.has_value();
    });
  }

  std::span<const ColourNotation> notations_;
  std::vector<GlimpseWord> words_;
  std::size_t at_ = 0;
  Draft draft_;
  std::vector<int> columns_;
  bool latch_named_ = false;
  int latch_column_ = 0;
  Side side_ = Side::unknown;
  GlimpseWord side_word_;
  GlimpseReading reading_;
};

}  // namespace

GlimpseReading read_glimpse(std::string_view text, std::span<const ColourNotation> notations) {
  return Reader(notations).read(text);
}

}  // namespace loomgraft
