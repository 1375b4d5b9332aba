// Whether a fuse opens before its wire is damaged, for every current that the wire can carry in a fault.
//
// Model   for each current from zero to the dead short, the longest time the fuse may take against the time in
//         which the wire reaches its limit. The limit is the short-circuit temperature up to 5 s, the
//         temperature for life from 60 s on, and falls linearly over the logarithm of time between them
//         (docs/engine-heat.md says why that is on the safe side)
// Needs   rating and dead short > 0
// Gives   the current at which the margin is smallest, to 0.1 %; covered if the wire outlasts the fuse at
//         every current. Below its first gate a fuse may never open, so there the steady temperature of the wire
//         must be below that for life; otherwise the margin is 0. A larger fuse, a smaller wire, a hotter start,
//         hotter air or a larger short never has a better margin
// Cost    about 0.1 ms
#pragma once

#include <vector>

#include "heat/heat.h"
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
  Celsius life;           // steady
  Celsius short_circuit;  // up to 5 s
};

// Until when the short-circuit temperature counts, and from when the one for life (data/heat.csv).
struct LimitTimes {
  Seconds short_circuit;
  Seconds life;
};
LimitTimes limit_times();

struct ProtectionQuestion {
  ThermalWire wire;
  WireLimits limits;
  Celsius start;  // conductor before the fault
  Surroundings around;
  Amperes dead_short;  // the highest current in the wire
};

Protection protection_of(const FuseFamily& family, Amperes rating, const ProtectionQuestion& question);

// Points of a curve for the plot: current and time, currents rising, evenly spaced in log. Infinite where the
// wire never reaches its limit.
struct CurvePoint {
  Amperes current;
  Seconds time;
};
std::vector<CurvePoint> wire_damage_curve(const ProtectionQuestion& question, Amperes from, Amperes to,
                                          std::size_t points);

}  // namespace loomgraft
