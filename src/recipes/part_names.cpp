#include "recipes/part_names.h"

#include <algorithm>
#include <set>

#include "base/ascii.h"

namespace loomgraft::recipes {
namespace {

bool has_word(const std::string& text, const std::string& word) {
  return lower(text).find(word) != std::string::npos;
}

std::string with(const std::string& base, const std::string& word) {
  return has_word(base, word) ? base : base + " " + word;
}

std::size_t count_of_kind(const Recipe& recipe, const std::string& kind) {
  std::set<std::string> roles;
  for (const auto& branch : recipe.branches) {
    for (const RecipePart& part : branch) {
      if (part.kind == kind) roles.insert(part.role);
    }
  }
  return roles.size();
}

}  // namespace

std::set<std::string> words_in(const std::string& text) {
  std::set<std::string> words;
  std::string word;
  for (const char c : text + " ") {
    if (is_letter(c) || is_digit(c)) {
      word += lower(c);
    } else if (!word.empty()) {
      words.insert(word);
      if (word.size() > 3 && word.back() == 's') words.insert(word.substr(0, word.size() - 1));
      word.clear();
    }
  }
  return words;
}

std::string base_name(const std::string& signal, const std::string& cavity) {
  static const std::set<std::string> only_pin{"relay",  "control", "output", "input", "driver",
                                              "signal", "sig",     "out",    "in"};
  std::string base;
  std::string word;
  int depth = 0;
  for (const char c : signal + " ") {
    if (c == '(' || c == '[') ++depth;
    if (depth == 0 && !is_blank(c) && c != ',' && c != ';') word += c;
    if (c == ')' || c == ']') depth = std::max(0, depth - 1);
    if (depth > 0 || !(is_blank(c) || c == ',' || c == ';')) continue;
    if (!word.empty() && !only_pin.contains(lower(word))) base += (base.empty() ? "" : " ") + word;
    word.clear();
  }
  if (base.empty()) base = signal;
  return base.empty() ? "cavity " + cavity : base;
}

std::string role_text(const std::string& role) {
  std::string text = role;
  std::replace(text.begin(), text.end(), '_', ' ');
  return text;
}

std::string part_name(const Recipe& recipe, const RecipePart& part, const std::string& base) {
  const std::string role = role_text(part.role);
  if (part.kind == "fuse" || part.kind == "fusible_link")
    return base + (count_of_kind(recipe, part.kind) > 1 ? " " + role : "") + " fuse";
  if (part.kind == "relay") return with(base, "relay");
  if (part.kind == "earth")
    return with(base, "earth") + (count_of_kind(recipe, "earth") > 1 ? " " + role : "");
  if (part.kind == "splice")
    return base + " joint" + (count_of_kind(recipe, "splice") > 1 ? ", " + role : "");
  if (part.kind == "open_end") return base + ", tied back";
  if (part.kind.starts_with("switch")) return with(base, "switch");
  if (part.kind == "thermistor" || part.kind.starts_with("sensor") || part.kind == "potentiometer" ||
      part.kind == "pressure_sensor")
    return with(base, "sensor") + (count_of_kind(recipe, part.kind) > 1 ? " " + role : "");
  const bool several = count_of_kind(recipe, part.kind) > 1;
  const bool passive = part.kind == "resistor" || part.kind == "diode" || part.kind.starts_with("controller");
  return base + (several || passive ? " " + role : "");
}

std::string id_like(const std::string& name) {
  std::string id;
  for (const char c : name) {
    const bool fits = is_letter(c) || is_digit(c);
    if (fits)
      id += lower(c);
    else if (!id.empty() && id.back() != '_')
      id += '_';
  }
  while (!id.empty() && id.back() == '_') id.pop_back();
  return id.empty() ? "part" : id;
}

bool is_load(const Recipe& recipe, const RecipePart& part) {
  static const std::set<std::string> loads{"lamp",     "motor", "heater", "valve",     "valve_proportional",
                                           "solenoid", "horn",  "clutch", "glow_plug", "injector"};
  switch (recipe.pin_class) {
    case PinClass::switch_to_earth_input:
    case PinClass::switch_to_supply_input:
    case PinClass::supply_15:
    case PinClass::supply_30:
      return false;  // its current is that of the pin
    default:
      return loads.contains(part.kind);
  }
}

std::size_t loads_in(const Recipe& recipe) {
  std::set<std::string> found;
  for (const auto& branch : recipe.branches) {
    for (const RecipePart& part : branch) {
      if (is_load(recipe, part)) found.insert(part.kind + ":" + part.role);
    }
  }
  return found.size();
}

}  // namespace loomgraft::recipes
