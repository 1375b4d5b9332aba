#include "draw/paper.h"

#include <string>

#include "standards/named_figures.h"

namespace loomgraft {

double paper_figure(std::string_view name) {
  static const NamedFigures all("paper.csv", "value_mm");
  return all.at(name);
}

PaperSize size_of(Paper paper, bool portrait) {
  const std::string name = paper == Paper::a3 ? "a3" : "a4";
  const double shorter = paper_figure(name + "_short");
  const double longer = paper_figure(name + "_long");
  return portrait ? PaperSize{shorter, longer} : PaperSize{longer, shorter};
}

}  // namespace loomgraft
