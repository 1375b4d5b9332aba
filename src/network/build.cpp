#include <algorithm>
#include <cmath>
#include <limits>

#include "network/build_internal.h"
#include "standards/network_figures.h"
#include "units/print.h"

namespace loomgraft {

using namespace network;
namespace {

NodeId node_of_end(NetworkBuild& build, std::map<WireEnd, NodeId>& places, const WireEnd& end, bool inner) {
  const auto [found, is_new] = places.try_emplace(end, NodeId{});
  if (!is_new) return found->second;
  found->second = add_node(build, end_name(build.frame, end) + (inner ? " inside" : ""));
  build.network.nodes.back().at = end;
  build.network.nodes.back().module_side = inner;
  return found->second;
}

std::size_t add_branch(NetworkBuild& build, BranchName& name, NodeId a, NodeId b, ElementList list,
                       std::size_t index) {
  build.network.branches.push_back(
      {name.kind, std::move(name.subject), std::move(name.name), a, b, list, index, {}, {}});
  return build.network.branches.size() - 1;
}

std::string printed(double value, std::string_view quantity, const std::string& unit) {
  if (quantity.ends_with("_ohm") || unit == "ohm") return print(Ohms{value});
  if (quantity.ends_with("_a")) return print(Amperes{value});
  if (quantity.ends_with("_v")) return print(Volts{value});
  std::string text = std::to_string(value);
  return text + " " + std::string(unit_sign(unit));
}

// An impossible value leaves out its element only, never the network.
void refuse(NetworkBuild& build, const BranchName& name) {
  report(build, Severity::warning, "bad-size", name.name + " has a value that it cannot have.",
         "State its ohms, volts or amperes; it is left open.");
}

bool usable(double ohms) {
  return ohms > 0.0 && std::isfinite(ohms);
}

constexpr double open_circuit = std::numeric_limits<double>::infinity();

}  // namespace

NodeId network::add_node(NetworkBuild& build, std::string name) {
  build.network.nodes.push_back({{}, true, std::move(name)});
  return build.network.circuit.add_node();
}

NodeId network::outer_node(NetworkBuild& build, const WireEnd& end) {
  return node_of_end(build, build.network.end_nodes, end, false);
}

NodeId network::inner_node(NetworkBuild& build, const WireEnd& end) {
  return node_of_end(build, build.network.inner_nodes, end, true);
}

NodeId network::face_node(NetworkBuild& build, const WireEnd& end) {
  return node_of_end(build, build.network.face_nodes, end, false);
}

std::size_t network::add_resistor(NetworkBuild& build, BranchName name, NodeId a, NodeId b, double ohms) {
  auto& list = build.network.circuit.resistors;
  if (!usable(ohms) && ohms != open_circuit) {
    refuse(build, name);
    ohms = open_circuit;
  }
  list.push_back({a, b, {ohms}});
  return add_branch(build, name, a, b, ElementList::resistor, list.size() - 1);
}

std::size_t network::add_source(NetworkBuild& build, BranchName name, NodeId plus, NodeId minus, double volts,
                                double ohms, double limit) {
  auto& list = build.network.circuit.sources;
  if (!usable(ohms) || !std::isfinite(volts) || !(limit > 0.0)) {
    refuse(build, name);
    return add_resistor(build, std::move(name), plus, minus, open_circuit);
  }
  list.push_back({plus, minus, {volts}, {ohms}, {limit}});
  return add_branch(build, name, plus, minus, ElementList::source, list.size() - 1);
}

// The leakage of a blocking diode is part of the insulation of its nodes.
std::size_t network::add_diode(NetworkBuild& build, BranchName name, NodeId anode, NodeId cathode,
                               double forward, double ohms) {
  auto& list = build.network.circuit.diodes;
  if (!usable(ohms) || !(forward >= 0.0) || !std::isfinite(forward)) {
    refuse(build, name);
    return add_resistor(build, std::move(name), anode, cathode, open_circuit);
  }
  list.push_back({anode, cathode, {forward}, {ohms}, {std::numeric_limits<double>::infinity()}});
  return add_branch(build, name, anode, cathode, ElementList::diode, list.size() - 1);
}

double network::pick(const Figure& figure, Sense sense, Corner corner) {
  if (corner == Corner::nominal) return figure.middle();
  const bool high = (corner == Corner::weakest) == (sense == Sense::resistance);
  return high ? figure.high() : figure.low();
}

double network::pick_between(Ohms lowest, Ohms highest, Corner corner) {
  if (corner == Corner::weakest) return highest.si;
  if (corner == Corner::strongest) return lowest.si;
  return std::sqrt(lowest.si * highest.si);
}

Corner network::corner_of(const NetworkBuild& build, std::string_view subject, std::string_view quantity) {
  const std::optional<OneCorner>& one = build.options.one;
  const bool turned = one && (one->subject.empty() || (one->subject == subject && one->quantity == quantity));
  return turned ? one->corner : build.options.corner;
}

double network::network_pick(const NetworkBuild& build, std::string_view name, Sense sense) {
  return pick(network_figure(name, build.frame.system), sense, build.options.corner);
}

double network::unlisted_pick(const NetworkBuild& build, const Device& device, std::string_view quantity,
                              Sense sense) {
  const auto figure = device_figure(device, quantity, build.frame.system);
  return figure ? pick(figure->figure, sense, build.options.corner) : 0.0;
}

double network::device_pick(NetworkBuild& build, const Device& device, std::string_view quantity,
                            Sense sense) {
  const auto figure = device_figure(device, quantity, build.frame.system);
  if (!figure) return 0.0;
  const bool of_all = build.options.one && build.options.one->subject.empty();
  const bool stays = of_all && figure->origin != FigureOrigin::default_value;
  const double value =
      pick(figure->figure, sense, stays ? build.options.corner : corner_of(build, device.id, quantity));
  if (figure->origin == FigureOrigin::default_value) {
    const DeviceKind* kind = device_kind(device.kind);
    assume(build, device.id, std::string(quantity), printed(value, quantity, figure->figure.unit),
           "default value of the kind: " + (kind ? kind->text : device.kind));
  }
  return value;
}

double network::ambient(const NetworkBuild& build) {
  if (build.condition.ambient) return build.condition.ambient->degrees;
  return network_pick(build, "ambient_c", Sense::resistance);
}

double network::surroundings(const NetworkBuild& build, const std::string& place) {
  const auto found = build.frame.places.find(place);
  const bool known = found != build.frame.places.end() && found->second->hottest;
  if (build.options.corner == Corner::weakest && known) return found->second->hottest->degrees;
  return ambient(build);
}

double network::supply_volts(const NetworkBuild& build) {
  if (build.condition.supply) return build.condition.supply->si;
  constexpr const char* names[] = {"working_v", "resting_v", "cranking_v"};  // by KeyPosition
  return network_pick(build, names[static_cast<int>(build.condition.key)], Sense::supply);
}

void network::assume(NetworkBuild& build, std::string subject, std::string quantity, std::string taken,
                     std::string why) {
  build.network.assumptions.push_back(
      {std::move(subject), std::move(quantity), std::move(taken), std::move(why)});
}

void network::report(NetworkBuild& build, Severity severity, ProblemCode code, std::string message,
                     std::string remedy) {
  build.network.problems.push_back({severity, code, {}, std::move(message), std::move(remedy)});
}

bool network::fits_key(const NetworkBuild& build, const PinState& state) {
  return state.key == KeyState::any || (state.key == KeyState::on) == key_on(build);
}

}  // namespace loomgraft
