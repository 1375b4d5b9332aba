// The patch is made by a recursive comparison. Removals come first, from the back, then changes and insertions from
// the front, so that every index is right at the time its operation is applied.
#include "store/document_patch.h"

#include <algorithm>
#include <map>
#include <nlohmann/json.hpp>

#include "store/list_keys.h"

namespace loomgraft::store {
namespace {

using Json = nlohmann::json;
constexpr int deepest = 64;

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

// Brackets outside of strings; copying and comparing JSON recurses once for each level.
bool too_deep(std::string_view text) {
  int depth = 0;
  bool in_string = false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (in_string) {
      if (c == '\\') ++i;
      if (c == '"') in_string = false;
    } else if (c == '"') {
      in_string = true;
    } else if (c == '[' || c == '{') {
      if (++depth > deepest) return true;
    } else if (c == ']' || c == '}') {
      --depth;
    }
  }
  return false;
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
  if (too_deep(text)) return tl::unexpected(does_not_apply("it is nested too deep."));
  try {
    Json patch = Json::parse(text);
    if (patch.is_array()) return patch;
  } catch (const Json::exception&) {
    return tl::unexpected(does_not_apply("it is no JSON."));
  }
  return tl::unexpected(does_not_apply("it is no list of operations (RFC 6902)."));
}

tl::expected<Json, Problem> apply_patch(const Json& document, const Json& patch) {
  try {
    return document.patch(patch);
  } catch (const Json::exception& error) {
    // The library's text begins with a number of its own in brackets.
    const std::string_view what = error.what();
    const std::size_t behind = what.find("] ");
    return tl::unexpected(
        does_not_apply(std::string(behind == std::string_view::npos ? what : what.substr(behind + 2)) + "."));
  }
}

}  // namespace loomgraft::store
