// Paper to print on and how large letters must be there (data/paper.csv).
//
// Gives   lengths in millimetres
// Fails   an unknown name is a bug: std::logic_error
#pragma once

#include <string_view>

namespace loomgraft {

enum class Paper { a4, a3 };

struct PaperSize {
  double width = 0.0;
  double height = 0.0;
};

PaperSize size_of(Paper paper, bool portrait);

// "least_letter", "name_letter", "bare_edge"
double paper_figure(std::string_view name);

}  // namespace loomgraft
