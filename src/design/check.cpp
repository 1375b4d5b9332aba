#include <cmath>
#include <limits>

#include "design/checks_internal.h"
#include "loom/end_id.h"

namespace loomgraft {

using namespace design;
namespace {

constexpr const char* check_names[] = {"wire_drop",      "path_drop",    "contact_drop",  "pull_in",
                                       "heat",           "protection",   "fuse_of_wire",  "fuse_load",
                                       "motor_contacts", "motor_wire",   "motor_start",   "motor_alone",
                                       "driver_current", "clamp_energy", "level_closed",  "level_open",
                                       "wetting",        "earth_offset", "smallest_size", "terminal_fit"};
constexpr const char* check_texts[] = {"volts lost in the wire",
                                       "volts lost on the whole path",
                                       "volts lost in contacts",
                                       "volts to pull in when hot",
                                       "heat of the conductor",
                                       "fuse against the wire in a short",
                                       "fuse against what the wire carries",
                                       "fuse against its load",
                                       "contacts against a motor's start",
                                       "wire against a motor's start",
                                       "fuse against a motor's start",
                                       "other load on a motor's fuse",
                                       "current of the output",
                                       "energy the output must clamp",
                                       "level with the switch closed",
                                       "level with the switch open",
                                       "current that keeps contacts clean",
                                       "shift of the sensor's earth",
                                       "smallest size allowed",
                                       "size range of the terminal"};
constexpr const char* remedy_names[] = {"relay", "diode", "separate_earth", "pull_up"};

double margin_of(const Comparison& made) {
  const double distance = made.at_most ? made.limit - made.value : made.value - made.limit;
  return made.limit == 0.0 ? distance : distance / std::abs(made.limit);
}

}  // namespace

const char* name_of(CheckKind kind) {
  return check_names[static_cast<std::size_t>(kind)];
}

std::string text_of(CheckKind kind) {
  return check_texts[static_cast<std::size_t>(kind)];
}

const char* name_of(RemedyKind kind) {
  return remedy_names[static_cast<std::size_t>(kind)];
}

std::string id_of(const DesignSubject& subject) {
  return end_id(subject.at);
}

DesignSubject design::wire_subject(const std::string& id) {
  return {DesignSubject::Kind::wire, {id, ""}};
}

DesignSubject design::device_subject(const std::string& id) {
  return {DesignSubject::Kind::device, {id, ""}};
}

DesignSubject design::pin_subject(const WireEnd& cavity) {
  return {DesignSubject::Kind::pin, cavity};
}

Check design::make_check(CheckKind kind, DesignSubject subject, std::string text,
                         const Comparison& comparison) {
  Check check;
  check.kind = kind;
  check.subject = std::move(subject);
  check.text = std::move(text);
  check.value = comparison.value;
  check.limit = comparison.limit;
  check.unit = comparison.unit;
  check.at_most = comparison.at_most;
  check.margin = margin_of(comparison);
  check.passes = check.margin >= 0.0;
  return check;
}

void design::keep_worst(std::optional<Check>& worst, Check check) {
  if (!worst || check.margin < worst->margin) worst = std::move(check);
}

std::string design::text_of(const LoadCase& load_case) {
  switch (load_case.corner) {
    case Corner::weakest:
      return load_case.condition.name + ", lowest supply and hottest copper";
    case Corner::strongest:
      return load_case.condition.name + ", highest supply and coldest copper";
    case Corner::nominal:
      break;
  }
  return load_case.condition.name;
}

}  // namespace loomgraft
