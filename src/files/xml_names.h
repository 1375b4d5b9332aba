// Names of XML elements and attributes without their namespace prefix: each program chooses its own.
#pragma once

#include <pugixml.hpp>
#include <string_view>

namespace loomgraft::files {

inline std::string_view local_name(std::string_view name) {
  const std::size_t colon = name.rfind(':');
  return colon == std::string_view::npos ? name : name.substr(colon + 1);
}

inline bool is_named(const pugi::xml_node& node, std::string_view name) {
  return local_name(node.name()) == name;
}

inline pugi::xml_node child_named(const pugi::xml_node& parent, std::string_view name) {
  for (const pugi::xml_node& child : parent.children())
    if (is_named(child, name)) return child;
  return {};
}

// Empty where there is none.
inline std::string_view attribute_named(const pugi::xml_node& node, std::string_view name) {
  for (const pugi::xml_attribute& attribute : node.attributes())
    if (local_name(attribute.name()) == name) return attribute.value();
  return {};
}

}  // namespace loomgraft::files
