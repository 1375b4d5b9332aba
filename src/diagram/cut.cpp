#include "diagram/cut.h"

#include <algorithm>
#include <map>
#include <set>
#include <tuple>

#include "diagram/net.h"
#include "diagram/parts.h"
#include "text/natural_order.h"

namespace loomgraft::diagram {
namespace {

// ---- nodes

class CutGraphBuilder {
 public:
  CutGraphBuilder(const DiagramIndex& index, const Choice& choice, std::size_t most_wires)
      : index_(index), choice_(choice), most_wires_(most_wires) {}

  CutGraph make() {
    for (std::size_t w = 0; w < choice_.wires.size(); ++w) add_wire(w);
    for (const Module* module : choice_.modules) {
      for (const Pin& pin : module->pins) {
        if (is_drawn_bare(pin)) node_at({pin.at.connector, pin.at.cavity}, nothing);
      }
    }
    return std::move(graph_);
  }

 private:
  using NodeKey = std::tuple<PartKey, std::string, std::string>;  // part; connector of a module; cavity

  bool has_node(const WireEnd& end) const {
    return !end.at.empty() && index_.build_of(end.at) != DeviceBuild::earth;
  }

  void add_wire(std::size_t w) {
    const ChosenWire& chosen = choice_.wires[w];
    std::array<std::size_t, 4> nodes{nothing, nothing, nothing, nothing};
    for (std::size_t e = 0; e < nodes.size(); ++e) {
      if (has_node(chosen.end(e))) nodes[e] = node_at(chosen.end(e), w);
    }
    // What has no node goes with the wire's other end.
    if (nodes[0] == nothing && nodes[1] == nothing) nodes[0] = new_node(chosen.wire.id, w);
    if (nodes[0] == nothing) nodes[0] = nodes[1];
    if (nodes[1] == nothing) nodes[1] = nodes[0];
    for (const std::size_t e : {std::size_t{2}, std::size_t{3}}) {
      if (nodes[e] == nothing) nodes[e] = nodes[e - 2];
    }
    add_context(chosen, nodes);
    graph_.node_of.push_back(nodes);
  }

  std::size_t new_node(const std::string& name, std::size_t wire) {
    CutNode node;
    node.name = name;
    if (wire != nothing) node.wires.push_back(wire);
    graph_.nodes.push_back(std::move(node));
    return graph_.nodes.size() - 1;
  }

  // The wire is added to the node; a device with too many wires gets a further node.
  std::size_t node_at(const WireEnd& end, std::size_t wire) {
    const PartKey part = index_.part_of(end);
    const bool cavity = part.kind != PartKind::device;
    const NodeKey key{part, part.kind == PartKind::module ? end.at : "", cavity ? end.cavity : ""};
    const auto [found, is_new] = by_key_.emplace(key, graph_.nodes.size());
    if (!is_new) {
      std::vector<std::size_t>& wires = graph_.nodes[found->second].wires;
      if (wire == nothing || (!wires.empty() && wires.back() == wire)) return found->second;
      if (wires.size() < most_wires_) {
        wires.push_back(wire);
        return found->second;
      }
      graph_.split.insert(part);
    }
    found->second = new_node(cavity ? end.at + " " + end.cavity : end.at, wire);
    CutNode& node = graph_.nodes.back();
    node.device = cavity ? nullptr : index_.device(end.at);
    if (cavity) node.pin = end;
    if (cavity) node.context.push_back("plug " + end.at);
    if (node.device != nullptr && !node.device->place.empty())
      node.context.push_back("place " + node.device->place);
    return found->second;
  }

  void add_context(const ChosenWire& chosen, const std::array<std::size_t, 4>& nodes) {
    for (std::size_t e = 0; e < 2; ++e) {
      if (index_.build_of(chosen.end(e).at) == DeviceBuild::earth)
        graph_.nodes[nodes[e]].context.push_back("earth " + chosen.end(e).at);
      for (const LoomPath* path : index_.openings_on(chosen.wire))
        graph_.nodes[nodes[e]].context.push_back("path " + path->id);
    }
  }

  const DiagramIndex& index_;
  const Choice& choice_;
  std::size_t most_wires_;
  CutGraph graph_;
  std::map<NodeKey, std::size_t> by_key_;
};

// ---- sets of nodes that share a sheet

NodeSet joined(const NodeSet& a, const NodeSet& b) {
  NodeSet both;
  both.reserve(a.size() + b.size());
  std::merge(a.begin(), a.end(), b.begin(), b.end(), std::back_inserter(both));
  return both;
}

class SetMerger {
 public:
  SetMerger(const CutGraph& graph, const Fits& fits) : graph_(graph), fits_(fits) {
    bonds_.resize(graph.nodes.size());
    refused_.resize(graph.nodes.size());
    for (std::size_t n = 0; n < graph.nodes.size(); ++n) sets_.push_back({n});
    for (const std::array<std::size_t, 4>& ends : graph.node_of) {
      const std::set<std::size_t> nodes(ends.begin(), ends.end());
      for (const std::size_t a : nodes) {
        for (const std::size_t b : nodes) {
          if (a < b) bind(a, b);
        }
      }
    }
  }

  std::vector<NodeSet> join() {
    for (auto best = strongest_bond(); best[0] != nothing; best = strongest_bond()) {
      NodeSet both = joined(sets_[best[0]], sets_[best[1]]);
      if (fits_(both)) {
        merge(best[0], best[1], std::move(both));
      } else {
        refused_[best[0]].insert(best[1]);
        refused_[best[1]].insert(best[0]);
      }
    }
    std::erase_if(sets_, [](const NodeSet& set) { return set.empty(); });
    return std::move(sets_);
  }

 private:
  void bind(std::size_t a, std::size_t b) {
    const double wires =
        static_cast<double>(std::max(graph_.nodes[a].wires.size(), graph_.nodes[b].wires.size()));
    bonds_[a][b] += 1.0 / wires;
    bonds_[b][a] += 1.0 / wires;
  }

  // The strongest bond; of equal ones that of the smallest sets.
  std::array<std::size_t, 2> strongest_bond() const {
    std::array<std::size_t, 2> best{nothing, nothing};
    double strength = 0.0;
    std::size_t size = 0;
    for (std::size_t a = 0; a < bonds_.size(); ++a) {
      for (auto bond = bonds_[a].upper_bound(a); bond != bonds_[a].end(); ++bond) {
        const auto& [b, s] = *bond;
        if (s < strength - 1e-9 || refused_[a].contains(b)) continue;
        const std::size_t nodes = sets_[a].size() + sets_[b].size();
        if (best[0] != nothing && s < strength + 1e-9 && nodes >= size) continue;
        best = {a, b};
        strength = s;
        size = nodes;
      }
    }
    return best;
  }

  // What did not fit with either does not fit with both.
  void merge(std::size_t a, std::size_t b, NodeSet both) {
    sets_[a] = std::move(both);
    sets_[b].clear();
    for (const auto& [other, strength] : bonds_[b]) {
      bonds_[other].erase(b);
      if (other == a) continue;
      bonds_[a][other] += strength;
      bonds_[other][a] += strength;
    }
    bonds_[b].clear();
    for (const std::size_t other : refused_[b]) {
      refused_[a].insert(other);
      refused_[other].insert(a);
    }
  }

  const CutGraph& graph_;
  const Fits& fits_;
  std::vector<NodeSet> sets_;
  std::vector<std::map<std::size_t, double>> bonds_;
  std::vector<std::set<std::size_t>> refused_;
};

// ---- filling sheets

constexpr std::size_t most_refusals = 16;  // of a sheet, before it counts as full

std::set<std::string> context_of(const CutGraph& graph, const NodeSet& set) {
  std::set<std::string> all;
  for (const std::size_t n : set) all.insert(graph.nodes[n].context.begin(), graph.nodes[n].context.end());
  return all;
}

std::size_t wires_of(const CutGraph& graph, const NodeSet& set) {
  std::set<std::size_t> wires;
  for (const std::size_t n : set) wires.insert(graph.nodes[n].wires.begin(), graph.nodes[n].wires.end());
  return wires.size();
}

// The battery's sheet first, then by cavities, then by names.
bool stands_before(const CutGraph& graph, const NodeSet& a, const NodeSet& b) {
  const auto rank = [&](std::size_t n) {
    const CutNode& node = graph.nodes[n];
    const DeviceKind* kind = node.device == nullptr ? nullptr : device_kind(node.device->kind);
    if (kind != nullptr && kind->build == DeviceBuild::battery) return 0;
    return node.pin.at.empty() ? 2 : 1;
  };
  const auto before = [&](std::size_t x, std::size_t y) {
    if (rank(x) != rank(y)) return rank(x) < rank(y);
    const int order = natural_compare(graph.nodes[x].name, graph.nodes[y].name);
    return order != 0 ? order < 0 : x < y;
  };
  return before(*std::min_element(a.begin(), a.end(), before), *std::min_element(b.begin(), b.end(), before));
}

struct SheetNodes {
  NodeSet set;
  std::set<std::string> context;
  std::size_t refusals = 0;
};

// Puts the set on the sheet that has most of its context; false where none has room.
bool put(std::vector<SheetNodes>& sheets, const NodeSet& set, const std::set<std::string>& context,
         const Fits& fits) {
  std::vector<std::pair<std::size_t, std::size_t>> order;  // what is not shared, sheet
  for (std::size_t s = 0; s < sheets.size(); ++s) {
    std::size_t missing = 0;
    for (const std::string& item : context) missing += sheets[s].context.contains(item) ? 0 : 1;
    if (sheets[s].refusals < most_refusals) order.emplace_back(missing, s);
  }
  std::sort(order.begin(), order.end());
  for (const auto& [missing, s] : order) {
    NodeSet both = joined(sheets[s].set, set);
    if (!fits(both)) {
      ++sheets[s].refusals;
      continue;
    }
    sheets[s].set = std::move(both);
    sheets[s].context.insert(context.begin(), context.end());
    return true;
  }
  return false;
}

std::vector<NodeSet> fill(const CutGraph& graph, std::vector<NodeSet> sets, const Fits& fits) {
  const auto larger = [&](const NodeSet& a, const NodeSet& b) {
    const std::size_t x = wires_of(graph, a);
    const std::size_t y = wires_of(graph, b);
    return x != y ? x > y : stands_before(graph, a, b);
  };
  std::sort(sets.begin(), sets.end(), larger);
  std::vector<SheetNodes> sheets;
  for (NodeSet& set : sets) {
    std::set<std::string> context = context_of(graph, set);
    if (!put(sheets, set, context, fits)) sheets.push_back({std::move(set), std::move(context), 0});
  }
  std::vector<NodeSet> filled;
  filled.reserve(sheets.size());
  for (SheetNodes& sheet : sheets) filled.push_back(std::move(sheet.set));
  return filled;
}

}  // namespace

CutGraph cut_graph(const DiagramIndex& index, const Choice& choice, std::size_t most_wires) {
  return CutGraphBuilder(index, choice, most_wires).make();
}

std::vector<NodeSet> cut_into_sheets(const CutGraph& graph, const Fits& fits) {
  std::vector<NodeSet> sheets = fill(graph, SetMerger(graph, fits).join(), fits);
  std::sort(sheets.begin(), sheets.end(),
            [&](const NodeSet& a, const NodeSet& b) { return stands_before(graph, a, b); });
  return sheets;
}

}  // namespace loomgraft::diagram
