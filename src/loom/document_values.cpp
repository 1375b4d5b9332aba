#include "loom/document_values.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/decimal.h"
#include "loom/fields_internal.h"
#include "text/unseen.h"

namespace loomgraft {

using namespace loom;
namespace {

struct ValueRange {
  std::string_view name;
  double least;
  double most;
  bool above_least = false;  // the least itself is not allowed
};

constexpr double any_figure = std::numeric_limits<double>::max();

constexpr ValueRange value_ranges[] = {
    {"access_min", 0, 10'000},
    {"across", 0, 1},
    {"along", 0, 1},
    {"ambient_c", -80, 200},
    {"area_mm2", 0, 1'000, true},
    {"clamp_energy_mj", 0, 1e6},
    {"column", 0, any_figure},
    {"current_a", 0, 10'000},
    {"hottest_c", -80, 1'500},
    {"inductance_mh", 0, 1e6},
    {"length_mm", 0, 1e6},
    {"line", 0, any_figure},
    {"longest_mm", 0, 1e6},
    {"opening_mm", 0, 1'000},
    {"pitch_mm", 0, 1'000},
    {"pull_in_v", 0, 1'500},
    {"rated_v", 0, 1'500, true},
    {"rating_a", 0, 10'000},
    {"release_v", 0, 1'500},
    {"resistance_ohm", 0, 1e12},
    {"shortest_mm", 0, 1e6},
    {"supply_v", 0, 1'500},
    {"terminal_width_mm", 0, 1'000},
    {"value", -any_figure, any_figure},
    {"voltage_v", 0, 1'500},
    {"weight", -any_figure, any_figure},  // has a rule of its own
    {"withstands_v", 0, 10'000},
    {"x_mm", -10'000, 10'000},
    {"y_mm", -10'000, 10'000},
};
static_assert(std::ranges::is_sorted(value_ranges, {}, &ValueRange::name));

// A figure without a row here would go unchecked: it counts as one that is never below zero.
ValueRange range_of(std::string_view name) {
  const auto* const found = std::ranges::lower_bound(value_ranges, name, {}, &ValueRange::name);
  const bool known = found != std::end(value_ranges) && found->name == name;
  return known ? *found : ValueRange{name, 0, any_figure};
}

bool in_range(double value, const ValueRange& range) {
  if (!std::isfinite(value) || value > range.most) return false;
  return range.above_least ? value > range.least : value >= range.least;
}

std::string range_text(const ValueRange& range) {
  const std::string least = (range.above_least ? "above " : "at least ") + print_rounded(range.least, 6);
  return range.most == any_figure ? least : least + " and at most " + print_rounded(range.most, 6);
}

// Walks the document with the list of fields that its reader and writer use.
class ValueCheck {
 public:
  ValueCheck(std::string pointer, Problems& problems) : pointer_(std::move(pointer)), problems_(problems) {}

  template <class T>
  void field(const char* name, T& member, double factor = 1.0) {
    check(member, pointer_ + "/" + name, name, factor);
  }

 private:
  void check(const std::string& text, const std::string& pointer, const char* name, double) {
    if (!has_unseen_characters(text)) return;
    problems_.push_back({Severity::error,
                         "unseen-characters",
                         {"", 0, 0, pointer},
                         std::string("The text of \"") + name + "\" has characters that nobody sees: \"" +
                             without_unseen_characters(text).substr(0, 60) + "\".",
                         "Type it again."});
  }
  void check(double value, const std::string& pointer, const char* name, double factor) {
    const ValueRange range = range_of(name);
    const double written = value / factor;
    if (in_range(written, range)) return;
    problems_.push_back({Severity::error,
                         "bad-size",
                         {"", 0, 0, pointer},
                         std::string("A ") + name + " of " +
                             (std::isfinite(written) ? print_rounded(written, 6) : "no number") +
                             " is nothing that a loom can have.",
                         "Give a figure that is " + range_text(range) + "."});
  }
  void check(bool, const std::string&, const char*, double) {}
  void check(int value, const std::string& pointer, const char* name, double) {
    check(static_cast<double>(value), pointer, name, 1.0);
  }
  template <class Kind>
  void check(const Quantity<Kind>& value, const std::string& pointer, const char* name, double factor) {
    check(value.si, pointer, name, factor);
  }
  void check(const Celsius& value, const std::string& pointer, const char* name, double factor) {
    check(value.degrees, pointer, name, factor);
  }
  template <class T>
  void check(std::optional<T>& value, const std::string& pointer, const char* name, double factor) {
    if (value) check(*value, pointer, name, factor);
  }
  template <class T>
  void check(std::vector<T>& list, const std::string& pointer, const char* name, double factor) {
    for (std::size_t i = 0; i < list.size(); ++i)
      check(list[i], pointer + "/" + std::to_string(i), name, factor);
  }
  template <class T>
  requires std::is_enum_v<T>
  void check(T&, const std::string&, const char*, double) {}
  template <class T>
  requires requires(ValueCheck& check, T& record) { loom::visit(check, record); }
  void check(T& record, const std::string& pointer, const char*, double) {
    ValueCheck inner(pointer, problems_);
    loom::visit(inner, record);
  }

  std::string pointer_;
  Problems& problems_;
};

}  // namespace

Problems impossible_values(const Graft& graft) {
  Problems problems;
  ValueCheck check("", problems);
  // One list of fields serves reading, which changes its structs, and this, which does not.
  loom::visit(check, const_cast<Graft&>(graft));  // NOLINT(cppcoreguidelines-pro-type-const-cast)
  return problems;
}

}  // namespace loomgraft
