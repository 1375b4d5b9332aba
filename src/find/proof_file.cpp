// One function per type lists its members, for writing and for reading. Structured bindings name all members: one that
// is added to a type later does not compile here until it is either kept or left out on purpose.
#include "find/proof_file.h"

#include <algorithm>
#include <bit>
#include <cstdint>
#include <cstring>
#include <map>
#include <type_traits>
#include <utility>

namespace loomgraft {
namespace {

constexpr std::uint64_t version = 4;
constexpr std::string_view magic = "loomgraft proof\n";

class Writer {
 public:
  static constexpr bool reading = false;
  void raw(const void* data, std::size_t size) { bytes_.append(static_cast<const char*>(data), size); }
  std::string take() { return std::move(bytes_); }

 private:
  std::string bytes_;
};

class Reader {
 public:
  static constexpr bool reading = true;
  explicit Reader(std::string_view bytes) : bytes_(bytes) {}
  void raw(void* data, std::size_t size) {
    if (size > bytes_.size()) failed_ = true;
    if (failed_) return;
    std::memcpy(data, bytes_.data(), size);
    bytes_.remove_prefix(size);
  }
  std::size_t left() const { return bytes_.size(); }
  void fail() { failed_ = true; }
  bool failed() const { return failed_; }

 private:
  std::string_view bytes_;
  bool failed_ = false;
};

template <class File, class T>
requires(std::is_arithmetic_v<T> || std::is_enum_v<T>) void pass(File& file, T& value) {
  file.raw(&value, sizeof value);
}

// A count that is at most what the rest of the file can hold.
template <class File>
std::size_t pass_count(File& file, std::size_t count) {
  std::uint64_t written = count;
  pass(file, written);
  if constexpr (File::reading) {
    if (written > file.left()) file.fail();
    if (file.failed()) written = 0;
  }
  return static_cast<std::size_t>(written);
}

template <class File>
void pass(File& file, std::string& text) {
  const std::size_t size = pass_count(file, text.size());
  if constexpr (File::reading) text.resize(size);
  file.raw(text.data(), size);
}

template <class File, class... T>
void pass_all(File& file, T&... values);

template <class File, class T>
void pass(File& file, std::vector<T>& list);

template <class File, class T>
void pass(File& file, std::optional<T>& value) {
  bool there = value.has_value();
  pass(file, there);
  if constexpr (File::reading) {
    if (there) value.emplace();
  }
  if (there && value) pass(file, *value);
}

template <class File, class Kind>
void pass(File& file, Quantity<Kind>& value) {
  pass(file, value.si);
}
template <class File>
void pass(File& file, Celsius& value) {
  auto& [degrees] = value;
  pass(file, degrees);
}
template <class File>
void pass(File& file, WireEnd& end) {
  auto& [at, cavity] = end;
  pass_all(file, at, cavity);
}
template <class File>
void pass(File& file, CavityRef& cavity) {
  auto& [connector, name] = cavity;
  pass_all(file, connector, name);
}
template <class File>
void pass(File& file, ProbePoint& point) {
  auto& [target, at, side, text, minutes, short_text] = point;
  pass_all(file, target, at, side, text, minutes, short_text);
}
template <class File>
void pass(File& file, Jumper& jumper) {
  auto& [from, to, text, load, spread] = jumper;
  pass_all(file, from, to, text, load, spread);
}
template <class File>
void pass(File& file, PlaceAccess& access) {
  auto& [place, text, minutes] = access;
  pass_all(file, place, text, minutes);
}
template <class File>
void pass(File& file, Condition& condition) {
  auto& [name, battery_off, key, supply, ambient, worked, driven, unplugged, removed] = condition;
  pass_all(file, name, battery_off, key, worked, driven, unplugged, removed);
  pass_all(file, supply, ambient);
}
template <class File>
void pass(File& file, ProveCondition& condition) {
  auto& [id, text, setup, jumpers, live, minutes, cautions, accesses] = condition;
  pass_all(file, id, text, setup, jumpers, live, minutes, cautions, accesses);
}
template <class File>
void pass(File& file, Band& band) {
  auto& [low, high] = band;
  pass_all(file, low, high);
}
template <class File>
void pass(File& file, ProveTest& test) {
  auto& [id, kind, condition, red, black, clamp, setting, unit, nominal, band, minutes, accesses, exposes,
         text] = test;
  pass_all(file, id, kind, condition, red, black, clamp, setting, unit, nominal, band, minutes, accesses,
           exposes, text);
}
template <class File>
void pass(File& file, FaultSubject& subject) {
  auto& [kind, id, end] = subject;
  pass_all(file, kind, id, end);
}
template <class File>
void pass(File& file, Fault& fault) {
  auto& [id, kind, subjects, text, repair, repair_text, prior, prior_source, harm, added, ohms, joint_text,
         up_to, matters, heat] = fault;
  pass_all(file, id, kind, subjects, text, repair, repair_text, prior, prior_source, harm, added, ohms,
           joint_text, up_to, matters, heat);
}

template <class File>
void pass(File& file, StepMinutes& minutes) {
  auto& [setup, access, travel, probes, reading] = minutes;
  pass_all(file, setup, access, travel, probes, reading);
}
template <class File>
void pass(File& file, TimeBudget& budget) {
  auto& [minutes, shown, bound] = budget;
  pass_all(file, minutes, shown, bound);
}
template <class File>
void pass(File& file, Unexposed& one) {
  auto& [fault, why, remedy] = one;
  pass_all(file, fault, why, remedy);
}
template <class File>
void pass(File& file, JointThreshold& threshold) {
  auto& [joint, text, ohms, test] = threshold;
  pass_all(file, joint, text, ohms, test);
}
template <class File>
void pass(File& file, TestPlugResistor& resistor) {
  auto& [cavity, ohms] = resistor;
  pass_all(file, cavity, ohms);
}
template <class File>
void pass(File& file, TestPlug& plug) {
  auto& [connector, condition, text, resistors, parts, minutes, used] = plug;
  pass_all(file, connector, condition, text, resistors, parts, minutes, used);
}
template <class File>
void pass(File& file, OpenHazard& hazard) {
  auto& [source, id, text, look] = hazard;
  pass_all(file, source, id, text, look);
}
template <class File>
void pass(File& file, Assumption& assumption) {
  auto& [subject, quantity, value, why] = assumption;
  pass_all(file, subject, quantity, value, why);
}
// Its row: the proof is kept for this program file only.
template <class File>
void pass(File& file, ProblemCode& code) {
  static_assert(std::is_trivially_copyable_v<ProblemCode>);
  file.raw(&code, sizeof code);
}
template <class File>
void pass(File& file, Location& location) {
  auto& [name, line, column, pointer, place] = location;
  pass_all(file, name, line, column, pointer, place);
}
template <class File>
void pass(File& file, Problem& problem) {
  auto& [severity, code, location, message, remedy] = problem;
  pass_all(file, severity, code, location, message, remedy);
}

template <class File, class T>
void pass(File& file, std::vector<T>& list) {
  const std::size_t count = pass_count(file, list.size());
  if constexpr (File::reading) list.resize(count);
  for (T& one : list) pass(file, one);
}

template <class File, class... T>
void pass_all(File& file, T&... values) {
  (pass(file, values), ...);
}

template <class File>
void pass(File& file, ProveReport& report) {
  auto& [faults, conditions, accesses, tests, plan, steps, budget, plan_minutes, bound_minutes, optimal,
         over_range, unexposed, joints, test_plugs, test_plugs_save, refused, to_confirm, assumptions,
         problems] = report;
  pass_all(file, faults, conditions, accesses, tests, plan, steps, budget, plan_minutes, bound_minutes,
           optimal, over_range, unexposed, joints, test_plugs, test_plugs_save, refused, to_confirm,
           assumptions, problems);
}

// A row of the table: its different intervals once, then for each cell which of them, a byte where that is enough.
constexpr std::size_t fit_in_a_byte = 256;

struct NumberedRow {
  std::vector<Band> bands;
  std::vector<std::uint32_t> cells;
};

NumberedRow numbered(const ReadingRow& row) {
  NumberedRow made;
  std::map<std::pair<std::uint64_t, std::uint64_t>, std::uint32_t> numbers;  // by the bits of both ends
  made.cells.reserve(row.size());
  const Band* before = nullptr;
  for (std::size_t k = 0; k < row.size(); ++k) {
    const Band& band = row.at(k);
    if (&band == before) {
      made.cells.push_back(made.cells.back());
      continue;
    }
    before = &band;
    const std::pair bits(std::bit_cast<std::uint64_t>(band.low), std::bit_cast<std::uint64_t>(band.high));
    const auto [found, is_new] = numbers.emplace(bits, static_cast<std::uint32_t>(made.bands.size()));
    if (is_new) made.bands.push_back(band);
    made.cells.push_back(found->second);
  }
  return made;
}

void write_cells(Writer& file, const ReadingTable& table) {
  for (const ReadingRow& row : table.rows) {
    NumberedRow made = numbered(row);
    pass(file, made.bands);
    if (made.bands.size() > fit_in_a_byte) {
      file.raw(made.cells.data(), made.cells.size() * sizeof made.cells[0]);
      continue;
    }
    const std::vector<std::uint8_t> narrow(made.cells.begin(), made.cells.end());
    file.raw(narrow.data(), narrow.size());
  }
}

template <class Number>
void read_places(Reader& file, std::size_t faults, const std::vector<std::uint32_t>& places,
                 ReadingRow& row) {
  if (faults > file.left() / sizeof(Number)) return file.fail();
  std::vector<Number> cells(faults);
  file.raw(cells.data(), faults * sizeof(Number));
  for (const Number cell : cells) {
    if (cell >= places.size()) return file.fail();
    row.push_place(places[cell]);
  }
}

void read_row(Reader& file, std::size_t faults, ReadingRow& row) {
  std::vector<Band> bands;
  pass(file, bands);
  row.reserve(faults);
  std::vector<std::uint32_t> places;
  places.reserve(bands.size());
  for (const Band& band : bands) places.push_back(row.place_of(band));
  if (bands.size() > fit_in_a_byte)
    read_places<std::uint32_t>(file, faults, places, row);
  else
    read_places<std::uint8_t>(file, faults, places, row);
  row.shrink_to_fit();
}

void read_cells(Reader& file, std::size_t tests, ReadingTable& table) {
  for (std::size_t test = 0; test < tests && !file.failed(); ++test) {
    table.rows.emplace_back();
    read_row(file, table.faults, table.rows.back());
  }
}

// Eight bytes at a time: a check against damage, not against intent.
std::uint64_t checksum_of(std::string_view bytes) {
  std::uint64_t sum = 0x9E3779B97F4A7C15U ^ bytes.size();
  for (std::size_t at = 0; at < bytes.size(); at += 8) {
    std::uint64_t word = 0;
    std::memcpy(&word, bytes.data() + at, std::min<std::size_t>(8, bytes.size() - at));
    sum = (sum ^ word) * 0xD6E8FEB86659FD93U;
    sum ^= sum >> 32U;
  }
  return sum;
}

bool all_below(const std::vector<std::size_t>& positions, std::size_t end) {
  return std::ranges::all_of(positions, [end](std::size_t one) { return one < end; });
}

// Every position is one of the lists it points into.
bool is_whole(const ProveReport& report) {
  const auto of_a_fault = [&](const Unexposed& one) { return one.fault < report.faults.size(); };
  return all_below(report.plan, report.tests.size()) && std::ranges::all_of(report.unexposed, of_a_fault) &&
         std::ranges::all_of(report.tests,
                             [&](const ProveTest& test) {
                               return test.condition < report.conditions.size() &&
                                      all_below(test.accesses, report.accesses.size()) &&
                                      all_below(test.exposes, report.faults.size());
                             }) &&
         std::ranges::all_of(report.conditions, [&](const ProveCondition& one) {
           return all_below(one.accesses, report.accesses.size());
         });
}

}  // namespace

std::string proof_to_bytes(const Proof& proof) {
  Writer body;
  ProveReport report = proof.report;
  pass(body, report);
  write_cells(body, proof.readings);
  const std::string bytes = body.take();
  Writer file;
  std::uint64_t number = version;
  std::uint64_t sum = checksum_of(bytes);
  file.raw(magic.data(), magic.size());
  pass_all(file, number, sum);
  return file.take() + bytes;
}

std::optional<Proof> proof_from_bytes(std::string_view bytes) {
  if (!bytes.starts_with(magic)) return std::nullopt;
  Reader file(bytes.substr(magic.size()));
  std::uint64_t number = 0;
  std::uint64_t sum = 0;
  pass_all(file, number, sum);
  if (file.failed() || number != version || sum != checksum_of(bytes.substr(bytes.size() - file.left())))
    return std::nullopt;
  Proof proof;
  pass(file, proof.report);
  proof.readings.faults = proof.report.faults.size();
  read_cells(file, proof.report.tests.size(), proof.readings);
  if (file.failed() || file.left() > 0 || !is_whole(proof.report)) return std::nullopt;
  return proof;
}

}  // namespace loomgraft
