// The pointer of each operation is followed through the document: list items are named by their key, members by
// their JSON name with the unit split off.
#include "store/summary.h"

#include <algorithm>
#include <array>
#include <nlohmann/json.hpp>

#include "loom/part_text.h"
#include "store/list_keys.h"
#include "text/encoding.h"

namespace loomgraft::store {
namespace {

using Json = nlohmann::json;

// The unit ends a member's name (loom/graft_json.h).
constexpr std::array<std::string_view, 10> units = {"mm2", "mm", "m", "ohm", "v", "a", "c", "mh", "mj", "h"};
constexpr std::array<std::string_view, 10> unit_signs = {"mm²", "mm", "m",  "Ω",  "V",
                                                         "A",   "°C", "mH", "mJ", "H"};

struct MemberName {
  std::string text;
  std::string unit;  // with a blank before it
};

MemberName member_name(std::string name) {
  MemberName out;
  const std::size_t bar = name.rfind('_');
  if (bar != std::string::npos) {
    const auto* const found = std::find(units.begin(), units.end(), std::string_view(name).substr(bar + 1));
    if (found != units.end()) {
      out.unit = " " + std::string(unit_signs[static_cast<std::size_t>(found - units.begin())]);
      name.resize(bar);
    }
  }
  std::replace(name.begin(), name.end(), '_', ' ');
  out.text = std::move(name);
  return out;
}

std::string one_of(const std::string& list) {
  if (list == "along") return "path";
  if (list == "plan") return "plan step";
  if (list.size() > 1 && list.back() == 's') return member_name(list.substr(0, list.size() - 1)).text;
  return "entry of " + member_name(list).text;
}

std::string cut(const std::string& text) {
  constexpr std::size_t longest = 60;
  if (text.size() <= longest) return text;
  return repaired_utf8(text.substr(0, longest)).substr(0, longest) + "...";
}

std::string print_value(const Json& value) {
  if (value.is_string()) return "\"" + cut(value.get_ref<const std::string&>()) + "\"";
  if (value.is_boolean()) return value.get<bool>() ? "yes" : "no";
  if (value.is_array()) return std::to_string(value.size()) + (value.size() == 1 ? " entry" : " entries");
  if (value.is_object()) {
    const std::string key = key_of(value);
    return key.empty() ? "something else" : cut(key);
  }
  return value.dump();
}

std::vector<std::string> tokens_of(const std::string& pointer) {
  std::vector<std::string> tokens;
  for (Json::json_pointer at(pointer); !at.empty(); at.pop_back()) tokens.push_back(at.back());
  std::reverse(tokens.begin(), tokens.end());
  return tokens;
}

const Json* child(const Json* parent, const std::string& token) {
  if (parent == nullptr) return nullptr;
  const Json::json_pointer step = Json::json_pointer() / token;
  return parent->contains(step) ? &parent->at(step) : nullptr;
}

// What people call it, where that is not its id: " (PTO valve feed)".
std::string also_called(const Json& item, const std::string& key) {
  for (const char* member : {"name", "signal"}) {
    const auto found = item.is_object() ? item.find(member) : item.end();
    if (found == item.end() || !found->is_string()) continue;
    const auto& name = found->get_ref<const std::string&>();
    if (!name.empty() && name != key) return " (" + cut(name) + ")";
  }
  return {};
}

// "C1-3" of the plug "ecu.C1".
std::string pin_text(const Json& pin) {
  const auto connector = pin.find("connector"), cavity = pin.find("cavity");
  if (connector == pin.end() || cavity == pin.end() || !connector->is_string() || !cavity->is_string())
    return {};
  const auto& id = connector->get_ref<const std::string&>();
  return cavity_text(id.substr(id.rfind('.') + 1), cavity->get_ref<const std::string&>());
}

// The id is named where it is a mark on the part ("F31"), or nothing else tells what is meant.
std::string text_with_key(const Json& item, const std::string& key) {
  const std::string called = also_called(item, key);
  if (called.empty() || is_mark(key)) return cut(key) + called;
  return called.substr(2, called.size() - 3);
}

std::string item_text(const std::string& list, const Json* item, const std::string& index) {
  if (item != nullptr && list == "pins") {
    if (const std::string pin = pin_text(*item); !pin.empty())
      return "pin " + cut(pin) + also_called(*item, pin);
  }
  std::string key = item == nullptr ? std::string() : key_of(*item);
  if (item != nullptr && item->is_string()) key = item->get<std::string>();
  if (key.empty()) key = index == "-" ? "at the end" : std::to_string(std::stoull(index) + 1);
  return one_of(list) + " " + (item == nullptr ? cut(key) : text_with_key(*item, key));
}

struct PathText {
  std::string items;   // "module ecu, pin C1-3"
  std::string member;  // "limits current"
};

// `last` stands in for the value at the pointer itself, which an insertion brings with it.
PathText path_text(const Json& document, const std::string& pointer, const Json* last) {
  PathText named;
  const Json* at = &document;
  std::string list;
  const auto tokens = tokens_of(pointer);
  for (std::size_t i = 0; i < tokens.size(); ++i) {
    const bool in_list = at != nullptr && at->is_array();
    const Json* next = i + 1 == tokens.size() && last != nullptr ? last : child(at, tokens[i]);
    if (in_list) {
      named.items += (named.items.empty() ? "" : ", ") + item_text(list, next, tokens[i]);
      named.member.clear();
    } else {
      named.member += (named.member.empty() ? "" : " ") + member_name(tokens[i]).text;
    }
    list = tokens[i];
    at = next;
  }
  return named;
}

std::string joined(const PathText& named) {
  if (named.items.empty()) return named.member.empty() ? "the document" : named.member;
  return named.member.empty() ? named.items : named.items + ": " + named.member;
}

bool is_item(const Json& document, const std::string& pointer) {
  const Json::json_pointer at(pointer);
  return !at.empty() && document.at(at.parent_pointer()).is_array();
}

std::string operation_text(const Json& document, const std::string& kind, const std::string& pointer,
                           const Json* value) {
  const Json::json_pointer at(pointer);
  if (is_item(document, pointer)) {
    if (kind == "add") return joined(path_text(document, pointer, value)) + " added";
    if (kind == "remove") return joined(path_text(document, pointer, nullptr)) + " removed";
  }
  const Json before = document.contains(at) ? document.at(at) : Json();
  return joined(path_text(document, pointer, nullptr)) + " " +
         change_text(pointer, before, value == nullptr ? Json() : *value);
}

void count_further(std::vector<std::string>& lines, std::size_t all) {
  if (all <= longest_summary) return;
  const std::size_t more = all - longest_summary;
  lines.push_back("and " + std::to_string(more) + (more == 1 ? " more change" : " more changes"));
}

}  // namespace

std::string pointer_text(const Json& document, const std::string& pointer) {
  return joined(path_text(document, pointer, nullptr));
}

std::string change_text(const std::string& pointer, const Json& before, const Json& after) {
  const auto tokens = tokens_of(pointer);
  const std::string unit = tokens.empty() ? "" : member_name(tokens.back()).unit;
  if (before.is_null()) return "set to " + print_value(after) + unit;
  if (after.is_null()) return print_value(before) + unit + " removed";
  return print_value(before) + " -> " + print_value(after) + unit;
}

bool advance(Json& document, const Json& patch, std::vector<std::string>* lines) {
  try {
    for (const Json& operation : patch) {
      if (lines != nullptr && lines->size() < longest_summary) {
        const auto value = operation.find("value");
        lines->push_back(operation_text(document, operation.at("op").get<std::string>(),
                                        operation.at("path").get<std::string>(),
                                        value == operation.end() ? nullptr : &*value));
      }
      // One by one: an index counts in the state that the operations before it left.
      document.patch_inplace(Json::array({operation}));
    }
    if (lines != nullptr) count_further(*lines, patch.size());
  } catch (const std::exception&) {  // what a damaged file holds in place of a patch
    return false;
  }
  return true;
}

}  // namespace loomgraft::store
