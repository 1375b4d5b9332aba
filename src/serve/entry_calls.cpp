// Ticks and readings: appended, and acknowledged once they are on the disk.
#include <algorithm>
#include <cmath>

#include "http/clock.h"
#include "serve/answers.h"
#include "serve/handlers.h"
#include "serve/secret.h"

namespace loomgraft::serve {
namespace {

nlohmann::ordered_json reading_json(const Reading& reading) {
  nlohmann::ordered_json json{{"id", reading.id},     {"test", reading.test},     {"value", reading.value},
                              {"unit", reading.unit}, {"author", reading.author}, {"time", reading.time}};
  if (reading.practice) json["practice"] = true;
  if (reading.in_band_only) json["in_band_only"] = true;
  return json;
}

bool is_true(const nlohmann::json& body, const char* name) {
  const auto found = body.find(name);
  return found != body.end() && found->is_boolean() && found->get<bool>();
}

// A reading that is sent again has the time of its first arrival in the file. It is the same if test, value and
// unit are; earlier versions of the page send no marks.
std::optional<std::int64_t> sequence_of_resend(GraftFile& file, const Reading& reading) {
  const auto readings = file.readings();
  if (!readings) return std::nullopt;
  const bool same = std::any_of(readings->begin(), readings->end(), [&](const Reading& kept) {
    return kept.id == reading.id && kept.test == reading.test && kept.value == reading.value &&
           kept.unit == reading.unit;
  });
  if (!same) return std::nullopt;
  std::int64_t after = 0;
  for (;;) {
    const auto changes = file.changes_since(after);
    if (!changes || changes->empty()) return 0;
    for (const Change& change : *changes) {
      if (change.kind == ChangeKind::reading && change.id == reading.id) return change.sequence;
    }
    after = changes->back().sequence;
  }
}

}  // namespace

Answer get_ticks(Workbench& bench, const Call& call) {
  const auto graft = graft_of(bench, call);
  if (!graft) return graft.error();
  const auto ticks = (*graft)->reader.ticks();
  if (!ticks) return refuse(ticks.error());
  nlohmann::ordered_json list = nlohmann::ordered_json::array();
  for (const Tick& tick : *ticks)
    list.push_back(
        {{"subject", tick.subject}, {"done", tick.done}, {"author", tick.author}, {"time", tick.time}});
  return json_answer({{"ticks", std::move(list)}});
}

Answer put_tick(Workbench& bench, const Call& call) {
  const auto graft = graft_of(bench, call);
  if (!graft) return graft.error();
  const auto body = body_of(call);
  if (!body) return body.error();
  const auto done = body->find("done");
  if (done == body->end() || !done->is_boolean())
    return refuse(400, "no-tick", "The body does not say whether it is done.", "Send {\"done\": true}.");
  const auto appended = (*graft)->writer.append(
      Tick{hex_secret(64), call.names[1], done->get<bool>(), call.author, time_now()});
  if (!appended) return refuse(appended.error());
  bench.grafts().check_now();
  // What is unplugged or switched changes: until the next step is opened the meter is no ohmmeter.
  if (call.names[1].starts_with(condition_tick)) bench.meter().rest({});
  return json_answer({{"sequence", appended->sequence}});
}

Answer get_readings(Workbench& bench, const Call& call) {
  const auto graft = graft_of(bench, call);
  if (!graft) return graft.error();
  const auto readings = (*graft)->reader.readings();
  if (!readings) return refuse(readings.error());
  nlohmann::ordered_json list = nlohmann::ordered_json::array();
  for (const Reading& reading : *readings) list.push_back(reading_json(reading));
  return json_answer({{"readings", std::move(list)}});
}

Answer post_reading(Workbench& bench, const Call& call) {
  const auto graft = graft_of(bench, call);
  if (!graft) return graft.error();
  const auto body = body_of(call);
  if (!body) return body.error();
  const auto value = body->find("value");
  Reading reading;
  reading.id = text_member(*body, "id");
  reading.test = text_member(*body, "test");
  reading.unit = text_member(*body, "unit");
  if (value == body->end() || !value->is_number() || reading.id.empty())
    return refuse(400, "no-reading", "A reading needs an id and a value that is a number.",
                  "Send {\"id\", \"test\", \"value\", \"unit\"}, the id result by the device.");
  reading.value = value->get<double>();
  reading.practice = is_true(*body, "practice");
  reading.in_band_only = is_true(*body, "in_band_only");
  set_marks_from_id(reading);
  // Pages of earlier versions send what their practice meter showed: nothing was measured, so nothing is kept.
  if (reading.practice) return json_answer({{"sequence", 0}});
  reading.author = call.author;
  reading.time = time_now();
  auto appended = (*graft)->readings.add(reading).get();
  if (!appended && !appended.error().empty() && appended.error().front().code == "id-taken") {
    if (const auto sequence = sequence_of_resend((*graft)->reader, reading))
      return json_answer({{"sequence", *sequence}});
  }
  if (!appended) return refuse(appended.error());
  bench.grafts().check_now();
  return json_answer({{"sequence", appended->sequence}}, appended->already_there ? 200 : 201);
}

}  // namespace loomgraft::serve
