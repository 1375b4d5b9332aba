#include "gather/loom_cells.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <set>

#include "base/ascii.h"
#include "standards/data_table.h"
#include "standards/device_kinds.h"
#include "standards/dictionary.h"
#include "standards/wire_sizes.h"
#include "text/colour.h"
#include "text/number.h"

namespace loomgraft::gather {
namespace {

constexpr double millimetres_in_foot = 304.8;
constexpr double millimetres_in_inch = 25.4;

std::string before_unit(std::string_view head) {
  const std::size_t cut = head.find_first_of("([,");
  std::string bare(head.substr(0, cut));
  for (char& c : bare) c = c == '.' || c == ':' || c == '_' ? ' ' : c;
  return plain(bare);
}

// "mm²" of "Size, mm²", "mm" of "Length (mm)".
std::string unit_in(std::string_view head) {
  const std::size_t cut = head.find_first_of("([,");
  if (cut == std::string_view::npos) return {};
  std::string unit = plain(head.substr(cut + 1));
  std::erase_if(unit, [](char c) { return c == ')' || c == ']'; });
  return unit;
}

std::map<std::string, std::set<std::string>, std::less<>> load_heads() {
  std::map<std::string, std::set<std::string>, std::less<>> heads;
  const DataTable table("loom_heads.csv");
  const std::size_t member = table.column("member"), words = table.column("words");
  for (std::size_t row = 0; row < table.rows(); ++row) {
    std::set<std::string> set;
    std::string_view rest = table.at(row, words);
    while (!rest.empty()) {
      const std::size_t bar = std::min(rest.find('|'), rest.size());
      set.emplace(rest.substr(0, bar));
      rest.remove_prefix(std::min(bar + 1, rest.size()));
    }
    heads.emplace(table.at(row, member), std::move(set));
  }
  return heads;
}

// As the workbench heads the column: "area_mm2" is "size".
std::string_view written_head(std::string_view member) {
  if (member == "signal") return "name";
  if (member == "area_mm2") return "size";
  if (member == "twist") return "twisted with";
  return member.substr(0, member.find('_'));
}

bool says(const std::string& text, std::initializer_list<std::string_view> words) {
  return std::ranges::find(words, plain(text)) != words.end();
}

std::optional<bool> yes_or_no(const std::string& text) {
  if (says(text, {"yes", "y", "true", "1", "x", "ja", "oui", "si", "sì", "sí"})) return true;
  if (says(text, {"no", "n", "false", "0", "-", "nein", "non", "nej"})) return false;
  return std::nullopt;
}

// The unit behind the number, else that of the head.
std::string unit_of(const NumberText& number, const std::string& head) {
  return plain(number.unit.empty() ? head : number.unit);
}

std::optional<double> metres_of(const std::string& text, const std::string& head) {
  std::string_view rest = text;
  double millimetres = 0.0;
  bool any = false;
  // "4 ft 2 in" is read piece by piece.
  while (!rest.empty()) {
    const std::size_t next = rest.find_first_of("0123456789", rest.find_first_not_of("0123456789., "));
    const std::string piece(rest.substr(0, next));
    const auto number = read_number(piece);
    if (!number || number->value < 0.0) return std::nullopt;
    const std::string unit = unit_of(*number, head);
    const double factor = unit == "mm"                                       ? 1.0
                          : unit == "cm"                                     ? 10.0
                          : unit == "m" || unit.empty()                      ? 1000.0
                          : unit == "ft" || unit == "'"                      ? millimetres_in_foot
                          : unit == "in" || unit == "\"" || unit == "ft, in" ? millimetres_in_inch
                                                                             : 0.0;
    if (factor == 0.0) return std::nullopt;
    millimetres += number->value * factor;
    any = true;
    rest.remove_prefix(std::min(next, rest.size()));
  }
  return any ? std::optional(millimetres / 1000.0) : std::nullopt;
}

std::optional<SquareMetres> area_of(const std::string& text, const std::string& head) {
  std::string lowered = plain(text);
  const bool gauge = lowered.starts_with("awg") || lowered.ends_with("awg") || head == "awg";
  if (const std::size_t at = lowered.find("awg"); at != std::string::npos) lowered.erase(at, 3);
  if (gauge && lowered.ends_with("/0")) {
    const auto aught = read_number(lowered.substr(0, lowered.size() - 2));
    lowered = aught ? std::to_string(1 - static_cast<int>(aught->value)) : "";
  }
  const auto number = read_number(lowered);
  if (!number || (!gauge && number->value <= 0.0)) return std::nullopt;
  if (!gauge) return square_millimetres(number->value);
  const Metres diameter = awg_diameter(static_cast<int>(number->value));
  const double square = std::numbers::pi / 4.0 * diameter.si * diameter.si * 1e6;
  return square_millimetres(std::round(square * 1000.0) / 1000.0);
}

// Amperes, ohms: a k or m before the unit counts.
std::optional<double> figure_of(const std::string& text) {
  const auto number = read_number(text);
  if (!number || number->value < 0.0) return std::nullopt;
  const char prefix = number->unit.size() > 1 || number->unit == "k" ? lower(number->unit[0]) : ' ';
  return number->value * (prefix == 'k' ? 1000.0 : prefix == 'm' ? 0.001 : 1.0);
}

std::string no_figure(const char* unit) {
  return std::string("type a number in ") + unit + ", such as 12.5";
}

template <class Quantity>
std::string set_figure(std::optional<Quantity>& into, const std::string& text, const char* unit) {
  const auto value = figure_of(text);
  if (!value) return no_figure(unit);
  into = Quantity{*value};
  return {};
}

std::string set_colour(Colour& into, const std::string& text) {
  const std::string_view raw = text;
  const ColourReading reading = read_colours({&raw, 1}, colour_notations());
  if (reading.colours.empty() || !reading.colours[0].known()) return "there is no colour \"" + text + "\"";
  if (reading.colours[0].base == into.base && reading.colours[0].tracer == into.tracer) return {};
  into = reading.colours[0];
  return {};
}

std::string set_end(const PartBook& book, WireEnd& into, const std::string& text) {
  std::string reason;
  if (const auto end = book.end(text, reason)) into = *end;
  return reason;
}

std::string set_paths(const PartBook& book, std::vector<std::string>& into, const std::string& text) {
  std::vector<std::string> paths;
  std::string_view rest = text;
  while (!rest.empty()) {
    const std::size_t cut = std::min(rest.find(';'), rest.size());
    const std::string one(trimmed(rest.substr(0, cut)));
    const auto path = book.path(one);
    if (!path) return "there is no path \"" + one + "\"";
    paths.push_back(*path);
    rest.remove_prefix(std::min(cut + 1, rest.size()));
  }
  into = std::move(paths);
  return {};
}

std::string set_place(const PartBook& book, std::string& into, const std::string& text) {
  const auto place = book.place(text);
  if (!place) return "there is no place \"" + text + "\"";
  into = *place;
  return {};
}

std::string set_kind(std::string& into, const std::string& text) {
  for (const DeviceKind& kind : device_kinds()) {
    if (plain(kind.name) != plain(text) && plain(kind.text) != plain(text)) continue;
    into = kind.name;
    return {};
  }
  return "there is no kind of device \"" + text + "\"";
}

std::string set_flag(bool& into, const std::string& text) {
  const auto answer = yes_or_no(text);
  if (!answer) return "type \"yes\" or \"no\"";
  into = *answer;
  return {};
}

std::string no_member(const std::string& member) {
  return "the column " + member + " does not belong to this table";
}

}  // namespace

std::string plain(std::string_view text) {
  std::string result;
  for (const char c : trimmed(text)) {
    if (is_blank(c) && (result.empty() || result.back() == ' ')) continue;
    result += is_blank(c) ? ' ' : lower(c);
  }
  return result;
}

HeadMeaning meaning_of_head(std::string_view head, std::span<const std::string_view> members) {
  static const auto heads = load_heads();
  const std::string bare = before_unit(head);
  const std::string unit = bare == "awg" ? bare : unit_in(head);
  for (const std::string_view member : members) {
    if (written_head(member) == bare) return {std::string(member), unit};
  }
  for (const std::string_view member : members) {
    const auto words = heads.find(member);
    if (words != heads.end() && words->second.contains(bare)) return {std::string(member), unit};
  }
  return {};
}

PartBook::PartBook(const Graft& graft) {
  // The vehicle's own plugs keep a name that a donor's has too.
  std::vector<const Module*> modules;
  for (const Module& module : graft.modules) modules.push_back(&module);
  std::ranges::stable_sort(modules, {},
                           [](const Module* module) { return module->role != ModuleRole::found; });
  for (const Module* module : modules) {
    for (const std::string& id : module->connectors) {
      if (const Connector* plug = find_connector(graft, id)) plugs_.try_emplace(plain(plug->name), plug);
    }
  }
  for (const Connector& plug : graft.connectors) {
    plugs_.try_emplace(plain(plug.name), &plug);
    plugs_.try_emplace(plain(plug.id), &plug);
  }
  for (const Device& device : graft.devices)
    devices_.try_emplace(plain(device.name.empty() ? device.id : device.name), &device);
  for (const Device& device : graft.devices) devices_.try_emplace(plain(device.id), &device);
  for (const LoomPlace& place : graft.places) {
    places_.try_emplace(plain(place.name), place.id);
    places_.try_emplace(plain(place.id), place.id);
  }
  for (const LoomPath& path : graft.paths) paths_.try_emplace(plain(path.id), path.id);
}

std::optional<WireEnd> PartBook::terminal(const Device& device, const std::string& name,
                                          std::string& reason) const {
  const DeviceKind* kind = device_kind(device.kind);
  const auto& terminals = device.terminals.empty() && kind ? kind->terminals : device.terminals;
  if (name.empty() && terminals.size() == 1) return WireEnd{device.id, terminals[0]};
  const auto found = std::ranges::find(terminals, name);
  if (found != terminals.end() || (terminals.empty() && !name.empty())) return WireEnd{device.id, name};
  reason = (device.name.empty() ? device.id : device.name) +
           (name.empty() ? ": say at which terminal" : " has no terminal " + name);
  return std::nullopt;
}

std::optional<WireEnd> PartBook::end(const std::string& text, std::string& reason) const {
  if (const auto device = devices_.find(plain(text)); device != devices_.end())
    return terminal(*device->second, "", reason);
  for (std::size_t at = text.size(); at-- > 1;) {
    if (std::string_view("-:./ ").find(text[at]) == std::string_view::npos) continue;
    const std::string name = plain(std::string_view(text).substr(0, at));
    const std::string cavity(trimmed(std::string_view(text).substr(at + 1)));
    if (cavity.empty()) continue;
    if (const auto plug = plugs_.find(name); plug != plugs_.end()) return WireEnd{plug->second->id, cavity};
    if (const auto device = devices_.find(name); device != devices_.end())
      return terminal(*device->second, cavity, reason);
  }
  reason = "there is no plug or device \"" + text + "\"";
  return std::nullopt;
}

std::optional<std::string> PartBook::place(const std::string& text) const {
  const auto found = places_.find(plain(text));
  return found == places_.end() ? std::nullopt : std::optional(found->second);
}

std::optional<std::string> PartBook::path(const std::string& text) const {
  const auto found = paths_.find(plain(text));
  return found == paths_.end() ? std::nullopt : std::optional(found->second);
}

std::string set_cell(const PartBook& book, Wire& wire, const std::string& member, const std::string& unit,
                     const std::string& text) {
  if (member == "signal" || member == "name") return wire.signal = text, std::string();
  if (member == "from") return set_end(book, wire.from, text);
  if (member == "to") return set_end(book, wire.to, text);
  if (member == "colour") return set_colour(wire.colour, text);
  if (member == "insulation") return wire.insulation = text, std::string();
  if (member == "along") return set_paths(book, wire.along, text);
  if (member == "twist") return wire.twist = text, std::string();
  if (member == "area_mm2") {
    const auto area = area_of(text, unit);
    if (area) wire.area = area;
    return area ? "" : "type a size, such as \"0.75 mm²\" or \"AWG 18\"";
  }
  if (member != "length_mm") return no_member(member);
  const auto metres = metres_of(text, unit);
  if (metres) wire.length = Metres{*metres};
  return metres ? "" : "type a length, such as \"1.2 m\" or \"4 ft 2 in\"";
}

std::string set_cell(const PartBook& book, Device& device, const std::string& member, const std::string&,
                     const std::string& text) {
  if (member == "name" || member == "signal") return device.name = text, std::string();
  if (member == "kind") return set_kind(device.kind, text);
  if (member == "model") return device.model = text, std::string();
  if (member == "place") return set_place(book, device.place, text);
  if (member == "resistance_ohm") return set_figure(device.resistance, text, "ohms");
  if (member == "rating_a") return set_figure(device.rating, text, "amperes");
  if (member == "current_a") return set_figure(device.current, text, "amperes");
  if (member == "forbidden") return set_flag(device.forbidden, text);
  return no_member(member);
}

std::string set_cell(const PartBook&, LoomPlace& place, const std::string& member, const std::string&,
                     const std::string& text) {
  if (member == "name" || member == "signal") return place.name = text, std::string();
  if (member == "wet") return set_flag(place.wet, text);
  if (member == "moving") return set_flag(place.moving, text);
  const auto number = read_number(text);
  if (member == "hottest_c") {
    if (number) place.hottest = Celsius{number->value};
    return number ? "" : no_figure("degrees Celsius");
  }
  if (member != "access_min") return no_member(member);
  if (number) place.access = Seconds{number->value * 60.0};
  return number ? "" : no_figure("minutes");
}

}  // namespace loomgraft::gather
