#include "design/protection.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "design/heat_transient_internal.h"
#include "units/print.h"

namespace loomgraft {
namespace {

constexpr double infinite = std::numeric_limits<double>::infinity();
constexpr double most_margin = 1e6;
constexpr int points_in_segment = 6;
constexpr int refinements = 12;
// Beside a gate, so that rounding does not choose its side.
constexpr double corner_gap = 1e-9;

// What the wire stands at a time since the fault began, C: the short-circuit temperature for as long as it
// is defined, the temperature for life from a minute on, straight over the logarithm of time between them.
class Limit {
 public:
  explicit Limit(const WireLimits& limits)
      : life_(limits.life.degrees), brief_(std::max(limits.short_circuit, limits.life).degrees) {}

  double operator()(double time) const {
    static const double brief_until = heat_figure("short_circuit_s");
    static const double life_from = heat_figure("life_s");
    static const double span = std::log(life_from / brief_until);
    if (time <= brief_until) return brief_;
    if (time >= life_from) return life_;
    return brief_ + (life_ - brief_) * std::log(time / brief_until) / span;
  }

 private:
  double life_;
  double brief_;
};

// The wire's side of the question, with what does not depend on the current.
class Endurance {
 public:
  explicit Endurance(const ProtectionQuestion& question)
      : question_(question),
        limit_(question.limits),
        for_ever_(settled_current(question.wire, question.limits.life, question.around)) {}

  Amperes for_ever() const { return for_ever_; }
  double time(double current) const {
    const bool rests = current <= for_ever_.si && question_.start <= question_.limits.life;
    if (rests) return infinite;
    return time_to_meet(Transient(question_.wire, {current}, question_.start, question_.around), limit_,
                        infinite);
  }

 private:
  const ProtectionQuestion& question_;
  Limit limit_;
  Amperes for_ever_;
};

struct Candidate {
  double current = 0.0;
  double fuse = 0.0;
  double wire = 0.0;
  double margin = most_margin;
};

class Search {
 public:
  Search(const FuseFamily& family, Amperes rating, const Endurance& wire)
      : family_(family), rating_(rating), wire_(wire) {}

  Candidate at(double current) const {
    Candidate candidate{current, longest_opening(family_, rating_, {current}).si, wire_.time(current)};
    if (candidate.wire == infinite) return candidate;
    candidate.margin =
        candidate.fuse == infinite ? 0.0 : std::min(most_margin, candidate.wire / candidate.fuse);
    return candidate;
  }

  // Points between two currents where the fuse's curve has no corner; the worst of all and its neighbours.
  void scan(double from, double to) {
    const auto current_of = [&](int step) {
      return from * std::pow(to / from, static_cast<double>(step) / points_in_segment);
    };
    for (int i = 0; i <= points_in_segment; ++i) {
      const Candidate candidate = at(current_of(i));
      if (candidate.margin >= worst_.margin) continue;
      worst_ = candidate;
      low_ = current_of(std::max(0, i - 1));
      high_ = current_of(std::min(points_in_segment, i + 1));
    }
  }

  // Golden section between the neighbours of the worst point.
  void refine() {
    constexpr double golden = 0.381966011250105;
    if (!(high_ > low_)) return;
    Candidate left = at(low_ * std::pow(high_ / low_, golden));
    Candidate right = at(high_ * std::pow(low_ / high_, golden));
    for (int i = 0; i < refinements; ++i) {
      const bool leftwards = left.margin < right.margin;
      take(leftwards ? left : right);
      if (leftwards) {
        high_ = right.current;
        right = left;
        left = at(low_ * std::pow(high_ / low_, golden));
      } else {
        low_ = left.current;
        left = right;
        right = at(high_ * std::pow(low_ / high_, golden));
      }
    }
  }

  void take(const Candidate& candidate) {
    if (candidate.margin < worst_.margin) worst_ = candidate;
  }
  const Candidate& worst() const { return worst_; }

 private:
  const FuseFamily& family_;
  Amperes rating_;
  const Endurance& wire_;
  Candidate worst_{0.0, 0.0, 0.0, std::numeric_limits<double>::max()};
  double low_ = 0.0;
  double high_ = 0.0;
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
  if (worst.fuse == infinite) {
    const std::string who = worst.current >= dead_short.si ? "a dead short gives " : "an overload of ";
    return "Here " + who + current + ", which " + fuse +
           " need never interrupt, and the wire reaches its limit in " + print(Seconds{worst.wire}) + ".";
  }
  if (worst.wire == infinite) return "The wire carries every current that " + fuse + " lets pass for long.";
  return "At " + current + " " + fuse + " may take " + print(Seconds{worst.fuse}) +
         " and the wire reaches its limit in " + print(Seconds{worst.wire}) + ".";
}

}  // namespace

Protection protection_of(const FuseFamily& family, Amperes rating, const ProtectionQuestion& question) {
  const Endurance wire(question);
  Search search(family, rating, wire);
  const std::vector<double> corners = corners_of(family);
  const double dead_short = question.dead_short.si;
  // Just below its first gate a fuse may hold for ever: the wire has to as well.
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
