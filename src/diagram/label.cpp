#include <algorithm>
#include <cmath>
#include <utility>

#include "diagram/sheet.h"
#include "draw/text_extent.h"
#include "loom/part_text.h"
#include "units/print.h"

namespace loomgraft::diagram {
namespace {

// ---- labels

class Labeller {
 public:
  explicit Labeller(DiagramSheet& sheet) : sheet_(sheet) {
    sheet_.labels.assign(sheet.built.net.legs.size(), {});
    std::vector<std::vector<std::size_t>> hops_of(sheet.choice->wires.size());
    for (std::size_t h = 0; h < sheet.found->hops.size(); ++h) {
      const Hop& hop = sheet.found->hops[h];
      if (hop.to.part == nothing) {
        label_stub(h);
      } else {
        hops_of[hop.wire].push_back(h);
      }
    }
    for (std::size_t w = 0; w < hops_of.size(); ++w) {
      if (!hops_of[w].empty()) label_wire(w, hops_of[w]);
    }
  }

 private:
  struct Spot {
    std::size_t leg;
    std::size_t end;
  };

  const NetEnd& at(const Spot& spot) const { return sheet_.built.net.legs[spot.leg].ends[spot.end]; }

  // The label is where the wire leaves to the right, else at a device rather than at a joint or earth.
  bool better(const Spot& a, const Spot& b) const {
    if (at(a).right != at(b).right) return at(a).right;
    const auto shared = [&](const Spot& s) {
      const PartShape shape = sheet_.part(at(s).part).shape;
      return shape == PartShape::joint || shape == PartShape::earth;
    };
    if (shared(a) != shared(b)) return shared(b);
    return false;
  }

  std::string state_text(const ChosenWire& chosen) const {
    if (chosen.state == WireState::added) return " added";
    if (chosen.state == WireState::retired) return " retired";
    if (chosen.state != WireState::moved) return {};
    std::string from;
    const auto add = [&](const WireEnd& old, const WireEnd& now) {
      if (old == now) return;
      from += (from.empty() ? "" : ", ") + (old.at.empty() ? "an open end" : text_of(*sheet_.index, old));
    };
    add(chosen.old_from, chosen.wire.from);
    add(chosen.old_to, chosen.wire.to);
    return " moved from " + from;
  }

  static Mark mark_of(WireState state) {
    constexpr Mark marks[] = {Mark::none, Mark::add, Mark::retire, Mark::shift};
    return marks[static_cast<int>(state)];
  }

  EndLabel label_for(const ChosenWire& chosen) const {
    const bool full = sheet_.style.full_labels;
    std::string what = full ? label_of(chosen.wire) : letters_of(chosen.wire.colour);
    if (full || chosen.state == WireState::moved) what += state_text(chosen);
    return {elide(what, sheet_.style.stub_width, sheet_.style.text), mark_of(chosen.state)};
  }

  void label_wire(std::size_t wire, const std::vector<std::size_t>& hops) {
    const std::vector<std::size_t>& first = sheet_.built.runs[hops.front()].legs;
    const std::vector<std::size_t>& last = sheet_.built.runs[hops.back()].legs;
    Spot one{first.front(), 0};
    Spot two{last.back(), 1};
    if (better(two, one)) std::swap(one, two);
    const ChosenWire& chosen = sheet_.choice->wires[wire];
    sheet_.labels[one.leg][one.end] = label_for(chosen);
    const auto& ends = sheet_.places.ends[one.leg];
    const bool straight = one.leg == two.leg && std::abs(ends[0] - ends[1]) < 1e-6;
    if (straight || !sheet_.style.full_labels) return;
    sheet_.labels[two.leg][two.end] = {letters_of(chosen.wire.colour), Mark::none};
  }

  // Which end of a moved wire was at this terminal.
  bool was_the_from_end(const ChosenWire& chosen, const HopEnd& ghost) const {
    if (chosen.old_from == chosen.wire.from) return false;
    if (chosen.old_to == chosen.wire.to) return true;
    const PartTerminal& terminal = sheet_.part(ghost.part).terminals[ghost.terminal];
    const std::string& at = terminal.connector.empty() ? sheet_.part(ghost.part).id : terminal.connector;
    if (chosen.old_from.at != chosen.old_to.at) return at == chosen.old_from.at;
    return terminal.name == chosen.old_from.cavity;
  }

  std::string stub_text(const Hop& hop) const {
    if (hop.wire == nothing) {
      const PartTerminal& t = sheet_.part(hop.from.part).terminals[hop.from.terminal];
      if (t.pin == nullptr) return {};
      std::string letters =
          t.pin->colour.known() || !t.pin->colour.raw.empty() ? letters_of(t.pin->colour) : "";
      if (t.pin->far_end.empty()) return letters;
      return letters + (letters.empty() ? "to " : " to ") + t.pin->far_end;
    }
    const ChosenWire& chosen = sheet_.choice->wires[hop.wire];
    if (!hop.ghost && end_elsewhere(chosen) != nothing) return text_of_reference(chosen);
    if (!hop.ghost) return label_of(chosen.wire) + state_text(chosen) + " open end";
    const bool was_from = was_the_from_end(chosen, hop.from);
    const std::size_t away = chosen.away[was_from ? 0 : 1];
    return "was here, moved to " + text_of(*sheet_.index, was_from ? chosen.wire.from : chosen.wire.to) +
           (away == 0 ? "" : ", sheet " + std::to_string(away));
  }

  // The reference comes first, so that it is never cut off. Size, length and openings follow where there is
  // room.
  std::string text_of_reference(const ChosenWire& chosen) const {
    const double width = sheet_.style.stub_width;
    const Wire& wire = chosen.wire;
    const std::string letters = letters_of(wire.colour) + " ";
    const double rest = text_width(letters + "to sheet 88,  87a", sheet_.style.text);
    const double room = std::max(width - rest, 0.25 * width);
    std::string text = letters + reference_text(*sheet_.index, chosen, room) + state_text(chosen);
    std::string through;
    for (const LoomPath* path : sheet_.index->openings_on(wire))
      through += (through.empty() ? ", through " : ", ") + path->id;
    // Every sheet number counts as two digits: it is not known yet while widths are measured.
    const bool one_digit = chosen.away[end_elsewhere(chosen)] < 10;
    for (const std::string& more : {size_of(wire, "; "), through}) {
      if (text_width(text + more + (one_digit ? "8" : ""), sheet_.style.text) <= width) text += more;
    }
    return text;
  }

  static std::string size_of(const Wire& wire, std::string link) {
    std::string text;
    if (wire.area) text += std::exchange(link, " ") + print(*wire.area);
    if (wire.length) text += link + print(*wire.length);
    return text;
  }

  void label_stub(std::size_t hop_index) {
    const Hop& hop = sheet_.found->hops[hop_index];
    const std::string text = elide(stub_text(hop), sheet_.style.stub_width, sheet_.style.text);
    const Mark mark = hop.wire == nothing ? Mark::none
                      : hop.ghost         ? Mark::shift
                                          : mark_of(sheet_.choice->wires[hop.wire].state);
    sheet_.labels[sheet_.built.runs[hop_index].legs.front()][0] = {text, mark};
  }

  DiagramSheet& sheet_;
};

// ---- x

double part_room(const DiagramSheet& sheet, std::size_t p) {
  const PartLook& look = sheet.looks[p];
  return std::max(look.width, widest_line(look.heading, look.bold_lines, sheet.style));
}

void place_columns(DiagramSheet& sheet) {
  const DiagramNet& net = sheet.built.net;
  std::vector<std::array<double, 2>> lanes(net.channels(), {0.0, 0.0});
  std::vector<bool> used(net.channels(), false);
  for (std::size_t leg = 0; leg < net.legs.size(); ++leg) {
    used[net.legs[leg].channel] = true;
    for (std::size_t e = 0; e < 2; ++e) {
      if (net.legs[leg].ends[e].part == nothing) continue;
      double& lane = lanes[net.legs[leg].channel][net.legs[leg].ends[e].right ? 0 : 1];
      const double width = sheet.label_width(sheet.labels[leg][e]);
      const bool extra = net.legs[leg].stub() || sheet.labels[leg][e].mark == Mark::retire;
      lane = std::max(lane, width + (extra ? 4.2 : 2.0));
    }
  }
  double x = 0.0;
  const double track = sheet.style.track();
  for (std::size_t c = 0; c < net.channels(); ++c) {
    const double tracks = static_cast<double>(sheet.places.tracks[c]);
    const double start = x + lanes[c][0];
    const double end = start + (tracks > 0.0 ? (tracks + 1.0) * track : used[c] ? 1.0 : 0.0);
    sheet.tracks_x.push_back({start, end});
    x = end + lanes[c][1];
    if (c == net.columns.size()) break;
    double width = 0.0;
    for (const std::size_t p : net.columns[c]) width = std::max(width, part_room(sheet, p));
    sheet.column_x.push_back({x, x + width});
    x += width;
  }
  sheet.width = x;
}

}  // namespace

bool DiagramSheet::has_legs(std::size_t p, bool right) const {
  const auto& groups = net_part(p).groups;
  return std::any_of(groups.begin(), groups.end(), [&](const NetGroup& g) { return !g.side(right).empty(); });
}

double DiagramSheet::end_x(std::size_t leg, std::size_t end) const {
  const NetEnd& at = built.net.legs[leg].ends[end];
  const std::array<double, 2>& x = part_x[at.part];
  const bool through = !net_part(at.part).passing && part(at.part).shape == PartShape::grommet;
  return through ? 0.5 * (x[0] + x[1]) : x[at.right ? 1 : 0];
}

double DiagramSheet::track_x(std::size_t leg) const {
  const double start = tracks_x[built.net.legs[leg].channel][0];
  return start + style.track() * (static_cast<double>(places.track[leg]) + 1.0);
}

double DiagramSheet::label_width(const EndLabel& label) const {
  if (label.text.empty()) return 0.0;
  return text_width(label.text, style.text) + (label.mark == Mark::none ? 0.0 : 1.4 * style.text);
}

std::string text_of(const DiagramIndex& index, const WireEnd& end) {
  if (const Connector* connector = index.connector(end.at))
    return cavity_text(connector->name.empty() ? connector->id : connector->name, end.cavity);
  const Device* device = index.device(end.at);
  return device == nullptr || device->name.empty() ? end.at : device->name;
}

std::size_t end_elsewhere(const ChosenWire& chosen) {
  if (chosen.away[0] != 0) return 0;
  return chosen.away[1] != 0 ? 1 : nothing;
}

std::string reference_text(const DiagramIndex& index, const ChosenWire& chosen, double name_width) {
  const std::size_t end = end_elsewhere(chosen);
  if (end == nothing) return {};
  const WireEnd& there = chosen.end(end);
  std::string text = "to sheet " + std::to_string(chosen.away[end]) + ", " +
                     elide(text_of(index, there), name_width, SheetStyle::text);
  const Device* device = index.device(there.at);
  const DeviceBuild build = index.build_of(there.at);
  const bool has_terminals = device != nullptr && build != DeviceBuild::splice && build != DeviceBuild::earth;
  return has_terminals && !there.cavity.empty() ? text + " " + there.cavity : text;
}

std::string label_of(const Wire& wire) {
  std::string label;
  if (wire.area) label += print(*wire.area) + " ";
  if (wire.length) label += print(*wire.length) + " ";
  return label + letters_of(wire.colour);
}

void finish_sheet(DiagramSheet& sheet) {
  Labeller{sheet};
  place_columns(sheet);
  for (std::size_t p = 0; p < sheet.looks.size(); ++p) {
    const std::array<double, 2> column = sheet.column_x[sheet.net_part(p).column];
    if (sheet.net_part(p).passing) {
      sheet.part_x.push_back(column);
      continue;
    }
    const double width = sheet.looks[p].width;
    const bool left = sheet.has_legs(p, false);
    const bool right = sheet.has_legs(p, true);
    double x = 0.5 * (column[0] + column[1] - width);
    // Near its wires, but with its heading within the column.
    if (left && !right) x = column[0] + 0.5 * (part_room(sheet, p) - width);
    if (right && !left && sheet.part(p).module != nullptr) x = column[1] - width;
    sheet.part_x.push_back({x, x + width});
  }
}

const char* suffix_of(WireState state) {
  constexpr const char* suffixes[] = {"", ", added", ", retired", ", moved"};
  return suffixes[static_cast<int>(state)];
}

std::vector<DiagramLine> lines_of(const DiagramSheet& sheet, double x, double y, double scale) {
  std::vector<DiagramLine> lines;
  for (std::size_t h = 0; h < sheet.found->hops.size(); ++h) {
    const Hop& hop = sheet.found->hops[h];
    if (hop.wire == nothing || hop.ghost) continue;
    DiagramLine line{sheet.choice->wires[hop.wire].wire.id, points_of(sheet, h)};
    for (auto& point : line.points) point = {x + scale * point[0], y + scale * point[1]};
    lines.push_back(std::move(line));
  }
  return lines;
}

std::vector<std::array<double, 2>> points_of(const DiagramSheet& sheet, std::size_t hop) {
  std::vector<std::array<double, 2>> points;
  const auto add = [&](double x, double y) {
    if (!points.empty() && std::abs(points.back()[0] - x) + std::abs(points.back()[1] - y) < 1e-9) return;
    // One stroke for what runs on in one direction.
    const std::size_t n = points.size();
    if (n >= 2 && std::abs(points[n - 1][1] - y) < 1e-9 && std::abs(points[n - 2][1] - y) < 1e-9) {
      points.back()[0] = x;
    } else {
      points.push_back({x, y});
    }
  };
  for (const std::size_t leg : sheet.built.runs[hop].legs) {
    const auto& y = sheet.places.ends[leg];
    add(sheet.end_x(leg, 0), y[0]);
    if (sheet.built.net.legs[leg].stub()) {
      const bool right = sheet.built.net.legs[leg].ends[0].right;
      const double length = sheet.label_width(sheet.labels[leg][0]) + 2.4;
      const double column =
          sheet.column_x[sheet.net_part(sheet.built.net.legs[leg].ends[0].part).column][right ? 1 : 0];
      add(column + (right ? length : -length), y[0]);
      continue;
    }
    if (sheet.places.track[leg] != nothing) {
      add(sheet.track_x(leg), y[0]);
      add(sheet.track_x(leg), y[1]);
    }
    add(sheet.end_x(leg, 1), y[1]);
  }
  return points;
}

}  // namespace loomgraft::diagram
