// The margin has minima at the corners of both curves, so the currents between two gates of the fuse are scanned in
// steps, and each minimum that may be the worst is narrowed by golden section. A bound without heat losses skips most
// currents.
#include "heat/protection.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "heat/transient_internal.h"
#include "units/print.h"

namespace loomgraft {

using namespace heat;
namespace {

constexpr double largest_margin = 1e6;
constexpr int fewest_points = 6;     // in each segment
constexpr double widest_step = 1.1;  // from point to point
constexpr int refinements = 12;
// Distance from a gate, so that rounding does not decide on which side a current is.
constexpr double corner_gap = 1e-9;

// The temperature that the wire withstands at a time since the fault began, in °C: the short-circuit temperature for as long as it
// is defined, the temperature for life from a minute on, straight over the logarithm of time between them.
class Limit {
 public:
  explicit Limit(const WireLimits& limits)
      : life_(limits.life.degrees),
        brief_(std::max(limits.short_circuit, limits.life).degrees),
        brief_until_(limit_times().short_circuit.si),
        life_from_(limit_times().life.si),
        span_(std::log(life_from_ / brief_until_)) {}

  double life() const { return life_; }
  double brief() const { return brief_; }
  double brief_until() const { return brief_until_; }
  double operator()(double time) const {
    if (time <= brief_until_) return brief_;
    if (time >= life_from_) return life_;
    return brief_ + (life_ - brief_) * std::log(time / brief_until_) / span_;
  }

 private:
  double life_;
  double brief_;
  double brief_until_;
  double life_from_;
  double span_;
};

// The wire's side of the question, with what does not depend on the current.
class Endurance {
 public:
  explicit Endurance(const ProtectionQuestion& question)
      : question_(question),
        limit_(question.limits),
        carries_(steady_current(question.wire, question.limits.life, question.around)) {
    // A wire colder than the air takes heat from it as well.
    if (question.start < question.around.air) return;
    to_short_circuit_limit_ = heat_kept(question.wire, question.start.degrees, limit_.brief());
    to_life_limit_ = heat_kept(question.wire, question.start.degrees, limit_.life());
  }

  // No wire reaches its limit sooner than one that loses no heat. A lower bound, with a thousandth for rounding.
  double quickest_possible(double current) const {
    const double share = 0.999 / (current * current);
    return std::min(share * to_short_circuit_limit_, std::max(limit_.brief_until(), share * to_life_limit_));
  }
  double time(double current) const {
    const bool rests = current <= carries_.si && question_.start <= question_.limits.life;
    if (rests) return infinite;
    return time_to_meet(Transient(question_.wire, {current}, question_.start, question_.around), limit_);
  }

 private:
  const ProtectionQuestion& question_;
  Limit limit_;
  Amperes carries_;
  double to_short_circuit_limit_ = 0.0;  // A2 s without losses
  double to_life_limit_ = 0.0;
};

struct Candidate {
  double current = 0.0;
  double fuse = 0.0;
  double wire = 0.0;
  double margin = largest_margin;
};

class Search {
 public:
  Search(const FuseFamily& family, Amperes rating, const Endurance& wire)
      : family_(family), rating_(rating), wire_(wire) {}

  Candidate at(double current) const {
    Candidate candidate{current, longest_opening(family_, rating_, {current}).si, wire_.time(current)};
    if (candidate.wire == infinite) return candidate;
    candidate.margin =
        candidate.fuse == infinite ? 0.0 : std::min(largest_margin, candidate.wire / candidate.fuse);
    return candidate;
  }

  // Points between two currents where the fuse's curve has no corner. The wire's has some, so there may be
  // several dips: each is kept with its neighbours.
  void scan(double from, double to) {
    const int steps =
        std::max(fewest_points, static_cast<int>(std::log(to / from) / std::log(widest_step)) + 1);
    const auto current_of = [&](int step) {
      return from * std::pow(to / from, static_cast<double>(step) / steps);
    };
    double before = std::numeric_limits<double>::max();
    double here = before;
    for (int i = 0; i <= steps + 1; ++i) {
      const double after = i > steps ? std::numeric_limits<double>::max() : quick_margin(current_of(i));
      if (i > 0 && here <= before && here <= after && here < largest_margin) {
        dips_.push_back({current_of(std::max(0, i - 2)), current_of(std::min(steps, i)), here});
      }
      before = here;
      here = after;
    }
  }

  // Narrows the dips that may contain the worst current.
  void refine() {
    constexpr double deepest = 1.2;  // a dip is no deeper than this below its lowest point
    for (const Dip& dip : dips_) {
      if (dip.margin <= deepest * worst_.margin) narrow(dip.low, dip.high);
    }
  }

  void take(const Candidate& candidate) {
    if (candidate.margin < worst_.margin) worst_ = candidate;
  }
  const Candidate& worst() const { return worst_; }

 private:
  struct Dip {
    double low = 0.0;  // currents beside it
    double high = 0.0;
    double margin = 0.0;
  };

  // The margin, or a bound of it where even that is not the worst so far.
  double quick_margin(double current) {
    const double bound = wire_.quickest_possible(current) / longest_opening(family_, rating_, {current}).si;
    if (bound >= worst_.margin) return std::numeric_limits<double>::max();
    const Candidate candidate = at(current);
    take(candidate);
    return candidate.margin;
  }

  // Golden section.
  void narrow(double low, double high) {
    constexpr double golden = 0.381966011250105;
    Candidate left = at(low * std::pow(high / low, golden));
    Candidate right = at(high * std::pow(low / high, golden));
    for (int i = 0; i < refinements; ++i) {
      const bool leftwards = left.margin < right.margin;
      take(leftwards ? left : right);
      if (leftwards) {
        high = right.current;
        right = left;
        left = at(low * std::pow(high / low, golden));
      } else {
        low = left.current;
        left = right;
        right = at(high * std::pow(low / high, golden));
      }
    }
  }

  const FuseFamily& family_;
  Amperes rating_;
  const Endurance& wire_;
  std::vector<Dip> dips_;
  Candidate worst_{0.0, 0.0, 0.0, std::numeric_limits<double>::max()};
};

// Multiples of the rating at which the longest opening has a corner.
std::vector<double> corners_of(const FuseFamily& family) {
  std::vector<double> corners;
  for (const FuseGate& gate : family.gates) {
    if (gate.longest) corners.push_back(gate.multiple);
  }
  return corners;
}

std::string reason_of(const Candidate& worst, Amperes rating, Amperes dead_short) {
  const std::string fuse = "the " + print(rating) + " fuse";
  const std::string current = print(Amperes{worst.current});
  if (worst.fuse == infinite && worst.wire < infinite) {
    const std::string what = worst.current >= dead_short.si ? "a dead short of " : "an overload of ";
    return "The " + print(rating) + " fuse need never interrupt " + what + current +
           ", and the wire reaches its limit in " + print(Seconds{worst.wire}) + ".";
  }
  if (worst.wire == infinite)
    return "The wire carries permanently every current that " + fuse + " does not interrupt.";
  return "At " + current + " " + fuse + " may take " + print(Seconds{worst.fuse}) +
         " and the wire reaches its limit in " + print(Seconds{worst.wire}) + ".";
}

}  // namespace

LimitTimes limit_times() {
  static const LimitTimes times{{heat_figure("short_circuit_s")}, {heat_figure("life_s")}};
  return times;
}

Protection protection_of(const FuseFamily& family, Amperes rating, const ProtectionQuestion& question) {
  const Endurance wire(question);
  Search search(family, rating, wire);
  const std::vector<double> corners = corners_of(family);
  const double dead_short = question.dead_short.si;
  // Just below its first gate a fuse may never open: the wire must carry that current permanently.
  const double first = corners.empty() ? infinite : corners.front() * rating.si;
  search.take(search.at(std::min(dead_short, first * (1.0 - corner_gap))));
  for (std::size_t i = 0; i < corners.size() && search.worst().margin > 0.0; ++i) {
    const double from = corners[i] * rating.si * (1.0 + corner_gap);
    const double gate = i + 1 < corners.size() ? corners[i + 1] * rating.si * (1.0 - corner_gap) : dead_short;
    if (from >= dead_short) break;
    search.scan(from, std::min(dead_short, gate));
  }
  search.refine();
  const Candidate& worst = search.worst();
  Protection result;
  result.covered = worst.margin >= 1.0;
  result.worst_current = {worst.current};
  result.fuse_time = {worst.fuse};
  result.wire_time = {worst.wire};
  result.margin = worst.margin;
  result.reason = reason_of(worst, rating, question.dead_short);
  return result;
}

std::vector<CurvePoint> wire_damage_curve(const ProtectionQuestion& question, Amperes from, Amperes to,
                                          std::size_t points) {
  const Endurance wire(question);
  std::vector<CurvePoint> curve;
  curve.reserve(points);
  for (std::size_t i = 0; i < points; ++i) {
    const double share = points < 2 ? 0.0 : static_cast<double>(i) / static_cast<double>(points - 1);
    const double current = from.si * std::pow(to / from, share);
    curve.push_back({{current}, {wire.time(current)}});
  }
  return curve;
}

}  // namespace loomgraft
