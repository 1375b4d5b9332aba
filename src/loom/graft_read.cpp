#include <algorithm>
#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>

#include "loom/fields_internal.h"
#include "loom/graft_json.h"
#include "loom/names_internal.h"

namespace loomgraft {

using namespace loom;
namespace {

using Json = nlohmann::json;

std::string escape_pointer(std::string_view name) {
  std::string out;
  for (const char c : name) {
    if (c == '~') {
      out += "~0";
    } else if (c == '/') {
      out += "~1";
    } else {
      out += c;
    }
  }
  return out;
}

// Reads one object's members into a struct, noting what does not fit and which members nobody asked for.
class Reader {
 public:
  Reader(const Json& object, std::string pointer, const std::string& file, Problems& problems)
      : object_(object), pointer_(std::move(pointer)), file_(file), problems_(problems) {}

  template <class T>
  void field(const char* name, T& member, double factor = 1.0) {
    known_.emplace_back(name);
    const auto found = object_.find(name);
    if (found != object_.end()) read(*found, pointer_ + "/" + name, member, factor);
  }

  void report_unknown_members() {
    for (const auto& [name, value] : object_.items()) {
      if (std::find(known_.begin(), known_.end(), name) != known_.end()) continue;
      report(Severity::warning, "unknown-member", pointer_ + "/" + escape_pointer(name),
             "The member \"" + name.substr(0, 60) + "\" is not part of the document format.",
             "Correct its name, or remove it; it is not used and not kept.");
    }
  }

  void allow(const char* name) { known_.emplace_back(name); }

 private:
  void report(Severity severity, ProblemCode code, const std::string& pointer, std::string message,
              std::string remedy) {
    problems_.push_back({severity, code, {file_, 0, 0, pointer}, std::move(message), std::move(remedy)});
  }

  void wrong_type(const std::string& pointer, const char* wanted) {
    report(Severity::error, "wrong-type", pointer, std::string("The value here is not ") + wanted + ".",
           std::string("Put ") + wanted + " here; until then the value counts as absent.");
  }

  void read(const Json& value, const std::string& pointer, std::string& out, double) {
    if (!value.is_string()) return wrong_type(pointer, "a text");
    out = value.get<std::string>();
  }

  void read(const Json& value, const std::string& pointer, bool& out, double) {
    if (!value.is_boolean()) return wrong_type(pointer, "true or false");
    out = value.get<bool>();
  }

  void read(const Json& value, const std::string& pointer, int& out, double) {
    const bool fits = value.is_number_integer() && value.get<double>() >= 0 &&
                      value.get<double>() <= std::numeric_limits<int>::max();
    if (!fits) return wrong_type(pointer, "a whole number from 0");
    out = value.get<int>();
  }

  void read(const Json& value, const std::string& pointer, double& out, double factor) {
    if (!value.is_number() || !std::isfinite(value.get<double>())) return wrong_type(pointer, "a number");
    out = value.get<double>() * factor;
  }

  template <class Kind>
  void read(const Json& value, const std::string& pointer, Quantity<Kind>& out, double factor) {
    read(value, pointer, out.si, factor);
  }

  void read(const Json& value, const std::string& pointer, Celsius& out, double factor) {
    read(value, pointer, out.degrees, factor);
  }

  template <class T>
  void read(const Json& value, const std::string& pointer, std::optional<T>& out, double factor) {
    const std::size_t before = problems_.size();
    T member{};
    read(value, pointer, member, factor);
    if (problems_.size() == before || value.is_object()) out = std::move(member);
  }

  template <class T>
  void read(const Json& value, const std::string& pointer, std::vector<T>& out, double factor) {
    if (!value.is_array()) return wrong_type(pointer, "a list");
    out.clear();
    for (std::size_t i = 0; i < value.size(); ++i) {
      const std::string item_pointer = pointer + "/" + std::to_string(i);
      T item{};
      const std::size_t before = problems_.size();
      read(value[i], item_pointer, item, factor);
      // A list item of the wrong shape is dropped with its Problem; an object with a bad member keeps its
      // good ones.
      if (value[i].is_object() || problems_.size() == before) out.push_back(std::move(item));
    }
  }

  template <class T>
  requires std::is_enum_v<T>
  void read(const Json& value, const std::string& pointer, T& out, double) {
    if (!value.is_string()) return wrong_type(pointer, "a text");
    const auto& names = loom::names_of(T{});
    const auto found = std::find(names.begin(), names.end(), value.get<std::string>());
    if (found != names.end()) {
      out = static_cast<T>(found - names.begin());
      return;
    }
    std::string choice;
    for (const std::string_view name : names) choice += (choice.empty() ? "" : ", ") + std::string(name);
    report(Severity::error, "unknown-word", pointer,
           "\"" + value.get<std::string>().substr(0, 60) + "\" is not one of the allowed names.",
           "Use one of: " + choice + ".");
  }

  template <class T>
  requires requires(Reader& reader, T& record) { loom::visit(reader, record); }
  void read(const Json& value, const std::string& pointer, T& out, double) {
    if (!value.is_object()) return wrong_type(pointer, "an object");
    Reader reader(value, pointer, file_, problems_);
    loom::visit(reader, out);
    reader.report_unknown_members();
    if constexpr (std::is_same_v<T, Reading>) set_marks_from_id(out);
  }

  const Json& object_;
  std::string pointer_;
  const std::string& file_;
  Problems& problems_;
  std::vector<std::string> known_;
};

Location location_of_byte(std::string_view text, std::size_t byte, const std::string& file) {
  const std::string_view before = text.substr(0, std::min(byte, text.size()));
  const auto line = 1 + std::count(before.begin(), before.end(), '\n');
  const std::size_t line_start = before.rfind('\n') == std::string_view::npos ? 0 : before.rfind('\n') + 1;
  return {file, static_cast<int>(line), static_cast<int>(before.size() - line_start), ""};
}

// The library quotes the number but does not say where it is.
Location location_of_number(std::string_view text, std::string_view what, const std::string& file) {
  const std::size_t open = what.find('\'');
  const std::size_t close = what.rfind('\'');
  const std::size_t at =
      open < close ? text.find(what.substr(open + 1, close - open - 1)) : std::string_view::npos;
  return at == std::string_view::npos ? Location{file, 0, 0, ""} : location_of_byte(text, at + 1, file);
}

// The header decides whether the rest can be read at all.
std::optional<Problem> refuse(const Json& json, const std::string& file) {
  if (!json.is_object() || json.value("format", Json()) != Json("loomgraft")) {
    return Problem{Severity::error,
                   "not-a-graft",
                   {file, 0, 0, "/format"},
                   "This JSON is not a graft document: its \"format\" is not \"loomgraft\".",
                   "Choose a graft document, or make one with `loomgraft new`."};
  }
  const Json version = json.value("version", Json());
  if (!version.is_number_integer() || version.get<double>() < 1) {
    return Problem{Severity::error,
                   "no-version",
                   {file, 0, 0, "/version"},
                   "The document does not say which version of the format it follows.",
                   "Add \"version\": " + std::to_string(graft_format_version) + "."};
  }
  if (version.get<double>() > graft_format_version) {
    return Problem{Severity::error,
                   "newer-version",
                   {file, 0, 0, "/version"},
                   "The document was written by a newer version of the program.",
                   "Open it with that version; this one reads up to version " +
                       std::to_string(graft_format_version) + "."};
  }
  return std::nullopt;
}

}  // namespace

GraftReading graft_from_json(std::string_view text, const std::string& file) {
  GraftReading result;
  Json json;
#ifdef __cpp_exceptions
  try {
    json = Json::parse(text);
  } catch (const Json::parse_error& error) {
    result.problems.push_back({Severity::error, "bad-json", location_of_byte(text, error.byte, file),
                               "The text is not valid JSON from here on.",
                               "Correct the document here: often a comma, a quote or a bracket is missing."});
    return result;
  } catch (const Json::out_of_range& error) {
    result.problems.push_back({Severity::error, "bad-json", location_of_number(text, error.what(), file),
                               "A number here is too large to be stored.",
                               "Correct the number: nothing in a loom is that large."});
    return result;
  }
#else  // the library tells the position by exceptions only
  json = Json::parse(text, nullptr, false);
  if (json.is_discarded()) {
    result.problems.push_back({Severity::error,
                               "bad-json",
                               {file, 0, 0, ""},
                               "The text is not JSON.",
                               "Mend the document: often a comma, a quote or a bracket is missing."});
    return result;
  }
#endif
  return graft_from_parsed(json, file);
}

GraftReading graft_from_parsed(const nlohmann::json& json, const std::string& file) {
  GraftReading result;
  if (auto problem = refuse(json, file)) {
    result.problems.push_back(std::move(*problem));
    return result;
  }
  Graft graft;
  Reader reader(json, "", file, result.problems);
  reader.allow("format");
  reader.allow("version");
  loom::visit(reader, graft);
  reader.report_unknown_members();
  result.graft = std::move(graft);
  return result;
}

}  // namespace loomgraft
