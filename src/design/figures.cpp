#include "design/figures.h"

#include "standards/named_figures.h"

namespace loomgraft::design {

double design_figure(std::string_view name) {
  static const NamedFigures all("design_figures.csv", "value");
  return all.at(name);
}

}  // namespace loomgraft::design
