// Something that could hurt, burn or break when the battery is joined, and that no measurement has ruled out: a person
// looks and confirms before. Stages that find such things give them to the test plan (prove/prove.h).
#pragma once

#include <string>

namespace loomgraft {

enum class HazardSource { fault, restraint, design, comparison };

struct OpenHazard {
  HazardSource source = HazardSource::fault;
  std::string id;    // stable for one graft, unique with `source`
  std::string text;  // what could happen, or what is wrong
  std::string look;  // what to look at before the battery is joined
};

}  // namespace loomgraft
