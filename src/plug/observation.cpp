#include "plug/observation.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "base/ascii.h"
#include "plug/observation_terms.h"

namespace loomgraft {

using namespace plug;
namespace {

using Kind = ObservationTermKind;

constexpr const char* example =
    "Write it like this: r1c1 YE/BU, r1c2 empty, r2c5 RD large, two BK somewhere, latch top, from wire side";
constexpr int most_copies = 40;  // "two blacks" is plausible, "two hundred" is not

// ---- colours

bool read_by_all(const ColourNotation& notation) {
  return notation.name == "IEC 60757" || notation.full_words;
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

// One colour in IEC letters or as a word, singular or plural; empty where it is neither.
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

// ---- observed cavities

struct Draft {
  ObservedCavity observed;
  bool placed = false;
  bool impossible = false;
  int copies = 1;
  bool tracer_next = false;
  int column = 0;  // of its first term

  bool has_content() const {
    return !observed.colour.raw.empty() || observed.empty.has_value() || observed.large.has_value();
  }
};

class Reader {
 public:
  explicit Reader(std::span<const ColourNotation> notations) : notations_(notations) {}

  ObservationReading read(std::string_view text) {
    terms_ = observation_terms(text);
    for (at_ = 0; at_ < terms_.size(); ++at_) take(terms_[at_]);
    finish_clause();
    resolve_colours();
    return std::move(reading_);
  }

 private:
  void add_problem(Severity severity, ProblemCode code, int column, std::string message, std::string remedy) {
    Location location;
    location.line = 1;
    location.column = column;
    reading_.problems.push_back({severity, code, std::move(location), std::move(message), std::move(remedy)});
  }

  void not_understood(const ObservationTerm& term) {
    add_problem(Severity::warning, "observation-unclear", term.column,
                fmt::format("\"{}\" is not understood and is left out.", term.raw), example);
  }

  void touch(const ObservationTerm& term) {
    if (draft_.column == 0) draft_.column = term.column;
    if (!term.unsure) return;
    add_problem(Severity::note, "observation-unsure", term.column,
                fmt::format("\"{}\" counts fully, in spite of the question mark.", term.raw),
                "Leave out what you are not sure of; another cavity is more useful.");
  }

  void take(const ObservationTerm& term) {
    switch (term.kind) {
      case Kind::separator:
        finish_clause();
        break;
      case Kind::position:
        take_position(term, term.row_number, term.column_number);
        break;
      case Kind::row:
      case Kind::column:
        take_spelled_position(term);
        break;
      case Kind::number:
        take_count(term);
        break;
      case Kind::empty:
        take_emptiness(term, true);
        break;
      case Kind::wire:
        take_emptiness(term, false);
        break;
      case Kind::size:
        take_size(term);
        break;
      case Kind::latch:
        latch_named_ = true;
        latch_column_ = term.column;
        break;
      case Kind::side:
        take_side(term);
        break;
      case Kind::view:
        take_view(term);
        break;
      case Kind::tracer:
        draft_.tracer_next = !draft_.observed.colour.raw.empty();
        break;
      case Kind::somewhere:
      case Kind::filler:
        break;
      case Kind::other:
        take_colour(term);
        break;
    }
  }

  void take_position(const ObservationTerm& term, int row, int column) {
    // A colour before its position belongs to it; anything else starts a new item.
    if (draft_.placed) finish_cavity();
    touch(term);
    draft_.placed = true;
    draft_.impossible = row < 0 || column < 0;
    draft_.observed.row = std::max(0, row);
    draft_.observed.column = std::max(0, column);
    if (draft_.impossible) {
      add_problem(Severity::error, "place-impossible", term.column,
                  fmt::format("\"{}\" cannot be a position: rows and columns count from 1.", term.raw),
                  example);
    }
  }

  // "row 2 column 5": the number is the next term.
  void take_spelled_position(const ObservationTerm& term) {
    const bool numbered = at_ + 1 < terms_.size() && terms_[at_ + 1].kind == Kind::number;
    if (!numbered) {
      not_understood(term);
      return;
    }
    const int given = terms_[++at_].number;
    const int number = given < 1 ? -1 : given;
    if (term.kind == Kind::row) {
      take_position(term, number, 0);
    } else if (draft_.placed && draft_.observed.column == 0 && !draft_.has_content() && number > 0) {
      draft_.observed.column = number;
    } else {
      take_position(term, 0, number);
    }
  }

  void take_count(const ObservationTerm& term) {
    if (term.number < 1 || term.number > most_copies) {
      not_understood(term);
      return;
    }
    touch(term);
    draft_.copies = term.number;
  }

  void take_emptiness(const ObservationTerm& term, bool empty) {
    // "red wire" means the same as "red".
    if (!empty && draft_.has_content()) return;
    if (!empty && next_is_colour()) return;
    touch(term);
    draft_.observed.empty = empty;
  }

  bool next_is_colour() const { return at_ + 1 < terms_.size() && terms_[at_ + 1].kind == Kind::other; }

  void take_size(const ObservationTerm& term) {
    touch(term);
    draft_.observed.large = term.large;
  }

  void take_side(const ObservationTerm& term) {
    side_ = term.side;
    side_term_ = term;
  }

  void take_view(const ObservationTerm& term) {
    View& view = reading_.observation.looked_from;
    if (view != View::unknown && view != term.view) {
      add_problem(Severity::warning, "observation-contradicts", term.column,
                  "Two different viewing sides are given; the last one is used.", example);
    }
    view = term.view;
  }

  void take_colour(const ObservationTerm& term) {
    touch(term);
    std::string raw = term.text;
    const bool open_end = raw.size() > 1 && raw.back() == '/';  // "yellow/ blue"
    if (open_end) raw.pop_back();
    Colour& colour = draft_.observed.colour;
    if (draft_.tracer_next) {
      raw = colour.raw + "/" + raw;
      draft_.tracer_next = false;
    } else if (!colour.raw.empty()) {
      // A second colour without a sign: "YE BU" may be one wire or two.
      not_understood(term);
      return;
    }
    colour = plain_colours(raw, notations_);
    colour.raw = raw;
    draft_.tracer_next = open_end;
    if (draft_.observed.empty == false) draft_.observed.empty.reset();
  }

  void finish_clause() {
    finish_cavity();
    if (latch_named_ && side_ == Side::unknown) {
      add_problem(Severity::warning, "observation-unclear", latch_column_,
                  "The side of the latch is missing.", "Write for example: latch top");
    } else if (!latch_named_ && side_ != Side::unknown) {
      not_understood(side_term_);
    } else if (latch_named_) {
      reading_.observation.latch = side_;
    }
    latch_named_ = false;
    side_ = Side::unknown;
  }

  void finish_cavity() {
    const Draft done = std::exchange(draft_, Draft{});
    if (done.impossible) return;
    if (!done.has_content()) {
      if (done.placed) {
        add_problem(Severity::warning, "observation-unclear", done.column,
                    "Nothing is stated about this position.", example);
      }
      return;
    }
    const int copies = done.placed ? 1 : done.copies;
    for (int i = 0; i < copies; ++i) {
      reading_.observation.cavities.push_back(done.observed);
      columns_.push_back(done.column);
    }
  }

  // Letters of other notations are read together: only the whole observation shows what B stands for.
  void resolve_colours() {
    std::vector<ObservedCavity>& cavities = reading_.observation.cavities;
    std::vector<std::string_view> raw;
    std::vector<std::size_t> owner;
    bool open = false;
    for (std::size_t i = 0; i < cavities.size(); ++i) {
      if (cavities[i].colour.raw.empty()) continue;
      raw.push_back(cavities[i].colour.raw);
      owner.push_back(i);
      open = open || !cavities[i].colour.known();
    }
    if (!open) return;
    const ColourReading read = read_colours(raw, notations_);
    for (std::size_t k = 0; k < owner.size(); ++k) {
      if (cavities[owner[k]].colour.known()) continue;
      resolve_colour(cavities[owner[k]], columns_[owner[k]], read, k);
    }
    drop_unread();
  }

  void resolve_colour(ObservedCavity& observed, int column, const ColourReading& read, std::size_t k) {
    const std::string raw = observed.colour.raw;
    if (k < read.colours.size() && read.colours[k].known()) {
      observed.colour = read.colours[k];
      observed.colour.raw = raw;
      add_problem(
          Severity::note, "colour-notation", column,
          fmt::format("\"{}\" is read as {}{} ({}).", raw, observed.colour.base,
                      observed.colour.tracer.empty() ? "" : "/" + observed.colour.tracer, read.notation),
          "Use IEC letters (BK, BU, GN, GY ...) or words to be sure.");
      if (read.alternative) {
        add_problem(Severity::warning, "colour-ambiguous", column,
                    fmt::format("\"{}\" may mean another colour ({}).", raw, *read.alternative),
                    "Use IEC letters (BK, BU, GN, GY ...) or words.");
      }
      return;
    }
    add_problem(Severity::warning, "observation-unclear", column,
                fmt::format("\"{}\" is not understood and is left out.", raw), example);
    observed.colour = {};
  }

  void drop_unread() {
    std::erase_if(reading_.observation.cavities, [](const ObservedCavity& observed) {
      return !observed.colour.known() && !observed.empty.has_value() && !observed.large.has_value();
    });
  }

  std::span<const ColourNotation> notations_;
  std::vector<ObservationTerm> terms_;
  std::size_t at_ = 0;
  Draft draft_;
  std::vector<int> columns_;
  bool latch_named_ = false;
  int latch_column_ = 0;
  Side side_ = Side::unknown;
  ObservationTerm side_term_;
  ObservationReading reading_;
};

}  // namespace

ObservationReading read_observation(std::string_view text, std::span<const ColourNotation> notations) {
  return Reader(notations).read(text);
}

}  // namespace loomgraft
