// Random edits of a document: patches, merging, undo and redo, restarts and export against plain models of
// what they should do.
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <deque>
#include <nlohmann/json.hpp>

#include "loom/graft_json.h"
#include "store/document_merge.h"
#include "store/document_patch.h"
#include "store/summary.h"
#include "tests/loom/sample_graft.h"
#include "tests/store/scratch_folder.h"

namespace loomgraft::store_graft_property_test {
namespace {

using namespace loomgraft::store;

using Json = nlohmann::json;

std::string wire_id(int number) {
  return "w" + std::to_string(number);
}

// One random change to a graft: of a member, or a wire put in, taken out or moved in the list.
void change(Graft& graft) {
  const auto pick = [&](std::size_t size) {
    return size == 0 ? std::size_t{0} : *rc::gen::inRange<std::size_t>(0, size);
  };
  auto& wires = graft.wires;
  const std::size_t at = pick(wires.size());
  const auto offset = static_cast<std::ptrdiff_t>(at);
  switch (*rc::gen::inRange(0, 9)) {
    case 0:
      graft.title = *rc::gen::element<std::string>("", "a", "b/~c", "d \"e\"", "f\xc3\xbc");
      break;
    case 1:
      if (!wires.empty()) wires[at].area = square_millimetres(0.05 * *rc::gen::inRange(1, 50));
      break;
    case 2:
      if (!wires.empty()) wires[at].length.reset();
      break;
    case 3:
      if (!wires.empty()) wires.erase(wires.begin() + offset);
      break;
    case 4: {
      Wire wire;
      wire.id = wire_id(*rc::gen::inRange(0, 12));
      wire.length = millimetres(*rc::gen::inRange(1, 5000));
      wires.insert(wires.begin() + offset, wire);
      break;
    }
    case 5:
      if (wires.size() > 1) std::swap(wires[at], wires[(at + 1) % wires.size()]);
      break;
    case 6:
      if (!wires.empty())
        wires[at].along =
            *rc::gen::container<std::vector<std::string>>(rc::gen::element<std::string>("sill", "roof"));
      break;
    case 7:
      graft.plan.push_back({PlanAction::retire, wire_id(*rc::gen::inRange(0, 12)), {}, {}, std::nullopt, ""});
      break;
    default:
      if (!graft.modules.empty() && !graft.modules[0].pins.empty()) {
        graft.modules[0].pins[0].signal = *rc::gen::element<std::string>("x", "y", "");
      }
  }
}

Graft changed(Graft graft, int times) {
  for (int i = 0; i < times; ++i) change(graft);
  return graft;
}

Json document_of(Graft graft) {
  graft.readings.clear();
  return Json(to_json(graft));
}

RC_GTEST_PROP(DocumentPatch, LeadsFromOneDocumentToTheOther, ()) {
  const Json from = document_of(changed(measured_sample_graft(), *rc::gen::inRange(0, 8)));
  const Json to = document_of(changed(measured_sample_graft(), *rc::gen::inRange(0, 8)));
  const Json patch = patch_between(from, to);
  RC_ASSERT(*apply_patch(from, patch) == to);
  Json carried = from;
  std::vector<std::string> words;
  RC_ASSERT(advance(carried, patch, &words));
  RC_ASSERT(carried == to);
  RC_ASSERT(words.empty() == patch.empty());
}

RC_GTEST_PROP(DocumentMerge, OneSidedChangesStand, ()) {
  const Json base = document_of(measured_sample_graft());
  const Json other = document_of(changed(measured_sample_graft(), *rc::gen::inRange(0, 8)));
  for (const Merged& merged : {merge_documents(base, other, base), merge_documents(base, base, other),
                               merge_documents(base, other, other)}) {
    RC_ASSERT(merged.conflicts.empty());
    RC_ASSERT(merged.document == other);
  }
}

// Whoever comes first, the same places collide; where none does, both get the same items.
RC_GTEST_PROP(DocumentMerge, IsFairToBoth, ()) {
  const Json base = document_of(measured_sample_graft());
  const Json one = document_of(changed(measured_sample_graft(), *rc::gen::inRange(0, 4)));
  const Json two = document_of(changed(measured_sample_graft(), *rc::gen::inRange(0, 4)));
  const Merged forth = merge_documents(base, one, two);
  const Merged back = merge_documents(base, two, one);
  RC_ASSERT(forth.conflicts.size() == back.conflicts.size());
  if (!forth.conflicts.empty()) return;
  const auto sorted = [](Json document) {
    for (const char* list : {"wires", "plan"}) {
      if (document.contains(list)) std::sort(document[list].begin(), document[list].end());
    }
    return document;
  };
  RC_ASSERT(sorted(forth.document) == sorted(back.document));
}

// What a file should do, without a file: the states that can be undone and redone, as any editor has them.
struct Model {
  std::vector<Json> behind;
  Json now;
  std::vector<Json> ahead;

  bool edit(const Json& next) {
    if (next == now) return false;
    behind.push_back(now);
    now = next;
    ahead.clear();
    return true;
  }
  static bool step(std::vector<Json>& from, Json& now, std::vector<Json>& to) {
    if (from.empty()) return false;
    to.push_back(now);
    now = from.back();
    from.pop_back();
    return true;
  }
};

RC_GTEST_PROP(GraftFileProperty, KeepsEveryStateThroughEditsUndoAndRestarts, ()) {
  const ScratchFolder folder;
  const std::string path = folder / "job.graft";
  Graft graft = measured_sample_graft();
  auto file = std::make_unique<GraftFile>(held(GraftFile::create(path, graft, stamp_of("Ann"))));
  Model model{{}, document_of(graft), {}};
  std::vector<Json> states = {model.now};
  const int steps = *rc::gen::inRange(8, 30);
  for (int i = 0; i < steps; ++i) {
    const auto current = static_cast<std::int64_t>(states.size());
    // Steps back come often, and edits behind them: there the states branch.
    const int what = *rc::gen::element(0, 0, 0, 1, 1, 2, 3, 3, 4);
    bool moved = false;
    if (what == 0) {
      moved = Model::step(model.behind, model.now, model.ahead);
      RC_ASSERT(code_of(file->undo(current, stamp_of("Ben"))) == (moved ? "fine" : "nothing-to-undo"));
    } else if (what == 1) {
      moved = Model::step(model.ahead, model.now, model.behind);
      RC_ASSERT(code_of(file->redo(current, stamp_of("Ben"))) == (moved ? "fine" : "nothing-to-redo"));
    } else if (what == 2) {
      file.reset();
      file = std::make_unique<GraftFile>(held(GraftFile::open(path)));
    } else {
      const Graft next = changed(held(file->document())->graft, 2);
      moved = model.edit(document_of(next));
      if (what == 3) {
        RC_ASSERT(held(file->commit(next, current, stamp_of("Ann"))).changed == moved);
      } else {
        const Json before = *held(file->document())->json;
        const std::string patch = Json::diff(before, document_of(next)).dump();
        RC_ASSERT(held(file->commit(patch, current, stamp_of("Ann"))).changed == moved);
      }
    }
    if (moved) states.push_back(model.now);
    RC_ASSERT(*held(file->document())->json == model.now);
  }
  for (std::size_t i = 0; i < states.size(); ++i) {
    RC_ASSERT(*held(file->document_at(static_cast<std::int64_t>(i) + 1))->json == states[i]);
  }
  RC_ASSERT(held(file->history(0, 100)).size() == states.size());
  // Out as JSON and in again: the same document and readings.
  const std::string text = write_graft(held(file->whole()));
  const Graft read = *graft_from_json(text, "").graft;
  GraftFile second = held(GraftFile::create(folder / "second.graft", read, stamp_of("Ann")));
  RC_ASSERT(write_graft(held(second.whole())) == text);
}

}  // namespace
}  // namespace loomgraft::store_graft_property_test
