// Which parts of a loom share a sheet of paper. Used within diagram/ only.
//
// Model   a node is a cavity of a module or connector, or a device. A wire binds its nodes, the less the more
//         wires they have: a joint of twenty feeds binds its loads together less than a sensor its plug.
//         Earths belong to every sheet that uses them. A device with more wires than a sheet has rows is
//         several nodes.
// Gives   every node on one sheet; sheets begin with the battery's, then follow the cavities
// Needs   `fits` tests whether one sheet holds a set of nodes; asked for more than one node only
// Cost    nodes times wires, and one question a merge
// Method  the two sets with the strongest bond are merged as long as they fit; then small sets are put
//         together, first with those they share plugs, earths and openings with
#pragma once

#include <array>
#include <functional>
#include <set>
#include <string>
#include <vector>

#include "diagram/choice.h"

namespace loomgraft::diagram {

struct CutNode {
  std::string name;                  // a cavity's plug and name, or a device's id
  const Device* device = nullptr;    // nullptr: a cavity, or wires in the open
  WireEnd pin;                       // of a cavity
  std::vector<std::size_t> wires;    // of the choice
  std::vector<std::string> context;  // plugs, places, earths and openings that other nodes may share
};

struct CutGraph {
  std::vector<CutNode> nodes;
  std::vector<std::array<std::size_t, 4>> node_of;  // of the ends of each wire, as ChosenWire::end
  std::set<PartKey> split;                          // devices of several nodes
};

using NodeSet = std::vector<std::size_t>;
using Fits = std::function<bool(const NodeSet&)>;

CutGraph cut_graph(const DiagramIndex& index, const Choice& choice, std::size_t most_wires);
std::vector<NodeSet> cut_into_sheets(const CutGraph& graph, const Fits& fits);

}  // namespace loomgraft::diagram
