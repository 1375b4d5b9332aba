#include <cmath>
#include <iterator>
#include <limits>

#include "design/checks_internal.h"
#include "loom/end_id.h"

namespace loomgraft {

using namespace design;
namespace {

struct NameAndText {
  const char* name;
  const char* text;
};
constexpr NameAndText checks[] = {{"wire_drop", "volts lost in the wire"},
                                  {"path_drop", "volts lost on the whole path"},
                                  {"contact_drop", "volts lost in contacts"},
                                  {"pull_in", "volts to pull in when hot"},
                                  {"heat", "heat of the conductor"},
                                  {"protection", "fuse against the wire in a short"},
                                  {"lead_current", "lead ahead of a fuse against what the fuse lets through"},
                                  {"fuse_of_wire", "fuse against what the wire carries"},
                                  {"fuse_load", "fuse against its load"},
                                  {"fuse_breaking", "fuse against the short that it must interrupt"},
                                  {"fuse_inrush", "fuse against the inrush of a cold lamp"},
                                  {"motor_contacts", "contacts against a motor's start"},
                                  {"motor_wire", "wire against a motor's start"},
                                  {"motor_start", "fuse against a motor's start"},
                                  {"motor_alone", "other load on a motor's fuse"},
                                  {"driver_current", "current of the output"},
                                  {"driver_inrush", "inrush that the output must stand"},
                                  {"contact_current", "current of the contacts"},
                                  {"contact_inrush", "inrush that the contacts must stand"},
                                  {"terminal_current", "current of the terminal"},
                                  {"hold", "volts to hold while the starter turns"},
                                  {"clamp_energy", "energy the output must clamp"},
                                  {"level_closed", "level with the switch closed"},
                                  {"level_open", "level with the switch open"},
                                  {"wetting", "current that keeps contacts clean"},
                                  {"earth_offset", "shift of the sensor's earth"},
                                  {"rated_volts", "volts that the part is made for"},
                                  {"load_dump", "peak of a load dump"},
                                  {"jump_start", "volts of a jump start"},
                                  {"reversed_battery", "fuse against a diode with the battery reversed"},
                                  {"smallest_size", "smallest size allowed"},
                                  {"terminal_fit", "size range of the terminal"}};
static_assert(std::size(checks) == static_cast<std::size_t>(CheckKind::terminal_fit) + 1);
constexpr const char* missing_names[] = {"end", "load", "length", "value", "rating"};
constexpr const char* remedy_names[] = {"relay", "diode", "separate_earth", "pull_up"};

double margin_of(const Comparison& made) {
  const double distance = made.at_most ? made.limit - made.value : made.value - made.limit;
  return made.limit == 0.0 ? distance : distance / std::abs(made.limit);
}

}  // namespace

const char* name_of(CheckKind kind) {
  return checks[static_cast<std::size_t>(kind)].name;
}

std::string text_of(CheckKind kind) {
  return checks[static_cast<std::size_t>(kind)].text;
}

const char* name_of(RemedyKind kind) {
  return remedy_names[static_cast<std::size_t>(kind)];
}

const char* name_of(MissingFact fact) {
  return missing_names[static_cast<std::size_t>(fact)];
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
