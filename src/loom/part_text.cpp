#include "loom/part_text.h"

#include <algorithm>

#include "loom/plan.h"

namespace loomgraft {
namespace {

constexpr std::size_t longest_mark = 6;

struct Parts {
  std::unordered_map<std::string, const Device*> devices;
  std::unordered_map<std::string, const Connector*> plugs;

  explicit Parts(const Graft& graft) {
    for (const Device& device : graft.devices) devices.emplace(device.id, &device);
    for (const Connector& plug : graft.connectors) plugs.emplace(plug.id, &plug);
  }

  std::string text(const WireEnd& end) const {
    if (end.at.empty()) return "an open end";
    if (const auto device = devices.find(end.at); device != devices.end())
      return device_mark(*device->second);
    const auto plug = plugs.find(end.at);
    const bool named = plug != plugs.end() && !plug->second->name.empty();
    return cavity_text(named ? plug->second->name : end.at, end.cavity);
  }
};

}  // namespace

bool is_mark(const std::string& id) {
  const auto fits = [](char c) { return (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9'); };
  return !id.empty() && id.size() <= longest_mark && std::ranges::all_of(id, fits);
}

std::string cavity_text(const std::string& plug, const std::string& cavity) {
  if (plug.empty() || cavity.empty()) return plug + cavity;
  return plug + "-" + cavity;
}

std::string plug_text(const Graft& graft, const std::string& id) {
  const Connector* plug = find_connector(graft, id);
  return plug && !plug->name.empty() ? plug->name : id;
}

std::string cavity_text(const Graft& graft, const CavityRef& at) {
  return cavity_text(plug_text(graft, at.connector), at.cavity);
}

const std::string& device_text(const Device& device) {
  return device.name.empty() ? device.id : device.name;
}

const std::string& device_mark(const Device& device) {
  return is_mark(device.id) ? device.id : device_text(device);
}

std::string device_text_with_mark(const Device& device) {
  if (device.name.empty() || !is_mark(device.id)) return device_text(device);
  return device.id + " (" + device.name + ")";
}

std::string fuse_text(const Device& device) {
  const std::string& mark = device_mark(device);
  return mark.find("fus") == std::string::npos ? "fuse " + mark : mark;
}

std::string fuse_sheet_title(const Graft& graft, const std::string& fuse, const std::string& wire) {
  const auto known = std::ranges::find(graft.devices, fuse, &Device::id);
  std::string title = known == graft.devices.end() ? "fuse " + fuse : fuse_text(*known);
  if (title.starts_with('f')) title.front() = 'F';
  return title + " and wire " + WireTexts(graft, as_planned(graft).wires).of(wire);
}

WireTexts::WireTexts(const Graft& graft, const std::vector<Wire>& wires) {
  const Parts parts(graft);
  std::unordered_map<std::string, int> bearers;
  for (const Wire& wire : wires) ++bearers[wire.signal];
  for (const Wire& wire : wires) {
    const bool alone = !wire.signal.empty() && bearers[wire.signal] == 1;
    std::string& text = texts_[wire.id];
    if (alone) {
      text = wire.signal;
      continue;
    }
    const std::string ends = parts.text(wire.from) + " to " + parts.text(wire.to);
    text = wire.signal.empty() ? ends : wire.signal + " (" + ends + ")";
  }
}

const std::string& WireTexts::of(const std::string& wire) const {
  const auto found = texts_.find(wire);
  return found == texts_.end() ? wire : found->second;
}

}  // namespace loomgraft
