// Which parts of a loom stand on one sheet of paper together. Used within draw/ only.
//
// Model   a node is a cavity of a module or connector, or a device. A wire binds its nodes, the less the more
//         wires they have: a joint of twenty feeds holds its loads together less than a sensor its plug.
//         Earths belong to every sheet that uses them. A device with more wires than a sheet has rows is
//         several nodes.
// Gives   every node on one sheet; sheets begin with the battery's, then follow the cavities
// Needs   `fits` says of a set of nodes whether one sheet holds them; asked for more than one node only
// Cost    nodes times wires, and one question a merge
// Method  the two sets bound most are made one as long as they fit; then small sets are put together, first
//         with those they share plugs, earths and openings with
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
  std::vector<std::string> scenery;  // what it can share a sheet with others for
};

struct CutGraph {
  std::vector<CutNode> nodes;
  std::vector<std::array<std::size_t, 4>> node_of;  // of the ends of each wire, as ChosenWire::end
  std::set<std::string> split;                      // devices of several nodes, as DiagramIndex::part_of
};

using NodeSet = std::vector<std::size_t>;
using Fits = std::function<bool(const NodeSet&)>;

CutGraph cut_graph(const DiagramIndex& index, const Choice& choice, std::size_t most_wires);
std::vector<NodeSet> cut_into_sheets(const CutGraph& graph, const Fits& fits);

}  // namespace loomgraft::diagram
