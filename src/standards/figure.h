// A published figure with its spread and where it comes from.
//
// Model   lowest, typical and highest in SI units (temperatures in Celsius); any of them may be absent
// Gives   status as in data/: "looked up", "from memory", "common practice", "computed"
#pragma once

#include <optional>
#include <string>

namespace loomgraft {

struct Figure {
  std::optional<double> lowest;
  std::optional<double> typical;
  std::optional<double> highest;
  std::string unit;
  std::string source;
  std::string status;
  bool operator==(const Figure&) const = default;

  // The bound where it is stated, else typical, else the other bound. Needs one of the three.
  double low() const { return lowest ? *lowest : typical ? *typical : *highest; }
  double high() const { return highest ? *highest : typical ? *typical : *lowest; }
  // Typical where it is stated, else the middle of the bounds.
  double middle() const {
    if (typical) return *typical;
    return lowest && highest ? (*lowest + *highest) / 2 : low();
  }
};

}  // namespace loomgraft
