#include "prove/curve.h"

#include <fmt/format.h>

#include <algorithm>

namespace loomgraft {
namespace {

const char* could(Harm harm) {
  switch (harm) {
    case Harm::fire:
      return "could start a fire";
    case Harm::damage:
      return "could break a part";
    case Harm::false_signal:
      return "could give a false signal";
    case Harm::none:
      break;
  }
  return "would only stop something from working";
}

class Unproved {
 public:
  explicit Unproved(const ProveReport& report) : report_(report), shown_(report.faults.size()) {
    for (std::size_t k = 0; k < report.faults.size(); ++k) {
      const Fault& fault = report.faults[k];
      shown_[k] = !fault.matters;
      if (!fault.matters) continue;
      all_ += fault.prior;
      if (is_harmful(fault)) harmful_ += fault.prior;
    }
    left_ = all_;
    harmful_left_ = harmful_;
  }

  void show(const ProveTest& test) {
    for (const std::size_t fault : test.exposes) {
      if (shown_[fault]) continue;
      shown_[fault] = true;
      left_ -= report_.faults[fault].prior;
      if (is_harmful(report_.faults[fault])) harmful_left_ -= report_.faults[fault].prior;
    }
  }

  PlanMoment point(double minutes) const {
    PlanMoment made;
    made.minutes = minutes;
    made.unproved = share(left_, all_);
    made.harmful = share(harmful_left_, harmful_);
    made.fault = report_.faults.size();
    for (std::size_t k = 0; k < shown_.size(); ++k) {
      if (!shown_[k]) add(made, k);
    }
    return made;
  }

 private:
  // Sums of many small shares end a rounding away from zero.
  static double share(double part, double whole) {
    return whole > 0.0 ? std::clamp(part / whole, 0.0, 1.0) : 0.0;
  }

  void add(PlanMoment& made, std::size_t at) const {
    const Fault& fault = report_.faults[at];
    if (made.count == 0 || fault.harm > made.worst) {
      made.worst = fault.harm;
      made.count = 0;
      made.fault = at;
    }
    if (fault.harm != made.worst) return;
    ++made.count;
    if (fault.prior > report_.faults[made.fault].prior) made.fault = at;
  }

  const ProveReport& report_;
  std::vector<bool> shown_;
  double all_ = 0.0;
  double harmful_ = 0.0;
  double left_ = 0.0;
  double harmful_left_ = 0.0;
};

}  // namespace

std::vector<PlanMoment> curve_of(const ProveReport& report) {
  Unproved unproved(report);
  std::vector<PlanMoment> curve{unproved.point(0.0)};
  double minutes = 0.0;
  for (std::size_t step = 0; step < std::min(report.plan.size(), report.steps.size()); ++step) {
    minutes += report.steps[step].sum();
    unproved.show(report.tests[report.plan[step]]);
    curve.push_back(unproved.point(minutes));
  }
  return curve;
}

std::string worst_text(const ProveReport& report, const PlanMoment& point) {
  if (point.fault >= report.faults.size()) return "Nothing that was looked for is left.";
  const std::string& text = report.faults[point.fault].text;
  if (point.count == 1) return fmt::format("One fault left {}: {}.", could(point.worst), text);
  return fmt::format("{} faults left {}, such as: {}.", point.count, could(point.worst), text);
}

}  // namespace loomgraft
