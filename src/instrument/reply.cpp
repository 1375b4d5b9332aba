#include "instrument/reply.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <vector>

#include "base/ascii.h"
#include "base/decimal.h"

namespace loomgraft::instrument {
namespace {

constexpr double no_number_from = 1e36;
constexpr double not_a_number = 9.91e37;
constexpr std::size_t most_shown = 40;

std::vector<std::string_view> fields(std::string_view line) {
  std::vector<std::string_view> parts;
  for (std::size_t from = 0;;) {
    const std::size_t comma = line.find(',', from);
    parts.push_back(trimmed(line.substr(from, comma == std::string_view::npos ? comma : comma - from)));
    if (comma == std::string_view::npos) return parts;
    from = comma + 1;
  }
}

// The length of the number that the text begins with: sign, digits with at most one point, exponent.
std::size_t number_length(std::string_view text) {
  std::size_t at = 0;
  const auto digits = [&] {
    const std::size_t from = at;
    while (at < text.size() && is_digit(text[at])) ++at;
    return at - from;
  };
  if (at < text.size() && (text[at] == '+' || text[at] == '-')) ++at;
  std::size_t count = digits();
  if (at < text.size() && text[at] == '.') {
    ++at;
    count += digits();
  }
  if (count == 0) return 0;
  const std::size_t before_exponent = at;
  if (at < text.size() && (text[at] == 'E' || text[at] == 'e')) {
    ++at;
    if (at < text.size() && (text[at] == '+' || text[at] == '-')) ++at;
    if (digits() == 0) return before_exponent;
  }
  return at;
}

struct Unit {
  MeterFunction function;
  double factor;
};

// As IEEE 488.2 writes suffixes: M is milli, but mega before OHM. A small m before ohms could be either and is neither.
std::optional<Unit> unit_named(std::string_view text) {
  struct Row {
    std::string_view name;
    Unit unit;
  };
  constexpr auto ohms = MeterFunction::ohms;
  constexpr auto volts = MeterFunction::volts;
  constexpr auto amperes = MeterFunction::amperes;
  static constexpr Row rows[] = {
      {"OHM", {ohms, 1}},          {"OHMS", {ohms, 1}},       {"\xCE\xA9", {ohms, 1}},
      {"\xE2\x84\xA6", {ohms, 1}}, {"KOHM", {ohms, 1e3}},     {"KOHMS", {ohms, 1e3}},
      {"MOHM", {ohms, 1e6}},       {"MOHMS", {ohms, 1e6}},    {"V", {volts, 1}},
      {"VDC", {volts, 1}},         {"V DC", {volts, 1}},      {"MV", {volts, 1e-3}},
      {"MVDC", {volts, 1e-3}},     {"MV DC", {volts, 1e-3}},  {"A", {amperes, 1}},
      {"ADC", {amperes, 1}},       {"A DC", {amperes, 1}},    {"MA", {amperes, 1e-3}},
      {"MADC", {amperes, 1e-3}},   {"MA DC", {amperes, 1e-3}}};
  const std::string name = upper(text);
  if (text.starts_with('m') && name.starts_with("MOHM")) return std::nullopt;
  const auto* found = std::ranges::find(rows, name, &Row::name);
  if (found == std::end(rows)) return std::nullopt;
  return found->unit;
}

bool is_overload_word(std::string_view text) {
  std::string word = upper(text);
  if (!word.empty() && (word.front() == '+' || word.front() == '-')) word.erase(0, 1);
  static constexpr std::string_view words[] = {"OL",       "O.L",  "0L",       "OVLD",     "OVERLOAD",
                                               "OVERFLOW", "OVER", "INFINITY", "INFINITE", "INF"};
  return std::ranges::find(words, word) != std::end(words);
}

struct Field {
  Reply reply;
  std::optional<Unit> unit;
};

Reply refused(std::string why) {
  return {ReplyKind::not_understood, 0.0, std::move(why)};
}

Field read_field(std::string_view text) {
  if (is_overload_word(text)) return {{ReplyKind::over_range, 0.0, {}}, {}};
  if (upper(text) == "NAN") return {{ReplyKind::no_number, 0.0, {}}, {}};
  const std::size_t length = number_length(text);
  if (length == 0) return {refused(printable(text)), {}};
  std::string_view digits = text.substr(0, length);
  if (digits.front() == '+') digits.remove_prefix(1);
  const auto number = read_decimal(digits);
  if (!number) return {refused(printable(text)), {}};
  Field field{{ReplyKind::number, *number, {}}, {}};
  const std::string_view unit = trimmed(text.substr(length));
  if (!unit.empty()) {
    field.unit = unit_named(unit);
    if (!field.unit) return {refused(printable(text)), {}};
  }
  if (std::abs(*number) > no_number_from || !std::isfinite(*number)) {
    const bool none = std::abs(std::abs(*number) / not_a_number - 1.0) < 1e-6;
    field.reply.kind = none ? ReplyKind::no_number : ReplyKind::over_range;
    field.reply.amount = 0.0;
  } else if (field.unit) {
    field.reply.amount *= field.unit->factor;
  }
  return field;
}

}  // namespace

std::string printable(std::string_view line) {
  std::string text(line.substr(0, most_shown));
  std::ranges::replace_if(
      text, [](char c) { return c < 0x20 || c > 0x7e; }, '.');
  return line.size() > most_shown ? text + "..." : text;
}

Reply read_value(std::string_view line, MeterFunction function) {
  const std::vector<std::string_view> parts = fields(line);
  if (parts.size() > 2) return refused(printable(line));
  std::vector<Field> read;
  for (const std::string_view part : parts) {
    read.push_back(read_field(part));
    if (read.back().reply.kind == ReplyKind::not_understood) return refused(printable(line));
  }
  const auto fits = [&](const Field& field) { return field.unit && field.unit->function == function; };
  if (const auto found = std::ranges::find_if(read, fits); found != read.end()) return found->reply;
  const bool without_units =
      std::ranges::none_of(read, [](const Field& field) { return field.unit.has_value(); });
  if (!without_units) return refused(printable(line) + " is not in " + unit_of(function));
  if (read.size() == 2 && function != MeterFunction::ohms)
    return refused("two numbers, " + printable(line) + ", and nothing says which is in " + unit_of(function));
  return read.front().reply;
}

std::optional<std::string> read_identity(std::string_view line) {
  const bool plain = std::ranges::all_of(line, [](char c) { return c >= 0x20 && c <= 0x7e; });
  const std::vector<std::string_view> parts = fields(line);
  // An entry of the error queue and a pair of readings have fewer fields.
  if (!plain || parts.size() < 3 || line.size() > 200 || line.front() == '"') return std::nullopt;
  const bool has_letters = std::ranges::any_of(parts.front(), [](char c) { return is_letter(c); });
  const bool is_reading = read_field(parts.front()).reply.kind != ReplyKind::not_understood;
  if (!has_letters || is_reading) return std::nullopt;
  return std::string(trimmed(line));
}

std::optional<QueueEntry> read_queue_entry(std::string_view line) {
  line = trimmed(line);
  const std::size_t comma = line.find(',');
  std::string_view number = trimmed(line.substr(0, comma));
  if (number.starts_with('+')) number.remove_prefix(1);
  QueueEntry entry;
  const auto [end, error] = std::from_chars(number.data(), number.data() + number.size(), entry.number);
  if (number.empty() || error != std::errc() || end != number.data() + number.size()) return std::nullopt;
  if (comma == std::string_view::npos) return std::nullopt;
  const std::string_view text = trimmed(line.substr(comma + 1));
  if (text.size() < 2 || text.front() != '"' || text.back() != '"') return std::nullopt;
  entry.text = printable(text.substr(1, text.size() - 2));
  return entry;
}

std::optional<NamedFunction> read_function(std::string_view line) {
  struct Row {
    std::string_view name;
    MeterFunction function;
  };
  static constexpr Row rows[] = {{"VOLT", MeterFunction::volts},      {"VOLT:DC", MeterFunction::volts},
                                 {"VOLTAGE", MeterFunction::volts},   {"VOLTAGE:DC", MeterFunction::volts},
                                 {"CURR", MeterFunction::amperes},    {"CURR:DC", MeterFunction::amperes},
                                 {"CURRENT", MeterFunction::amperes}, {"CURRENT:DC", MeterFunction::amperes},
                                 {"RES", MeterFunction::ohms},        {"RESISTANCE", MeterFunction::ohms}};
  line = trimmed(line);
  const bool quoted =
      line.size() >= 3 && (line.front() == '"' || line.front() == '\'') && line.back() == line.front();
  if (quoted) line = line.substr(1, line.size() - 2);
  std::string name = upper(line);
  if (name.starts_with("SENS:")) name.erase(0, 5);
  const auto* found = std::ranges::find(rows, name, &Row::name);
  if (found != std::end(rows)) return NamedFunction{found->function};
  // Without quotation marks it may be anything.
  if (!quoted) return std::nullopt;
  return NamedFunction{};
}

}  // namespace loomgraft::instrument
