#include <algorithm>
#include <cmath>

#include "circuit/law.h"
#include "readings/spread_internal.h"

namespace loomgraft::readings {
namespace {

using SpreadFigure = Spread::Figure;

double& figure_of(Resistor& item, SpreadFigure) {
  return item.resistance.si;
}
double& figure_of(LimitedSource& item, SpreadFigure figure) {
  if (figure == SpreadFigure::volts) return item.voltage.si;
  return figure == SpreadFigure::limit ? item.limit.si : item.resistance.si;
}
double& figure_of(Diode& item, SpreadFigure figure) {
  if (figure == SpreadFigure::volts) return item.forward.si;
  return figure == SpreadFigure::limit ? item.off_resistance.si : item.on_resistance.si;
}

struct LinearBranch {
  NodalBranch branch;
  double held = 0.0;
};

LinearBranch linear(const Law& law, int piece, NodeId a, NodeId b) {
  const auto at = static_cast<std::size_t>(piece);
  return {{a.value, b.value, law.slope[at], law.emf[at]}, law.held[at]};
}

// On the piece that the nominal element is on, wherever its own knees are.
LinearBranch on_piece_of(const Resistor&, const Resistor& item, double) {
  return {{item.a.value, item.b.value, 1.0 / item.resistance.si, 0.0}, 0.0};
}
LinearBranch on_piece_of(const LimitedSource& nominal, const LimitedSource& item, double volts) {
  if (std::isinf(nominal.limit.si))
    return {{item.plus.value, item.minus.value, 1.0 / item.resistance.si, item.voltage.si}, 0.0};
  return linear(law_of(item), piece_at(law_of(nominal), volts), item.plus, item.minus);
}
LinearBranch on_piece_of(const Diode& nominal, const Diode& item, double volts) {
  return linear(law_of(item), piece_at(law_of(nominal), volts), item.anode, item.cathode);
}

struct Finder {
  const LinearisedNetwork& linearised;
  const OperatingPoint& point;
  ChangedFronts work;
  bool weighed = true;
  std::vector<Spread> found;
  Carried carried;

  // The effect of either end on the circuit, as a change of conductance and of injected current.
  void weigh(Spread& spread) {
    const NodalBranch& now = linearised.branches[spread.branch];
    const Dipole dipole = linearised.dipole({now.a}, {now.b});
    const double z = ohms_between(linearised, dipole, work, carried);
    const double volts = work.volts(dipole);
    spread.change.a = dipole.plus;
    spread.change.b = dipole.minus;
    for (std::size_t end = 0; end < 2; ++end) {
      const NodalBranch& then = spread.value[end];
      const double d = then.conductance - now.conductance;
      const double injected = then.conductance * then.emf - now.conductance * now.emf -
                              (spread.held[end] - linearised.held[spread.branch]);
      const double kept = 1.0 + d * z;
      spread.change.stiffness[end] = d / kept;
      spread.change.flow[end] = (d * volts - injected) / kept;
    }
  }

  template <class Element>
  void add(const Element& nominal, const Element& low, const Element& high, Spread spread,
           std::initializer_list<SpreadFigure> figures) {
    for (const SpreadFigure figure : figures) {
      Element one = nominal;
      const Element* ends[] = {&low, &high};
      spread.figure = figure;
      bool differs = false;
      const NodalBranch& branch = linearised.branches[spread.branch];
      const double volts = point.nodes[branch.a].si - point.nodes[branch.b].si;
      for (std::size_t end = 0; end < 2; ++end) {
        Element other = *ends[end];
        figure_of(one, figure) = figure_of(other, figure);
        const LinearBranch then = on_piece_of(nominal, one, volts);
        spread.value[end] = then.branch;
        spread.held[end] = then.held;
        // A figure that changes nothing on this piece may do so once another one has moved its element to the
        // next.
        Element same = nominal;
        differs = differs || figure_of(one, figure) != figure_of(same, figure);
      }
      if (!differs || branch.a == branch.b) continue;
      if (weighed) weigh(spread);
      found.push_back(spread);
    }
  }

  template <class Element>
  void add_all(ElementList list, std::size_t first, const std::vector<Element>& nominal,
               const std::vector<Element>& low, const std::vector<Element>& high,
               std::initializer_list<SpreadFigure> figures) {
    for (std::size_t k = 0; k < low.size(); ++k) {  // a meter after the last has no spread
      Spread spread;
      spread.list = list;
      spread.index = k;
      spread.branch = first + k;
      add(nominal[k], low[k], high[k], spread, figures);
    }
  }
};

template <class Element>
void set_end(std::vector<Element>& items, const std::vector<Element>& ends, const Spread& spread) {
  Element other = ends[spread.index];
  figure_of(items[spread.index], spread.figure) = figure_of(other, spread.figure);
}

double end_figure(const Circuit& circuit, const Spread& spread) {
  if (spread.list == ElementList::resistor) {
    Resistor item = circuit.resistors[spread.index];
    return figure_of(item, spread.figure);
  }
  if (spread.list == ElementList::source) {
    LimitedSource item = circuit.sources[spread.index];
    return figure_of(item, spread.figure);
  }
  Diode item = circuit.diodes[spread.index];
  return figure_of(item, spread.figure);
}

template <class Element>
bool same_ends(const std::vector<Element>& one, const std::vector<Element>& other, auto a, auto b) {
  return std::equal(one.begin(), one.end(), other.begin(), other.end(),
                    [&](const Element& x, const Element& y) { return x.*a == y.*a && x.*b == y.*b; });
}

}  // namespace

bool same_shape(const LoomNetwork& one, const LoomNetwork& other) {
  const Circuit& x = one.circuit;
  const Circuit& y = other.circuit;
  return x.node_count == y.node_count && one.branches.size() == other.branches.size() &&
         one.relays.size() == other.relays.size() &&
         same_ends(x.resistors, y.resistors, &Resistor::a, &Resistor::b) &&
         same_ends(x.sources, y.sources, &LimitedSource::plus, &LimitedSource::minus) &&
         same_ends(x.diodes, y.diodes, &Diode::anode, &Diode::cathode);
}

std::vector<Spread> spreads_of(const Circuit& nominal, const Ends& ends, const LinearisedNetwork& linearised,
                               const OperatingPoint& point, SpreadsWanted wanted) {
  const bool weighed = wanted != SpreadsWanted::unweighed;
  Finder finder{linearised, point, ChangedFronts(*linearised.tree, linearised.fronts), weighed, {}, {}};
  finder.found.reserve(linearised.branches.size());
  if (wanted != SpreadsWanted::all_but_resistors)
    finder.add_all(ElementList::resistor, 0, nominal.resistors, ends.low->resistors, ends.high->resistors,
                   {SpreadFigure::resistance});
  finder.add_all(ElementList::source, nominal.resistors.size(), nominal.sources, ends.low->sources,
                 ends.high->sources, {SpreadFigure::resistance, SpreadFigure::volts, SpreadFigure::limit});
  finder.add_all(ElementList::diode, nominal.resistors.size() + nominal.sources.size(), nominal.diodes,
                 ends.low->diodes, ends.high->diodes, {SpreadFigure::resistance, SpreadFigure::volts});
  return std::move(finder.found);
}

Circuit at_ends(const Circuit& nominal, const Ends& ends, std::span<const Spread> spreads,
                std::span<const int> end) {
  Circuit result = nominal;
  for (std::size_t k = 0; k < spreads.size(); ++k) {
    if (end[k] != 0 && end[k] != 1) continue;
    const Circuit& from = end[k] == 0 ? *ends.low : *ends.high;
    if (spreads[k].list == ElementList::resistor) set_end(result.resistors, from.resistors, spreads[k]);
    if (spreads[k].list == ElementList::source) set_end(result.sources, from.sources, spreads[k]);
    if (spreads[k].list == ElementList::diode) set_end(result.diodes, from.diodes, spreads[k]);
  }
  return result;
}

bool on_same_pieces(const Circuit& nominal, const OperatingPoint& point, const Circuit& circuit,
                    const OperatingPoint& there) {
  const auto same = [&](const auto& item, const auto& other, NodeId a, NodeId b) {
    const auto volts = [&](const OperatingPoint& at) { return at.nodes[a.value].si - at.nodes[b.value].si; };
    return piece_at(law_of(item), volts(point)) == piece_at(law_of(other), volts(there));
  };
  for (std::size_t k = 0; k < nominal.sources.size(); ++k) {
    const LimitedSource& item = nominal.sources[k];
    if (std::isfinite(item.limit.si) && !same(item, circuit.sources[k], item.plus, item.minus)) return false;
  }
  for (std::size_t k = 0; k < nominal.diodes.size(); ++k) {
    const Diode& item = nominal.diodes[k];
    if (!same(item, circuit.diodes[k], item.anode, item.cathode)) return false;
  }
  return true;
}

LinearisedNetwork on_nominal_pieces(const Circuit& nominal, const Circuit& circuit,
                                    const OperatingPoint& point) {
  LinearisedNetwork linearised;
  const auto volts = [&](NodeId a, NodeId b) { return point.nodes[a.value].si - point.nodes[b.value].si; };
  const auto add = [&](const LinearBranch& item) {
    linearised.branches.push_back(item.branch);
    linearised.held.push_back(item.held);
  };
  for (const Resistor& item : circuit.resistors) add(on_piece_of(item, item, 0.0));
  for (std::size_t k = 0; k < circuit.sources.size(); ++k) {
    const LimitedSource& item = circuit.sources[k];
    add(on_piece_of(nominal.sources[k], item, volts(item.plus, item.minus)));
  }
  for (std::size_t k = 0; k < circuit.diodes.size(); ++k) {
    const Diode& item = circuit.diodes[k];
    add(on_piece_of(nominal.diodes[k], item, volts(item.anode, item.cathode)));
  }
  return linearised;
}

std::vector<int> stiff_ends(const Circuit& nominal, const Ends& ends, std::span<const Spread> spreads,
                            bool stiff) {
  std::vector<int> end(spreads.size(), -1);
  for (std::size_t k = 0; k < spreads.size(); ++k) {
    const double low = end_figure(*ends.low, spreads[k]);
    const double high = end_figure(*ends.high, spreads[k]);
    // A source passes the smallest current at its lowest limit, a diode at its highest forward volts.
    const bool is_limit = spreads[k].figure == SpreadFigure::limit && spreads[k].list == ElementList::source;
    const bool want_most = stiff != is_limit;
    end[k] = (low < high) == want_most ? 1 : 0;
    const double middle = end_figure(nominal, spreads[k]);
    const double chosen = end[k] == 0 ? low : high;
    if (want_most ? middle > chosen : middle < chosen) end[k] = -1;
  }
  return end;
}

}  // namespace loomgraft::readings
