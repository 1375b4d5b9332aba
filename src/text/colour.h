// Wire colours: IEC 60757 letters inside, any notation outside.
//
// Model   a notation maps codes to colours; letters clash between notations (B is black or blue, G green or
//         grey), so the notation is inferred for a whole column of colours at once: the one that reads all of
//         it consistently wins
// Gives   for each raw text the base and tracer as IEC 60757 letters ("BU", "YE"), empty where it could not
//         be read
// Fails   never: an unreadable colour stays raw, with a doubt; a notation nearly as likely as the winner is a
//         doubt too
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace loomgraft {

struct Colour {
  std::string base;    // IEC 60757: BK BN RD OG YE GN BU VT GY WH PK TQ SR GD GNYE; empty is unknown
  std::string tracer;  // the second colour, empty where there is none
  std::string raw;     // as the source wrote it
  bool operator==(const Colour&) const = default;
  bool known() const { return !base.empty(); }
};

struct ColourNotation {
  std::string name;
  std::vector<std::pair<std::string, std::string>> codes;  // code in upper case -> IEC 60757 letters
  bool full_words = false;  // the codes are full words of a language, valid beside any notation
};

struct ColourReading {
  std::vector<Colour> colours;  // one for each raw text, in order
  std::string notation;         // the winner's name
  std::optional<std::string>
      alternative;  // a notation nearly as likely under which some colour reads otherwise
  std::vector<std::vector<std::string>> doubts;  // one list for each raw text
};

ColourReading read_colours(std::span<const std::string_view> raw, std::span<const ColourNotation> notations);

// "YE/BU": base and tracer in IEC 60757 letters, or the raw text where unknown.
std::string print(const Colour& colour);

}  // namespace loomgraft
