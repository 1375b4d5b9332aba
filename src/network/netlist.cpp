#include "network/netlist.h"

#include <fmt/format.h>

#include <cmath>
#include <iterator>

namespace loomgraft {
namespace {

std::string node(NodeId id) {
  return id == earth_node ? "0" : fmt::format("n{}", id.value);
}

std::string between(NodeId a, NodeId b) {
  return fmt::format("v({},{})", node(a), node(b));
}

// {} prints a double with the fewest digits that read back as the same number.
void add_source(std::string& deck, const LimitedSource& source, std::size_t index) {
  const auto out = std::back_inserter(deck);
  const double volts = source.voltage.si;
  const double ohms = source.resistance.si;
  const double limit = source.limit.si;
  if (std::isinf(limit)) {
    fmt::format_to(out, "Vs{0} s{0} {1} dc {2}\nRs{0} s{0} {3} {4}\n", index, node(source.minus), volts,
                   node(source.plus), ohms);
    return;
  }
  // Current from minus to plus through the source: linear between two knees.
  const double low = volts - limit * ohms;
  const double high = volts + limit * ohms;
  fmt::format_to(
      out,
      "Bs{0} {1} {2} I = {3} < ({4}) ? {5} - {6}*({3} - ({4})) : ({3} > ({7}) ? -{5} - {6}*({3} - ({7})) : ",
      index, node(source.minus), node(source.plus), between(source.plus, source.minus), low, limit,
      limit_slope, high);
  fmt::format_to(out, "(({}) - {})/{})\n", volts, between(source.plus, source.minus), ohms);
}

void add_diode(std::string& deck, const Diode& diode, std::size_t index) {
  const double off = 1.0 / diode.off_resistance.si;  // zero for no leakage
  fmt::format_to(std::back_inserter(deck), "Bd{0} {1} {2} I = {3} < {4} ? {3}*{5} : {6} + ({3} - {4})/{7}\n",
                 index, node(diode.anode), node(diode.cathode), between(diode.anode, diode.cathode),
                 diode.forward.si, off, off * diode.forward.si, diode.on_resistance.si);
}

// A comment ends with its line, so nothing in a name may end it.
std::string one_line(std::string text) {
  for (char& c : text) {
    if (static_cast<unsigned char>(c) < 0x20) c = ' ';
  }
  return text;
}

const char* letters_of(ElementList list) {
  constexpr const char* letters[] = {"R", "Bs", "Bd"};
  return letters[static_cast<int>(list)];
}

}  // namespace

std::string netlist(const LoomNetwork& network, const OperatingPoint* start) {
  const std::string plain = netlist(network.circuit, start);
  const std::size_t title = plain.find('\n') + 1;
  std::string deck = plain.substr(0, title);
  const auto out = std::back_inserter(deck);
  for (std::size_t k = 1; k < network.nodes.size(); ++k)
    fmt::format_to(out, "* n{} is {}\n", k, one_line(network.nodes[k].name));
  for (const NetworkBranch& branch : network.branches) {
    const bool plain_source =
        branch.list == ElementList::source && std::isinf(network.circuit.sources[branch.index].limit.si);
    fmt::format_to(out, "* {}{} is {}\n", plain_source ? "Vs" : letters_of(branch.list), branch.index,
                   one_line(branch.name));
  }
  return deck + plain.substr(title);
}

std::string netlist(const Circuit& circuit, const OperatingPoint* start) {
  std::string deck = "* operating point\n";
  const auto out = std::back_inserter(deck);
  for (std::size_t k = 0; k < circuit.resistors.size(); ++k) {
    const Resistor& item = circuit.resistors[k];
    if (std::isinf(item.resistance.si)) continue;
    fmt::format_to(out, "R{} {} {} {}\n", k, node(item.a), node(item.b), item.resistance.si);
  }
  for (std::size_t k = 0; k < circuit.sources.size(); ++k) add_source(deck, circuit.sources[k], k);
  for (std::size_t k = 0; k < circuit.diodes.size(); ++k) add_diode(deck, circuit.diodes[k], k);
  if (start) {
    for (std::uint32_t k = 1; k < circuit.node_count; ++k) {
      fmt::format_to(out, ".nodeset v(n{})={}\n", k, start->nodes[k].si);
    }
  }
  deck += ".options reltol=1e-9 abstol=1e-15 vntol=1e-9 gmin=1e-18 itl1=1000\n.control\nset numdgt=15\nop\n";
  for (std::uint32_t k = 1; k < circuit.node_count; ++k) fmt::format_to(out, "print v(n{})\n", k);
  deck += "quit\n.endc\n.end\n";
  return deck;
}

}  // namespace loomgraft
