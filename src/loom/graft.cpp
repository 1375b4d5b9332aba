#include "loom/graft.h"

#include <algorithm>

namespace loomgraft {
namespace {

template <class List>
auto find_by_id(const List& list, std::string_view id) -> decltype(list.data()) {
  const auto found = std::find_if(list.begin(), list.end(), [&](const auto& item) { return item.id == id; });
  return found == list.end() ? nullptr : &*found;
}

}  // namespace

const Module* find_module(const Graft& graft, std::string_view id) {
  return find_by_id(graft.modules, id);
}
const Connector* find_connector(const Graft& graft, std::string_view id) {
  return find_by_id(graft.connectors, id);
}

}  // namespace loomgraft
