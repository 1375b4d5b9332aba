// The attached meter: its state, what it is set for, and the resistance of its leads.
#include <algorithm>
#include <cmath>

#include "base/stop.h"
#include "serve/answers.h"
#include "serve/handlers.h"
#include "serve/meter_desk.h"

namespace loomgraft::serve {
namespace {

// A reading or a tick says when which condition was in hand.
struct Seen {
  std::string time;
  std::string condition;
};

std::string condition_of_test(const ProveReport& report, const std::string& test) {
  const auto found = std::ranges::find(report.tests, test, &ProveTest::id);
  if (found != report.tests.end()) return report.conditions[found->condition].id;
  return test.substr(0, test.find(':'));
}

// What was last made or measured in. The times are all the workbench's and of one form.
Stored<std::string> condition_in_hand(GraftFile& file, const ProveReport& report) {
  const auto ticks = file.ticks();
  if (!ticks) return tl::unexpected(ticks.error());
  const auto readings = file.readings();
  if (!readings) return tl::unexpected(readings.error());
  Seen last;
  for (const Tick& tick : *ticks) {
    if (tick.done && tick.subject.starts_with(condition_tick) && tick.time >= last.time)
      last = {tick.time, tick.subject.substr(condition_tick.size())};
  }
  for (const Reading& reading : *readings) {
    if (!reading.practice && reading.time > last.time)
      last = {reading.time, condition_of_test(report, reading.test)};
  }
  return last.condition;
}

// A condition that the plan does not have any more counts as live unless its name says that it is not.
bool is_live(const ProveReport& report, const std::string& condition) {
  if (condition.empty()) return false;
  const auto found = std::ranges::find(report.conditions, condition, &ProveCondition::id);
  return found != report.conditions.end() ? found->live : !condition.starts_with("dead-");
}

MeterOrder order_for(const ProveTest& test, double over_range) {
  MeterOrder order;
  order.function = test.unit == "ohm" ? MeterFunction::ohms
                   : test.unit == "A" ? MeterFunction::amperes
                                      : MeterFunction::volts;
  if (order.function == MeterFunction::ohms) order.over_range = over_range;
  const double most = std::max(std::abs(test.band.low), std::abs(test.band.high));
  if (std::isfinite(most) && most > 0.0 && most < order.over_range) order.up_to = most;
  return order;
}

std::optional<Answer> refuse_without_meter(Workbench& bench) {
  if (bench.meter().attached()) return std::nullopt;
  return refuse(409, "no-meter", "No meter is attached to the workbench computer.",
                "Start the program with one: loomgraft serve FOLDER --meter tcp:HOST:PORT.");
}

Answer refuse_live() {
  return refuse(
      409, "live-circuit",
      "The last step was with power on: the meter is not set to ohms on a circuit that may be live.",
      "Disconnect the battery as the step's condition says, and tick that condition again.");
}

}  // namespace

Answer get_meter(Workbench& bench, const Call&) {
  return json_answer(bench.meter().state());
}

Answer post_meter(Workbench& bench, const Call& call) {
  const auto body = body_of(call);
  if (!body) return body.error();
  if (auto refused = refuse_without_meter(bench)) return *refused;
  const MeterStep step{text_member(*body, "graft"), text_member(*body, "test"), text_member(*body, "page")};
  if (step.page.empty() || step.page.size() > 64)
    return refuse(400, "no-id", "The body does not say which page asks.", "Send \"page\".");
  if (step.test.empty()) {
    bench.meter().rest(step.page);
    return json_answer(bench.meter().state());
  }
  const auto graft = bench.grafts().open(step.graft);
  if (!graft) return refuse(graft.error());
  const auto document = (*graft)->reader.document();
  if (!document) return refuse(document.error());
  const auto proof = bench.proofs().get(proof_key({*graft, *document}), (*document)->graft, {});
  if (!proof) return refuse(Problems{was_stopped()});
  const ProveReport& report = proof->report;
  const auto test = std::ranges::find(report.tests, step.test, &ProveTest::id);
  if (test == report.tests.end())
    return refuse(404, "no-such-test", "The plan has no such measurement.", "Open the plan again.");
  const MeterOrder order = order_for(*test, report.over_range);
  if (order.function == MeterFunction::ohms) {
    const auto in_hand = condition_in_hand((*graft)->reader, report);
    if (!in_hand) return refuse(in_hand.error());
    if (report.conditions[test->condition].live || is_live(report, *in_hand)) {
      bench.meter().rest({});
      return refuse_live();
    }
  }
  bench.meter().measure(step, order);
  return json_answer(bench.meter().state());
}

Answer post_meter_zero(Workbench& bench, const Call&) {
  if (auto refused = refuse_without_meter(bench)) return *refused;
  if (!bench.meter().zero_leads())
    return refuse(
        409, "meter-not-ready", "The meter shows no steady resistance as small as that of leads.",
        "Open a step in ohms, touch the leads together, wait until the value stands still, and try again.");
  return json_answer(bench.meter().state());
}

}  // namespace loomgraft::serve
