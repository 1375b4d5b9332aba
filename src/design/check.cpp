#include <cmath>
#include <limits>

#include "design/checks_internal.h"

namespace loomgraft {

using namespace design;
namespace {

constexpr const char* check_names[] = {"wire_drop",      "path_drop",    "contact_drop",  "pull_in",
                                       "heat",           "protection",   "fuse_of_wire",  "fuse_load",
                                       "motor_contacts", "motor_wire",   "motor_start",   "motor_alone",
                                       "driver_current", "clamp_energy", "level_closed",  "level_open",
                                       "wetting",        "earth_offset", "smallest_size", "terminal_fit"};
constexpr const char* check_words[] = {"volts lost in the wire",
                                       "volts lost on the whole way",
                                       "volts lost in contacts",
                                       "volts to pull in when hot",
                                       "heat of the conductor",
                                       "fuse against the wire in a short",
                                       "fuse against what the wire carries",
                                       "fuse against its load",
                                       "contacts against a motor's start",
                                       "wire against a motor's start",
                                       "fuse against a motor's start",
                                       "a motor's fuse for itself",
                                       "current of the output",
                                       "energy the output must clamp",
                                       "level with the switch closed",
                                       "level with the switch open",
                                       "current that keeps contacts clean",
                                       "lift of the sensor's earth",
                                       "smallest size allowed",
                                       "what the terminal takes"};
constexpr const char* remedy_names[] = {"relay", "diode", "separate_earth", "pull_up"};

double margin_of(const Bound& bound) {
  const double distance = bound.at_most ? bound.limit - bound.value : bound.value - bound.limit;
  return bound.limit == 0.0 ? distance : distance / std::abs(bound.limit);
}

}  // namespace

const char* name_of(CheckKind kind) {
  return check_names[static_cast<std::size_t>(kind)];
}

std::string words_of(CheckKind kind) {
  return check_words[static_cast<std::size_t>(kind)];
}

const char* name_of(RemedyKind kind) {
  return remedy_names[static_cast<std::size_t>(kind)];
}

Check design::make_check(CheckKind kind, std::string subject, std::string words, const Bound& bound) {
  Check check;
  check.kind = kind;
  check.subject = std::move(subject);
  check.text = std::move(words);
  check.value = bound.value;
  check.limit = bound.limit;
  check.unit = bound.unit;
  check.at_most = bound.at_most;
  check.margin = margin_of(bound);
  check.passes = check.margin >= 0.0;
  return check;
}

void design::keep_worse(std::optional<Check>& worst, Check check) {
  if (!worst || check.margin < worst->margin) worst = std::move(check);
}

std::string design::words_of(const TrialRun& run) {
  switch (run.corner) {
    case Corner::weakest:
      return run.condition.name + ", lowest supply and hottest copper";
    case Corner::strongest:
      return run.condition.name + ", highest supply and coldest copper";
    case Corner::nominal:
      break;
  }
  return run.condition.name;
}

}  // namespace loomgraft
