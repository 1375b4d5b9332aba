#include <cmath>
#include <nlohmann/json.hpp>

#include "base/decimal.h"
#include "loom/fields_internal.h"
#include "loom/graft_json.h"
#include "loom/names_internal.h"

namespace loomgraft {

using namespace loom;
namespace {

// 12 significant digits: what scaling by a thousand blurs in the last place is not written out.
double rounded(double value) {
  return read_decimal(print_scientific(value, 11)).value_or(value);
}

// Writes a struct's members into one object; what holds nothing is left out.
class Writer {
 public:
  template <class T>
  void field(const char* name, T& member, double factor = 1.0) {
    nlohmann::ordered_json value = write(member, factor);
    if (!holds_nothing(value)) object_[name] = std::move(value);
  }

  nlohmann::ordered_json take() { return std::move(object_); }
  nlohmann::ordered_json object_ = nlohmann::ordered_json::object();

 private:
  static bool holds_nothing(const nlohmann::ordered_json& value) {
    return value.is_null() || (value.is_string() && value.get_ref<const std::string&>().empty()) ||
           ((value.is_array() || value.is_object()) && value.empty());
  }

  static nlohmann::ordered_json write(const std::string& value, double) { return value; }
  static nlohmann::ordered_json write(bool value, double) {
    return value ? nlohmann::ordered_json(true) : nlohmann::ordered_json();
  }
  static nlohmann::ordered_json write(int value, double) {
    return value == 0 ? nlohmann::ordered_json() : nlohmann::ordered_json(value);
  }
  static nlohmann::ordered_json write(double value, double factor) {
    const double scaled = rounded(value / factor);
    // Beyond 2^53 a double is no exact count, and far beyond it no long long can hold it.
    const bool countable = std::abs(scaled) < 9007199254740992.0;
    if (countable && scaled == static_cast<double>(static_cast<long long>(scaled)))
      return static_cast<long long>(scaled);
    return scaled;
  }
  template <class Kind>
  static nlohmann::ordered_json write(const Quantity<Kind>& value, double factor) {
    return write(value.si, factor);
  }
  static nlohmann::ordered_json write(const Celsius& value, double factor) {
    return write(value.degrees, factor);
  }

  // An optional false says something ("no terminal there"), unlike a plain one.
  static nlohmann::ordered_json write(std::optional<bool>& value, double) {
    return value ? nlohmann::ordered_json(*value) : nlohmann::ordered_json();
  }
  template <class T>
  static nlohmann::ordered_json write(std::optional<T>& value, double factor) {
    return value ? write(*value, factor) : nlohmann::ordered_json();
  }

  template <class T>
  static nlohmann::ordered_json write(std::vector<T>& list, double factor) {
    nlohmann::ordered_json array = nlohmann::ordered_json::array();
    for (T& item : list) array.push_back(write(item, factor));
    return array;
  }

  template <class T>
  requires std::is_enum_v<T>
  static nlohmann::ordered_json write(T& value, double) {
    if (static_cast<int>(value) == 0 && !std::is_same_v<T, PlanAction>) return {};
    return std::string(loom::names_of(value)[static_cast<std::size_t>(value)]);
  }

  template <class T>
  requires requires(Writer& writer, T& record) { loom::visit(writer, record); }
  static nlohmann::ordered_json write(T& record, double) {
    Writer writer;
    loom::visit(writer, record);
    return writer.take();
  }
};

}  // namespace

nlohmann::ordered_json to_json(const Graft& graft) {
  Graft copy = graft;  // one field list serves reading, which changes its structs, and writing
  Writer writer;
  writer.object_["format"] = "loomgraft";
  writer.object_["version"] = graft_format_version;
  loom::visit(writer, copy);
  return writer.take();
}

std::string write_graft(const Graft& graft) {
  // Text that came in with bytes that are no UTF-8 is written with replacement marks, never as an exception.
  return to_json(graft).dump(2, ' ', false, nlohmann::ordered_json::error_handler_t::replace) + "\n";
}

}  // namespace loomgraft
