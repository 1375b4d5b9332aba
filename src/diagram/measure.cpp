#include <algorithm>
#include <cmath>

#include "diagram/sheet.h"
#include "diagram/symbol.h"
#include "draw/text_extent.h"
#include "units/print.h"

namespace loomgraft::diagram {
namespace {

constexpr double also_width = 30.0;  // mm, for the numbers of other sheets
constexpr double lead = 6.0;         // mm from the edge of a part to the middle of its upright symbol

// At most `most` lines; the last one is cut where there is more.
std::vector<std::string> few_lines(const std::string& text, double width, double size, bool bold,
                                   std::size_t most) {
  std::vector<std::string> lines = wrap(text, width, size, bold);
  if (lines.size() > most) {
    std::string rest = lines[most - 1];
    for (std::size_t i = most; i < lines.size(); ++i) rest += " " + lines[i];
    lines.resize(most);
    lines.back() = elide(rest, width, size, bold);
  }
  std::erase(lines, "");
  return lines;
}

class Measurer {
 public:
  explicit Measurer(DiagramSheet& sheet) : sheet_(sheet), style_(sheet.style) {}

  void measure() {
    sheet_.looks.resize(sheet_.built.net.parts.size());
    for (std::size_t p = 0; p < sheet_.looks.size(); ++p) {
      if (sheet_.net_part(p).passing) continue;
      measure_part(p);
    }
  }

 private:
  NetPart& net_part(std::size_t p) { return sheet_.built.net.parts[p]; }

  void measure_part(std::size_t p) {
    switch (sheet_.part(p).shape) {
      case PartShape::module:
      case PartShape::connector:
        return measure_block(p);
      case PartShape::mated:
        return measure_mated(p);
      case PartShape::grommet:
        return measure_grommet(p);
      case PartShape::joint:
      case PartShape::open_end:
        return measure_joint(p);
      case PartShape::earth:
        return measure_earth(p);
      case PartShape::two_ended:
      case PartShape::relay:
      case PartShape::box:
        return measure_device(p);
    }
  }

  // ---- blocks of cavities

  std::string signal_at(std::size_t p, std::size_t t) const {
    const PartTerminal& terminal = sheet_.part(p).terminals[t];
    std::string old;
    for (const Hop& hop : sheet_.found->hops) {
      if (hop.wire == nothing) continue;
      const bool here =
          (hop.from.part == p && hop.from.terminal == t) || (hop.to.part == p && hop.to.terminal == t);
      const std::string& signal = sheet_.choice->wires[hop.wire].wire.signal;
      if (!here || signal.empty()) continue;
      if (!hop.ghost) return signal;
      old = signal;
    }
    if (!old.empty()) return old;
    if (terminal.pin == nullptr) return {};
    return terminal.pin->signal.empty() ? terminal.pin->term : terminal.pin->signal;
  }

  // In one line where there is room, else in two smaller ones.
  std::vector<std::string> signal_lines(const std::string& signal) const {
    if (text_width(signal, style_.text) <= style_.signal_width)
      return few_lines(signal, 1e6, style_.text, false, 1);
    return few_lines(signal, style_.signal_width, style_.small * style_.text, false, 2);
  }

  double cell_width(std::size_t p) const {
    double width = 1.5 * style_.text;
    for (const PartTerminal& terminal : sheet_.part(p).terminals)
      width = std::max(width, text_width(elide(terminal.name, 16.0, style_.text), style_.text) + 1.6);
    return width;
  }

  void measure_block(std::size_t p) {
    const DiagramPart& part = sheet_.part(p);
    PartLook& look = sheet_.looks[p];
    double text = 0.0;
    for (std::size_t t = 0; t < part.terminals.size(); ++t) {
      look.text.push_back(part.module ? signal_lines(signal_at(p, t)) : std::vector<std::string>{});
      const double size = look.text.back().size() > 1 ? style_.small * style_.text : style_.text;
      for (const std::string& line : look.text.back()) text = std::max(text, text_width(line, size));
    }
    look.cell = cell_width(p);
    const bool both = sheet_.has_legs(p, true) && sheet_.has_legs(p, false);
    look.width = text + (both ? 2.0 : 1.0) * look.cell + 4.0;
    const double smallest = part.module ? style_.module_width : 14.0;
    look.width = std::max(look.width, smallest);
    look.heading = few_lines(part.name, look.width - 3.0, style_.title_text(), true, style_.title_lines);
    look.bold_lines = look.heading.size();
    add_also(p, look.heading, look.width - 3.0);
    NetPart& net = net_part(p);
    const double name_lines = static_cast<double>(look.bold_lines) * 1.25 * style_.title_text();
    const double other_lines = static_cast<double>(look.heading.size() - look.bold_lines) * style_.line();
    net.head = name_lines + other_lines + 0.5 * style_.pitch() + 1.4;
    net.foot = 0.5 * style_.pitch() + 1.0;
    if (part.module == nullptr) return;
    net.head += 0.8 * style_.pitch();  // the first connector's name
    std::string connector;
    for (std::size_t t = 0; t < part.terminals.size(); ++t) {
      NetGroup& group = net.groups[sheet_.built.group_of[p][t]];
      // Two lines of the normal size need more than a row.
      if (style_.small > 0.9 && look.text[t].size() + (t > 0 ? look.text[t - 1].size() : 0) > 2)
        group.apart = 0.4 * style_.pitch();
      if (t > 0 && part.terminals[t].connector == connector) continue;
      connector = part.terminals[t].connector;
      group.apart = 1.2 * style_.pitch();
    }
  }

  void measure_mated(std::size_t p) {
    const DiagramPart& part = sheet_.part(p);
    PartLook& look = sheet_.looks[p];
    const bool swapped = sheet_.built.swapped[p];
    const Connector* left = swapped ? part.right : part.left;
    const Connector* right = swapped ? part.left : part.right;
    look.cell = cell_width(p);
    look.width = 2.0 * look.cell + 3.0;
    const auto name = [](const Connector* c) { return c->name.empty() ? c->id : c->name; };
    look.heading = {elide(name(left) + " / " + name(right), 30.0, style_.name_text(), true)};
    add_also(p, look.heading, 30.0);
    NetPart& net = net_part(p);
    net.head = heading_height(look) + 0.5 * style_.pitch() + 0.8;
    net.foot = 0.5 * style_.pitch() + 0.6;
  }

  std::string place_name(const std::string& id) const {
    for (const LoomPlace& place : sheet_.graft->places) {
      if (place.id == id) return place.name.empty() ? id : place.name;
    }
    return id;
  }

  // The nearer place comes first, as far as a device in the nearer zone shows which one that is.
  void measure_grommet(std::size_t p) {
    const DiagramPart& part = sheet_.part(p);
    PartLook& look = sheet_.looks[p];
    std::string near = part.path->from;
    std::string far = part.path->to;
    for (const DiagramPart& other : sheet_.found->parts) {
      if (other.device == nullptr || other.device->place.empty()) continue;
      const bool turned =
          (other.zone <= part.zone) ? other.device->place == far : other.device->place == near;
      if (!turned) continue;
      std::swap(near, far);
      break;
    }
    constexpr double width = 30.0;
    look.heading = few_lines(part.name, width, style_.name_text(), true, 2);
    look.bold_lines = look.heading.size();
    add_also(p, look.heading, width);
    const std::string opening =
        part.path->opening ? "opening " + print_number(in_millimetres(*part.path->opening)) + " mm" : "";
    if (!opening.empty()) look.heading.push_back(opening);
    if (!near.empty() || !far.empty())
      for (std::string& line :
           few_lines(place_name(near) + " | " + place_name(far), width, style_.text, false, 3))
        look.heading.push_back(std::move(line));
    look.width = 5.0;
    NetPart& net = net_part(p);
    net.head = heading_height(look) + 0.5 * style_.pitch() + 0.8;
    net.foot = 0.5 * style_.pitch() + 0.6;
  }

  double heading_height(const PartLook& look) const {
    return lines_height(look.heading, look.bold_lines, style_);
  }

  // A part on several sheets names the others.
  void add_also(std::size_t p, std::vector<std::string>& lines, double width) const {
    const std::vector<std::size_t>& also = sheet_.part(p).also;
    if (also.empty()) return;
    std::string text = also.size() == 1 ? "also on sheet" : "also on sheets";
    for (std::size_t i = 0; i < also.size(); ++i) text += (i == 0 ? " " : ", ") + std::to_string(also[i]);
    lines.push_back(elide(text, std::min(width, also_width), style_.text));
  }

  // ---- joints and earths

  void measure_joint(std::size_t p) {
    PartLook& look = sheet_.looks[p];
    look.heading = few_lines(sheet_.part(p).name, 26.0 * style_.names, style_.name_text(), true, 2);
    look.bold_lines = look.heading.size();
    add_also(p, look.heading, 30.0);
    add_caution(p, look.heading);
    look.width = 6.0;
    net_part(p).head = heading_height(look) + 1.6;
    net_part(p).foot = 1.6;
  }

  void measure_earth(std::size_t p) {
    PartLook& look = sheet_.looks[p];
    look.beside = lines_about(p);
    look.width = lead + 4.0 + widest_line(look.beside, look.bold_lines, style_);
    const double height = lines_height(look.beside, look.bold_lines, style_);
    net_part(p).head = 1.6;
    net_part(p).foot = std::max(6.5, height);
  }

  // ---- devices

  std::vector<std::string> lines_about(std::size_t p) {
    const DiagramPart& part = sheet_.part(p);
    std::vector<std::string> lines = few_lines(part.name, style_.beside_width, style_.name_text(), true, 3);
    sheet_.looks[p].bold_lines = lines.size();
    add_also(p, lines, style_.beside_width);
    if (part.device == nullptr) return lines;
    const Device& d = *part.device;
    std::string facts;
    const auto add = [&](const std::string& fact) { facts += (facts.empty() ? "" : ", ") + fact; };
    if (d.rating) add(print(*d.rating));
    if (d.resistance) add(print(*d.resistance));
    if (d.current && !d.resistance) add(print(*d.current));
    if (!d.place.empty()) add(place_name(d.place));
    for (std::string& line : few_lines(facts, style_.beside_width, style_.text, false, 2))
      lines.push_back(std::move(line));
    add_caution(p, lines);
    return lines;
  }

  void add_caution(std::size_t p, std::vector<std::string>& lines) {
    if (!sheet_.part(p).forbidden) return;
    lines.emplace_back("leave alone");
    sheet_.looks[p].caution = true;
  }

  double rows_span(std::size_t p) const {
    const NetPart& part = sheet_.net_part(p);
    double rows = -1.0;
    double apart = 0.0;
    for (std::size_t i = 0; i < part.sequence.size(); ++i) {
      const NetGroup& group = part.groups[part.sequence[i]];
      rows += static_cast<double>(group.rows());
      if (i > 0) apart += group.apart;
    }
    return std::max(rows, 0.0) * style_.pitch() + apart;
  }

  void part_groups(std::size_t p) {
    NetPart& net = net_part(p);
    const DiagramPart& part = sheet_.part(p);
    if (part.shape == PartShape::two_ended && !sheet_.built.flat[p] && net.groups.size() == 2) {
      for (NetGroup& group : net.groups) group.apart = style_.pitch();
    }
    if (part.shape != PartShape::relay) return;
    for (std::size_t i = 1; i < net.sequence.size(); ++i) {
      const std::string& name = part.terminals[net.sequence[i]].name;
      const bool pair = name == "85" || name == "86" || name == "87";
      net.groups[net.sequence[i]].apart = (pair ? 1.0 : 0.4) * style_.pitch();
    }
  }

  void measure_device(std::size_t p) {
    PartLook& look = sheet_.looks[p];
    NetPart& net = net_part(p);
    part_groups(p);
    const bool flat = sheet_.built.flat[p];
    const bool above = flat || sheet_.has_legs(p, true);
    const double body = sheet_.part(p).shape == PartShape::relay ? 2.0 * lead + 10.0 : 2.0 * lead;
    look.cell = cell_width(p);
    const double half = 0.5 * style_.pitch();
    if (above) {
      look.heading = lines_about(p);
      look.width = flat ? 16.0 : std::max(body + 4.0, 2.0 * look.cell + 6.0);
      net.head = heading_height(look) + (flat ? symbol_rise + 0.6 : half + 0.8);
      net.foot = flat ? symbol_rise + 0.4 : half + 0.4;
      return;
    }
    look.beside = lines_about(p);
    look.width = body + 1.0 + widest_line(look.beside, look.bold_lines, style_);
    const double spare = lines_height(look.beside, look.bold_lines, style_) - rows_span(p);
    net.head = net.foot = std::max(half, 0.5 * spare + 0.4);
  }

  DiagramSheet& sheet_;
  const SheetStyle& style_;
};

}  // namespace

double widest_line(const std::vector<std::string>& lines, std::size_t names, const SheetStyle& style) {
  double width = 0.0;
  for (std::size_t i = 0; i < lines.size(); ++i)
    width = std::max(width, text_width(lines[i], i < names ? style.name_text() : style.text, i < names));
  return width;
}

double lines_height(const std::vector<std::string>& lines, std::size_t names, const SheetStyle& style) {
  const std::size_t bold = std::min(names, lines.size());
  return style.line() * (static_cast<double>(bold) * style.names + static_cast<double>(lines.size() - bold));
}

void measure_sheet(DiagramSheet& sheet) {
  Measurer(sheet).measure();
}

}  // namespace loomgraft::diagram
