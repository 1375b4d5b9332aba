// Dated copies of a graft: listed, made, fetched, put back. They work for a graft that cannot be read, too.
#include <fstream>
#include <iterator>

#include "http/clock.h"
#include "serve/answers.h"
#include "serve/handlers.h"
#include "store/copies.h"

namespace loomgraft::serve {
namespace {

nlohmann::ordered_json copy_json(const DatedCopy& copy) {
  return {{"name", copy.name}, {"time", copy.time}, {"sequence", copy.sequence}, {"bytes", copy.bytes}};
}

}  // namespace

Answer get_copies(Workbench& bench, const Call& call) {
  const auto path = bench.grafts().path_of(call.names.front());
  if (!path) return refuse(path.error());
  nlohmann::ordered_json list = nlohmann::ordered_json::array();
  for (const DatedCopy& copy : dated_copies(*path)) list.push_back(copy_json(copy));
  return json_answer({{"copies", std::move(list)}});
}

Answer post_copy(Workbench& bench, const Call& call) {
  const auto graft = graft_of(bench, call);
  if (!graft) return graft.error();
  const auto made = make_dated_copy((*graft)->reader.path(), time_now());
  if (!made) return refuse(made.error());
  return json_answer(copy_json(*made), 201);
}

Answer get_copy(Workbench& bench, const Call& call) {
  const auto path = bench.grafts().path_of(call.names.front());
  if (!path) return refuse(path.error());
  const auto copy = path_of_copy(*path, call.names[1]);
  if (!copy) return refuse(copy.error());
  std::ifstream in(*copy, std::ios::binary);
  Answer answer;
  answer.type = "application/vnd.sqlite3";
  answer.body.assign(std::istreambuf_iterator<char>(in), {});
  if (in.bad()) return refuse(500, "unreadable", "The copy cannot be read.", "Choose another one.");
  answer.fields.emplace("Content-Disposition", "attachment; filename*=UTF-8''" +
                                                   percent_encoded(call.names.front() + " " + call.names[1]));
  return answer;
}

Answer post_put_back(Workbench& bench, const Call& call) {
  const auto graft = bench.grafts().put_back(call.names.front(), call.names[1], time_now());
  if (!graft) return refuse(graft.error());
  const auto document = (*graft)->reader.document();
  if (!document) return refuse(document.error());
  bench.grafts().check_now();
  return json_answer({{"revision", (*document)->revision}});
}

}  // namespace loomgraft::serve
