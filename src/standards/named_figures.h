// Figures that a table of data/ lists by name.
//
// Needs   columns "name" and the one asked for, which holds numbers
// Fails   an unknown name, like a table that is not there, is a bug: std::logic_error
#pragma once

#include <map>
#include <string>
#include <string_view>

namespace loomgraft {

class NamedFigures {
 public:
  NamedFigures(const char* table, const char* column);
  double at(std::string_view name) const;

 private:
  std::string table_;
  std::map<std::string, double, std::less<>> figures_;
};

}  // namespace loomgraft
