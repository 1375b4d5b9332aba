// The patch is made by a recursive comparison. Removals come first, from the back, then changes and insertions from
// the front, so that every index is right at the time its operation is applied.
#include "store/document_patch.h"

#include <algorithm>
#include <map>
#include <nlohmann/json.hpp>

#include "base/json_depth.h"
#include "store/list_keys.h"

namespace loomgraft::store {
namespace {

using Json = nlohmann::json;
constexpr std::size_t most_operations = 50'000;
// Of a document in memory; a patch may add as much.
constexpr std::size_t most_bytes = std::size_t{24} << 20U;

class PatchMaker {
 public:
  void compare(const Json& from, const Json& to, const std::string& pointer) {
    if (from == to) return;
    if (from.is_object() && to.is_object()) return compare_objects(from, to, pointer);
    if (from.is_array() && to.is_array()) return compare_lists(from, to, pointer);
    replace(pointer, to);
  }

  Json take() { return std::move(patch_); }

 private:
  void compare_objects(const Json& from, const Json& to, const std::string& pointer) {
    for (const auto& [name, value] : from.items()) {
      const std::string member = pointer + pointer_token(name);
      const auto other = to.find(name);
      if (other == to.end()) {
        remove(member);
      } else {
        compare(value, *other, member);
      }
    }
    for (const auto& [name, value] : to.items()) {
      if (!from.contains(name)) add(pointer + pointer_token(name), value);
    }
  }

  void compare_lists(const Json& from, const Json& to, const std::string& pointer) {
    const auto keys = keys_of({&from, &to});
    if (!keys) return compare_by_index(from, to, pointer);
    compare_keyed(from, to, (*keys)[0], (*keys)[1], pointer);
  }

  // Without keys: what both begin and end with stays; between, index by index.
  void compare_by_index(const Json& from, const Json& to, const std::string& pointer) {
    const std::size_t shorter = std::min(from.size(), to.size());
    std::size_t head = 0;
    while (head < shorter && from[head] == to[head]) ++head;
    std::size_t tail = 0;
    while (tail < shorter - head && from[from.size() - 1 - tail] == to[to.size() - 1 - tail]) ++tail;
    const std::size_t from_end = from.size() - tail;
    const std::size_t to_end = to.size() - tail;
    for (std::size_t i = from_end; i > std::max(head, to_end); --i) remove(item_pointer(pointer, i - 1));
    for (std::size_t i = head; i < std::min(from_end, to_end); ++i) {
      compare(from[i], to[i], item_pointer(pointer, i));
    }
    for (std::size_t i = std::max(head, from_end); i < to_end; ++i) add(item_pointer(pointer, i), to[i]);
  }

  void compare_keyed(const Json& from, const Json& to, const ItemKeys& from_keys, const ItemKeys& to_keys,
                     const std::string& pointer) {
    std::map<std::string_view, std::size_t> from_at;
    std::map<std::string_view, std::size_t> to_at;
    for (std::size_t i = 0; i < from_keys.size(); ++i) from_at[from_keys[i]] = i;
    for (std::size_t i = 0; i < to_keys.size(); ++i) to_at[to_keys[i]] = i;
    std::size_t last = 0;
    for (const std::string& key : from_keys) {
      const auto found = to_at.find(key);
      if (found == to_at.end()) continue;
      if (found->second < last) return replace(pointer, to);
      last = found->second;
    }
    for (std::size_t i = from_keys.size(); i > 0; --i) {
      if (!to_at.contains(from_keys[i - 1])) remove(item_pointer(pointer, i - 1));
    }
    for (std::size_t i = 0; i < to_keys.size(); ++i) {
      const auto found = from_at.find(to_keys[i]);
      if (found == from_at.end()) {
        add(item_pointer(pointer, i), to[i]);
      } else {
        compare(from[found->second], to[i], item_pointer(pointer, i));
      }
    }
  }

  static std::string item_pointer(const std::string& pointer, std::size_t index) {
    return pointer + "/" + std::to_string(index);
  }
  void add(const std::string& pointer, const Json& value) {
    patch_.push_back({{"op", "add"}, {"path", pointer}, {"value", value}});
  }
  void remove(const std::string& pointer) { patch_.push_back({{"op", "remove"}, {"path", pointer}}); }
  void replace(const std::string& pointer, const Json& value) {
    patch_.push_back({{"op", "replace"}, {"path", pointer}, {"value", value}});
  }

  Json patch_ = Json::array();
};

Problem does_not_apply(std::string why) {
  return {Severity::error,
          "patch-does-not-apply",
          {},
          "The change does not fit the document: " + std::move(why),
          "Load the document again and make the change on what it says now."};
}

Problem too_large(std::string message) {
  return {Severity::error, "too-large", {}, std::move(message), "Make the change in smaller steps."};
}

// About what a value takes in memory.
std::size_t memory_size(const Json& value) {
  constexpr std::size_t each = 40;
  if (value.is_string()) return each + value.get_ref<const std::string&>().size();
  std::size_t size = each;
  if (!value.is_structured()) return size;
  for (auto member = value.begin(); member != value.end(); ++member)
    size += (value.is_object() ? each + member.key().size() : 0) + memory_size(*member);
  return size;
}

// What an operation adds to the document at most. A copy of a copy of a copy grows without end from a few bytes.
std::size_t added_size(const Json& document, const Json& operation) {
  if (!operation.is_object()) return 0;
  if (const auto value = operation.find("value"); value != operation.end()) return memory_size(*value);
  const auto from = operation.find("from");
  const bool copies = operation.value("op", Json()) == "copy" && from != operation.end() && from->is_string();
  return copies ? memory_size(document.at(Json::json_pointer(from->get<std::string>()))) : 0;
}

}  // namespace

std::string pointer_token(std::string_view name) {
  std::string out = "/";
  for (const char c : name) {
    if (c == '~') {
      out += "~0";
    } else if (c == '/') {
      out += "~1";
    } else {
      out += c;
    }
  }
  return out;
}

Json patch_between(const Json& from, const Json& to) {
  PatchMaker maker;
  maker.compare(from, to, "");
  return maker.take();
}

tl::expected<Json, Problem> read_patch(std::string_view text) {
  if (nested_too_deep(text)) return tl::unexpected(does_not_apply("it is nested too deep."));
  try {
    Json patch = Json::parse(text);
    if (patch.is_array() && patch.size() > most_operations)
      return tl::unexpected(
          too_large("The change has more than " + std::to_string(most_operations) + " operations."));
    if (patch.is_array()) return patch;
  } catch (const Json::exception&) {
    return tl::unexpected(does_not_apply("it is no JSON."));
  }
  return tl::unexpected(does_not_apply("it is no list of operations (RFC 6902)."));
}

tl::expected<Json, Problem> apply_patch(const Json& document, const Json& patch) {
  try {
    Json changed = document;
    std::size_t size = memory_size(document);
    for (const Json& operation : patch) {
      size += added_size(changed, operation);
      if (size > 2 * most_bytes) return tl::unexpected(too_large("The document would become too large."));
      changed.patch_inplace(Json::array({operation}));
    }
    if (memory_size(changed) > most_bytes)
      return tl::unexpected(too_large("The document would become too large."));
    return changed;
  } catch (const Json::exception& error) {
    // The library's text begins with a number of its own in brackets.
    const std::string_view what = error.what();
    const std::size_t behind = what.find("] ");
    return tl::unexpected(
        does_not_apply(std::string(behind == std::string_view::npos ? what : what.substr(behind + 2)) + "."));
  }
}

}  // namespace loomgraft::store
