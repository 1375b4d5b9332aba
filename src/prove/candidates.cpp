// Tests are enumerated net by net and part by part, as one would with the circuit diagram: along each conductor,
// through each part, between neighbours, and with power on the volts and drops near what is operated. A pair of
// points is measured once, from the points that are quickest to reach.
#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "network/cavity_pins.h"
#include "prove/candidates_internal.h"
#include "prove/figures.h"
#include "standards/network_figures.h"

namespace loomgraft::prove {
namespace {

// Nets with more probe points than these are measured from one point to each other, not between all pairs.
std::size_t each_to_each() {
  static const auto points = static_cast<std::size_t>(prove_figure("points_each_to_each"));
  return points;
}

struct Touch {
  ProbePoint point;
  NodeId node;
};

class CandidateList {
 public:
  CandidateList(const ProveScope& scope, std::size_t number, const PlannedCondition& planned,
                const LoomNetwork& network, const NetworkSolution& solution)
      : scope_(scope), number_(number), planned_(planned), network_(network), solution_(solution) {
    const Condition& condition = planned.condition.setup;
    unplugged_.insert(condition.unplugged.begin(), condition.unplugged.end());
    removed_.insert(condition.removed.begin(), condition.removed.end());
    for (std::size_t k = 0; k < network.branches.size(); ++k) {
      if (network.branches[k].kind == BranchKind::wire)
        wire_branches_.emplace(network.branches[k].subject, k);
    }
  }

  std::vector<Candidate> take() { return std::move(list_); }

  void add_conductors() {
    for (const LoomNet& net : scope_.nets) {
      if (!net.wanted) continue;
      const std::vector<Touch> touches = touches_of(net);
      for (std::size_t i = 0; i < touches.size(); ++i) {
        const std::size_t last = touches.size() <= each_to_each() ? i : std::min<std::size_t>(i, 1);
        for (std::size_t j = 0; j < last; ++j) {
          const std::string both = text_of(touches[i]) + " and " + text_of(touches[j]);
          const bool made = ohms(TestKind::continuity, touches[i], touches[j], both + " are one conductor");
          if (made && net.moved && j == 0) add_wiggle(both + " stay one conductor");
        }
      }
    }
  }

  void add_parts() {
    for (const std::string& part : scope_.parts) {
      if (removed_.contains(part)) continue;
      const std::vector<WireEnd> ends = ends_of(part);
      for (std::size_t i = 0; i < ends.size(); ++i) {
        for (std::size_t j = i + 1; j < ends.size(); ++j) add_through(part, ends[i], ends[j]);
      }
    }
  }

  // What is wrong inside a module, before it is ever plugged in.
  void add_module_pins() {
    for (const OwnPin& own : scope_.own_pins) {
      const auto pin = own_touch(own.pin);
      const auto against = own_touch(own.against);
      if (!pin || !against) continue;
      const Touch& red = own.feed ? *against : *pin;
      const Touch& black = own.feed ? *pin : *against;
      ohms(TestKind::module_pin, red, black,
           "inside the module, from " + text_of(red) + " to " + text_of(black));
    }
  }

  // From the far ends of each wire in the test plug to the body.
  void add_plug_resistors(const std::vector<WireEnd>& cavities) {
    for (const WireEnd& cavity : cavities) {
      const auto net = scope_.net_at.find(cavity);
      if (net == scope_.net_at.end()) continue;
      for (const WireEnd& end : scope_.nets[net->second].points) {
        if (end.at == cavity.at) continue;
        const auto far = touch(end);
        if (!far) continue;
        const std::string lead =
            text_of(*far) + " leads to the test plug's resistor at " + end_text(scope_, cavity);
        if (ohms(TestKind::resistance, *far, body(), lead) && scope_.nets[net->second].moved)
          add_wiggle(lead + ", also");
      }
    }
  }

  // The drop of a lamp's current from the battery to the cavity that it loads, or from there back.
  void add_lamp_drops(const std::vector<WireEnd>& loaded) {
    const auto plus = battery("+");
    const auto minus = battery("-");
    if (!plus || !minus) return;
    const double middle = (at(plus->node) + at(minus->node)) / 2;
    for (const WireEnd& end : loaded) {
      const auto here = touch(end);
      if (!here) continue;
      if (at(here->node) > middle)
        volts(TestKind::loaded_drop, *plus, *here,
              "drop from the battery to " + text_of(*here) + " with the lamp on");
      else
        volts(TestKind::loaded_drop, *here, *minus,
              "drop from " + text_of(*here) + " back to the battery with the lamp on");
    }
  }

  void add_to_body() {
    for (const LoomNet& net : scope_.nets) {
      if (!net.wanted) continue;
      for (const Touch& touch : touches_of(net)) {
        const bool cavity = scope_.frame->connectors.contains(touch.point.at.at);
        const bool only = touch.point.at == net.points.front();
        if (!cavity && !only) continue;
        ohms(TestKind::isolation, touch, body(), text_of(touch) + " to the body");
        if (const auto post = battery("+"); post && !net.feeds)
          ohms(TestKind::isolation, touch, *post, text_of(touch) + " to the battery's positive lead");
        if (!cavity) break;
      }
    }
  }

  void add_near() {
    std::set<std::pair<std::size_t, std::size_t>> met;
    for (const auto& [a, b] : scope_.near) {
      if (!met.insert(std::minmax(scope_.net_at.at(a), scope_.net_at.at(b))).second) continue;
      const auto red = nearest(a, nullptr);
      const auto black = nearest(b, nullptr);
      if (!red || !black) continue;
      const std::string both = text_of(*red) + " and " + text_of(*black);
      if (ohms(TestKind::isolation, *red, *black, "nothing joins " + both))
        list_.back().text_if_joined = "what lies between " + both;
    }
  }

  void add_volts(const std::set<std::size_t>* only) {
    for (std::size_t k = 0; k < scope_.nets.size(); ++k) {
      if (!scope_.nets[k].wanted || (only && !only->contains(k))) continue;
      for (const Touch& touch : touches_of(scope_.nets[k])) {
        if (touch.point.target == ProbeTarget::battery_post) continue;
        volts(TestKind::volts, touch, body(), "volts at " + text_of(touch));
        const auto earth = module_earth(touch.point.at);
        if (earth && earth->node != touch.node)
          volts(TestKind::volts, touch, *earth, "volts at " + text_of(touch) + " as the module sees them");
      }
    }
  }

  // The voltage drops of a current: along each wire, to and from each part.
  void add_loaded(const std::set<std::size_t>& nets) {
    for (const Wire& wire : scope_.wires) {
      const double current = current_in(wire.id);
      if (current < default_figure("clamp_sees_a") || !nets.contains(net_of(wire))) continue;
      const auto from = nearest(wire.from, nullptr);
      const auto to = nearest(wire.to, nullptr);
      if (from && to && from->node != to->node) {
        const bool along = signed_current_in(wire.id) >= 0;
        volts(TestKind::loaded_drop, along ? *from : *to, along ? *to : *from,
              "drop along wire " + text_of(wire) + " while it carries its current");
      }
      clamp(wire);
    }
    for (const std::string& part : scope_.parts) {
      if (removed_.contains(part)) continue;
      for (const WireEnd& end : ends_of(part)) add_ways(end, nets);
    }
  }

  void add_fuse_drops() {
    for (const std::string& fuse : scope_.fuses) {
      const std::vector<WireEnd> ends = ends_of(fuse);
      if (ends.size() != 2 || removed_.contains(fuse)) continue;
      const auto a = touch(ends[0]);
      const auto b = touch(ends[1]);
      if (!a || !b) continue;
      const bool along = at(a->node) >= at(b->node);
      const Touch& red = along ? *a : *b;
      const Touch& black = along ? *b : *a;
      const std::string text =
          "drop across " + end_text(scope_, {fuse, ""}) + ": current of what sleeps behind it";
      if (add(TestKind::fuse_drop, MeterQuantity::quiet_volts, red, black, "millivolts, direct current",
              text))
        list_.back().test.clamp = fuse;
    }
  }

  // Nets of the operated devices and cavities, and those reached through so many parts.
  std::set<std::size_t> nets_near(const std::vector<WireEnd>& focus, int steps) const {
    std::set<std::size_t> nets;
    for (const auto& [end, net] : scope_.net_at) {
      const bool in_focus = std::ranges::any_of(focus, [&end = end](const WireEnd& one) {
        return one.at == end.at && (one.cavity.empty() || one.cavity == end.cavity);
      });
      if (in_focus) nets.insert(net);
    }
    for (int step = 0; step < steps; ++step) {
      std::set<std::size_t> more = nets;
      for (const std::string& part : scope_.parts) {
        std::set<std::size_t> own;
        for (const WireEnd& end : ends_of(part)) own.insert(scope_.net_at.at(end));
        if (std::ranges::any_of(own, [&](std::size_t net) { return nets.contains(net); }))
          more.insert(own.begin(), own.end());
      }
      nets = std::move(more);
    }
    return nets;
  }

 private:
  const std::string& text_of(const Wire& wire) const { return scope_.frame->wire_texts.of(wire.id); }
  static const std::string& text_of(const Touch& touch) { return touch.point.text; }

  double at(NodeId node) const { return solution_.point.nodes[node.value].si; }
  double signed_current_in(const std::string& wire) const {
    const auto found = wire_branches_.find(wire);
    return found == wire_branches_.end() ? 0.0 : branch_current(network_, solution_, found->second).si;
  }
  double current_in(const std::string& wire) const { return std::abs(signed_current_in(wire)); }

  std::size_t net_of(const Wire& wire) const {
    const auto found = scope_.net_at.find(wire.from.at.empty() ? wire.to : wire.from);
    return found == scope_.net_at.end() ? scope_.nets.size() : found->second;
  }

  static Touch body() {
    return {{ProbeTarget::body, {"body", ""}, View::unknown, "the body", probe_minutes("body")}, earth_node};
  }

  std::optional<Touch> battery(const std::string& post) const {
    if (scope_.battery.empty()) return std::nullopt;
    const auto node = node_at(network_, {scope_.battery, post});
    if (!node) return std::nullopt;
    const std::string lead = planned_.condition.setup.battery_off ? "lead" : "post";
    return Touch{{ProbeTarget::battery_post,
                  {"battery " + post, ""},
                  View::unknown,
                  std::string("the battery's ") + (post == "+" ? "positive " : "negative ") + lead,
                  probe_minutes("battery_post")},
                 *node};
  }

  std::optional<Touch> touch(const WireEnd& end) const {
    if (end.at == scope_.battery) return battery(end.cavity);
    if (!scope_.frame->connectors.contains(end.at)) return touch_device(end);
    const bool open = unplugged_.contains(end.at);
    const auto node = open ? face_node_at(network_, end) : node_at(network_, end);
    if (!node) return std::nullopt;
    const char* how = open ? "mating_face" : is_sealed(scope_, end.at) ? "back_probe_sealed" : "back_probe";
    return Touch{{ProbeTarget::wire_end, end, open ? View::mating : View::wire_entry,
                  end_text(scope_, end) + (open ? ", mating face" : ", from behind"), probe_minutes(how)},
                 *node};
  }

  std::optional<Touch> touch_device(const WireEnd& end) const {
    const auto node = node_at(network_, end);
    if (!node) return std::nullopt;
    const bool fuse = build_of(scope_, end.at) == DeviceBuild::fuse;
    const bool off = removed_.contains(end.at);
    const std::string how = !off ? "" : fuse ? ", its clip" : ", its plug off";
    return Touch{
        {ProbeTarget::wire_end, end, View::unknown, end_text(scope_, end) + how,
         probe_minutes(fuse ? "fuse_terminal" : "device_terminal"), short_end_text(scope_, end) + how},
        *node};
  }

  std::vector<Touch> touches_of(const LoomNet& net) const {
    std::vector<Touch> touches;
    for (const WireEnd& end : net.points) {
      if (const auto one = touch(end)) touches.push_back(*one);
    }
    std::ranges::stable_sort(touches, {}, [](const Touch& one) { return one.point.minutes; });
    return touches;
  }

  // A pin of the unplugged module itself.
  std::optional<Touch> own_touch(const WireEnd& end) const {
    const auto node = inner_node_at(network_, end);
    if (!node || !unplugged_.contains(end.at)) return std::nullopt;
    return Touch{{ProbeTarget::module_pin, end, View::unknown,
                  end_text(scope_, end) + " on the module itself", probe_minutes("module_pin")},
                 *node};
  }

  // The measurement just added, once more while the plugs and the loom between its points are moved.
  void add_wiggle(const std::string& fact) {
    Candidate moved = list_.back();
    moved.test.kind = TestKind::wiggle;
    moved.test.id += ":wiggle";
    moved.test.setting = "ohms, watched while the loom is moved; note the highest";
    moved.test.minutes += probe_minutes("wiggle");
    moved.test.text = fact + " while plugs and loom between are moved: the highest reading seen counts";
    list_.push_back(std::move(moved));
  }

  // The end itself where a probe reaches it, else the quickest point of its net, but none on the device `apart`.
  std::optional<Touch> nearest(const WireEnd& end, const std::string* apart) const {
    if (!apart) {
      if (auto own = touch(end)) return own;
    }
    const auto net = scope_.net_at.find(end);
    if (net == scope_.net_at.end()) return std::nullopt;
    for (const Touch& one : touches_of(scope_.nets[net->second])) {
      if (!apart || one.point.at.at != *apart) return one;
    }
    return std::nullopt;
  }

  std::vector<WireEnd> ends_of(const std::string& part) const {
    std::vector<WireEnd> ends;
    for (auto found = scope_.net_at.lower_bound({part, ""});
         found != scope_.net_at.end() && found->first.at == part; ++found) {
      if (!found->first.cavity.empty()) ends.push_back(found->first);
    }
    return ends;
  }

  std::optional<Touch> module_earth(const WireEnd& cavity) const {
    const PinAt own = pin_at(*scope_.graft, cavity);
    if (!own.module) return std::nullopt;
    const auto earths = scope_.module_earths.find(own.module->id);
    if (earths == scope_.module_earths.end()) return std::nullopt;
    for (const WireEnd& earth : earths->second) {
      if (auto found = touch(earth)) return found;
    }
    return std::nullopt;
  }

  void add_through(const std::string& part, const WireEnd& a, const WireEnd& b) {
    if (scope_.net_at.at(a) == scope_.net_at.at(b)) return;
    const std::string what = end_text(scope_, {part, ""});
    const DeviceBuild build = build_of(scope_, part);
    const bool one_way = build == DeviceBuild::diode || build == DeviceBuild::led;
    const auto pair = [&](const std::optional<Touch>& red, const std::optional<Touch>& black) {
      if (!red || !black) return;
      ohms(one_way ? TestKind::diode : TestKind::resistance, *red, *black, "through " + what);
      if (one_way) ohms(TestKind::diode, *black, *red, "through " + what + ", the other way");
    };
    pair(touch(a), touch(b));
    pair(nearest(a, &part), nearest(b, &part));
  }

  void add_ways(const WireEnd& end, const std::set<std::size_t>& nets) {
    const std::size_t number = scope_.net_at.at(end);
    const auto here = touch(end);
    if (!here || !nets.contains(number)) return;
    const auto plus = battery("+");
    const auto minus = battery("-");
    if (!plus || !minus) return;
    const double middle = (at(plus->node) + at(minus->node)) / 2;
    if (at(here->node) > middle) {
      volts(TestKind::loaded_drop, *plus, *here, "drop from the battery to " + text_of(*here));
    } else {
      volts(TestKind::loaded_drop, *here, *minus, "drop from " + text_of(*here) + " back to the battery");
    }
  }

  void clamp(const Wire& wire) {
    const auto found = wire_branches_.find(wire.id);
    if (found == wire_branches_.end()) return;
    Touch around{
        {ProbeTarget::wire_end, {}, View::unknown, "around wire " + text_of(wire), probe_minutes("clamp")},
        earth_node};
    Touch nothing{{ProbeTarget::wire_end, {}, View::unknown, "", 0.0}, earth_node};
    const bool added =
        add(TestKind::current, MeterQuantity::amperes, around, nothing,
            "direct current clamp, zeroed away from wires", "current in wire " + text_of(wire), wire.id);
    if (!added) return;
    list_.back().test.clamp = wire.id;
    list_.back().probe.clamp = found->second;
  }

  bool ohms(TestKind kind, const Touch& red, const Touch& black, std::string text) {
    return add(kind, MeterQuantity::ohms, red, black, "ohms, leads touched together and zeroed",
               std::move(text));
  }
  void volts(TestKind kind, const Touch& red, const Touch& black, std::string text) {
    add(kind, MeterQuantity::volts, red, black, "volts, direct current", std::move(text));
  }

  static std::string id_part(const ProbePoint& point) {
    std::string text = point.target == ProbeTarget::module_pin ? "module-" : "";
    text += point.at.at + (point.at.cavity.empty() ? "" : "." + point.at.cavity);
    std::ranges::replace(text, ' ', '-');
    return text;
  }

  // False where the list has that measurement already.
  bool add(TestKind kind, MeterQuantity quantity, const Touch& red, const Touch& black, const char* setting,
           std::string text, const std::string& clamped = {}) {
    if (clamped.empty() && red.node == black.node) return false;
    constexpr const char* letters[] = {"ohm", "volt", "amp", "volt"};
    constexpr const char* units[] = {"ohm", "V", "A", "V"};
    constexpr MeterKind kinds[] = {MeterKind::ohms, MeterKind::volts, MeterKind::amperes, MeterKind::volts};
    const auto which = static_cast<std::size_t>(quantity);
    Candidate made;
    made.test.id = planned_.condition.id + ":" + letters[which] + ":" +
                   (clamped.empty() ? id_part(red.point) + ":" + id_part(black.point) : clamped);
    // A resistance is the same with the probes exchanged, unless the part conducts one way.
    std::pair<NodeId, NodeId> key(red.node, black.node);
    if (kind != TestKind::diode && quantity == MeterQuantity::ohms && key.second < key.first)
      std::swap(key.first, key.second);
    if (clamped.empty() && !pairs_.insert(key).second) return false;
    if (!ids_.insert(made.test.id).second) return false;
    made.test.kind = kind;
    made.test.condition = number_;
    made.test.red = red.point;
    made.test.black = black.point;
    made.test.setting = setting;
    made.test.unit = units[which];
    made.test.minutes = red.point.minutes + black.point.minutes + probe_minutes("reading");
    made.test.text = std::move(text);
    std::ranges::set_union(planned_.condition.accesses,
                           accesses_to(scope_, {red.point.at.at, black.point.at.at}),
                           std::back_inserter(made.test.accesses));
    made.probe = {kinds[which], red.node, black.node, 0};
    made.quantity = quantity;
    list_.push_back(std::move(made));
    return true;
  }

  const ProveScope& scope_;
  std::size_t number_;
  const PlannedCondition& planned_;
  const LoomNetwork& network_;
  const NetworkSolution& solution_;
  std::set<std::string> unplugged_, removed_;
  std::map<std::string, std::size_t> wire_branches_;
  std::vector<Candidate> list_;
  std::set<std::string> ids_;
  std::set<std::pair<NodeId, NodeId>> pairs_;
};

}  // namespace

std::vector<Candidate> candidates_of(const ProveScope& scope, std::size_t number,
                                     const PlannedCondition& planned, const LoomNetwork& network,
                                     const NetworkSolution& solution) {
  CandidateList list(scope, number, planned, network, solution);
  switch (planned.use) {
    case ConditionUse::open:
      list.add_module_pins();
      [[fallthrough]];
    case ConditionUse::bare:
      list.add_conductors();
      list.add_parts();
      list.add_to_body();
      list.add_near();
      break;
    case ConditionUse::fed:
    case ConditionUse::plugged:
      list.add_volts(nullptr);
      break;
    case ConditionUse::forced:
    case ConditionUse::driven:
    case ConditionUse::low:
    case ConditionUse::worked: {
      const std::set<std::size_t> nets = list.nets_near(planned.focus, 2);
      list.add_volts(&nets);
      list.add_loaded(nets);
      break;
    }
    case ConditionUse::lamp:
      list.add_lamp_drops(planned.focus);
      list.add_loaded(list.nets_near(planned.focus, 1));
      break;
    case ConditionUse::test_plug:
      list.add_plug_resistors(planned.focus);
      break;
    case ConditionUse::fuse_out: {
      const std::set<std::size_t> nets = list.nets_near(planned.focus, 0);
      list.add_volts(&nets);
      break;
    }
    case ConditionUse::asleep:
      list.add_fuse_drops();
      break;
  }
  return list.take();
}

}  // namespace loomgraft::prove
