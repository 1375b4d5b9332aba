// The history of a document, undo and redo.
#include <algorithm>

#include "serve/answers.h"
#include "serve/handlers.h"

namespace loomgraft::serve {
namespace {

constexpr std::int64_t max_revisions = 500;  // in one answer

// 0 if it is not a number.
std::int64_t number_of(const std::string& text) {
  if (text.empty() || text.size() > 15 || text.find_first_not_of("0123456789") != std::string::npos) return 0;
  return std::stoll(text);
}

using Step = Stored<Committed> (GraftFile::*)(std::int64_t, const Stamp&);

Answer take_step(Workbench& bench, const Call& call, Step step) {
  const auto graft = graft_of(bench, call);
  if (!graft) return graft.error();
  const auto expected = expected_revision(call);
  if (!expected) return expected.error();
  GraftFile& file = (*graft)->writer;
  const auto committed = (file.*step)(*expected, stamp_of(call));
  if (!committed) return refuse(committed.error());
  bench.grafts().check_now();
  const auto after = file.history(committed->revision, 1);
  const Revision written = after && !after->empty() ? after->front() : Revision{};
  return json_answer(
      {{"revision", committed->revision}, {"text", text_of(written)}, {"changes", changes_of(written)}});
}

}  // namespace

Answer post_undo(Workbench& bench, const Call& call) {
  return take_step(bench, call, &GraftFile::undo);
}

Answer post_redo(Workbench& bench, const Call& call) {
  return take_step(bench, call, &GraftFile::redo);
}

Answer get_history(Workbench& bench, const Call& call) {
  const auto graft = graft_of(bench, call);
  if (!graft) return graft.error();
  const std::int64_t asked = number_of(query_value(call, "count"));
  const std::int64_t count = asked == 0 ? 50 : std::min(asked, max_revisions);
  const auto history =
      (*graft)->reader.history(number_of(query_value(call, "from")), static_cast<std::size_t>(count));
  if (!history) return refuse(history.error());
  nlohmann::ordered_json list = nlohmann::ordered_json::array();
  for (const Revision& revision : *history) {
    list.push_back({{"revision", revision.number},
                    {"kind", name_of(revision.kind)},
                    {"author", revision.author},
                    {"time", revision.time},
                    {"text", text_of(revision)},
                    {"changes", changes_of(revision)},
                    {"undone", revision.undone}});
  }
  return json_answer({{"revisions", std::move(list)}});
}

}  // namespace loomgraft::serve
