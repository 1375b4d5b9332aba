#include "prove/figures.h"

#include "standards/named_figures.h"

namespace loomgraft::prove {

double probe_minutes(std::string_view name) {
  static const NamedFigures all("probe_minutes.csv", "minutes");
  return all.at(name);
}

double prove_figure(std::string_view name) {
  static const NamedFigures all("prove_figures.csv", "value");
  return all.at(name);
}

}  // namespace loomgraft::prove
