// Whether a fuse opens before its wire is harmed, for every current that the wire can see.
//
// Model   for each current from the fuse's rating to the dead short, the longest time the fuse may take
//         against the time the insulation takes to its limit: the short-circuit limit for times up to 5 s,
//         the class's temperature for longer ones, joined straight in log-log between 5 s and 60 s (see
//         docs/engine.md)
// Gives   the current at which the margin is least; protected where no current finds the wire slower than
//         the fuse. A fuse that need not open below some current must carry no more than the wire settles
//         with.
#pragma once

#include <vector>

#include "design/heat.h"
#include "standards/fuses.h"

namespace loomgraft {

struct Protection {
  bool covered = false;  // the fuse always opens in time
  Amperes worst_current;
  Seconds fuse_time;    // longest, there
  Seconds wire_time;    // to its limit, there
  double margin = 0.0;  // wire_time / fuse_time, at the worst current; capped at 1e6
  std::string reason;
};

struct WireLimits {
  Celsius life;           // settled
  Celsius short_circuit;  // up to 5 s
};

struct ProtectionQuestion {
  ThermalWire wire;
  WireLimits limits;
  Celsius start;  // conductor before the fault
  Surroundings around;
  Amperes dead_short;  // the highest current the wire can see
};

Protection protection_of(const FuseFamily& family, Amperes rating, const ProtectionQuestion& question);

// Points of a curve for the plot: current and time, currents rising, evenly spaced in log.
struct CurvePoint {
  Amperes current;
  Seconds time;
};
std::vector<CurvePoint> wire_damage_curve(const ProtectionQuestion& question, Amperes from, Amperes to,
                                          std::size_t points);

}  // namespace loomgraft
