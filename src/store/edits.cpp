// Commit, undo and redo. A commit is applied to the revision that its author saw and then merged with the current
// document; undo and redo write an earlier document as a new revision.
#include <functional>
#include <map>
#include <nlohmann/json.hpp>

#include "loom/validate.h"
#include "store/document_merge.h"
#include "store/document_patch.h"
#include "store/graft_file_internal.h"
#include "store/summary.h"

namespace loomgraft {

using namespace store;

namespace {

// "Ann (revision 6), Ben (revision 7, 8)"
std::string others_since(SQLite::Database& database, std::int64_t expected) {
  SQLite::Statement select(database, "SELECT number, author FROM revisions WHERE number > ? ORDER BY number");
  select.bind(1, expected);
  std::vector<std::string> order;
  std::map<std::string, std::string> numbers;
  while (select.executeStep()) {
    const std::string author = select.getColumn(1).getString();
    std::string& list = numbers[author];
    if (list.empty()) order.push_back(author);
    list += (list.empty() ? "" : ", ") + select.getColumn(0).getString();
  }
  std::string text;
  for (const std::string& author : order) {
    text += (text.empty() ? "" : ", ") + (author.empty() ? std::string("somebody") : author) + " (revision " +
            numbers[author] + ")";
  }
  return text;
}

Problem changed_meanwhile(const std::string& path, const std::string& pointer, const std::string& what,
                          const std::string& who) {
  Problem problem = store_problem(path, "changed-meanwhile", what + ". Since then: " + who + ".",
                                  "Look at the current value, and make the change again if it is still "
                                  "wanted.");
  problem.location.pointer = pointer;
  return problem;
}

Problems conflict_problems(const std::string& path, const Merged& merged, const nlohmann::json& base,
                           const nlohmann::json& theirs, const std::string& who) {
  Problems problems;
  for (const Conflict& conflict : merged.conflicts) {
    const nlohmann::json& shown_in = conflict.removed ? base : theirs;
    const std::string what =
        pointer_text(shown_in, conflict.pointer) + " " +
        (conflict.removed ? "removed" : change_text(conflict.pointer, conflict.base, conflict.theirs));
    const std::string list = conflict.pointer.substr(0, conflict.pointer.rfind('/'));
    problems.push_back(changed_meanwhile(path, conflict.removed ? list : conflict.pointer, what, who));
  }
  return problems;
}

// Both changes may be right alone and wrong together: one removed the device that the other ran a wire to.
Problems new_errors(const Graft& mine, const Graft& theirs, const Graft& merged) {
  std::map<std::pair<std::string_view, std::string>, int> known;
  for (const Graft* graft : {&mine, &theirs}) {
    for (const Problem& problem : validate(*graft)) known[{problem.code, problem.message}] = 1;
  }
  Problems fresh;
  for (Problem& problem : validate(merged)) {
    if (problem.severity != Severity::error || known.contains({problem.code, problem.message})) continue;
    fresh.push_back(std::move(problem));
  }
  return fresh;
}

struct Rebase {
  SQLite::Database& database;
  const std::string& path;
  std::int64_t expected;
  const StoredDocument& current;
};

// Puts `mine`, made on `base`, onto the current document.
Stored<Candidate> rebase(const Rebase& on, const nlohmann::json& base, const Candidate& mine) {
  const Merged merged = merge_documents(base, mine.json, *on.current.json);
  if (!merged.conflicts.empty()) {
    return tl::unexpected(
        conflict_problems(on.path, merged, base, *on.current.json, others_since(on.database, on.expected)));
  }
  auto candidate = usable_document(merged.document, on.path);
  if (!candidate) return candidate;
  Problems fresh = new_errors(mine.graft, on.current.graft, candidate->graft);
  if (fresh.empty()) return candidate;
  const std::string who = others_since(on.database, on.expected);
  for (Problem& problem : fresh) {
    problem = changed_meanwhile(on.path, problem.location.pointer,
                                "Together with the changes of others this is wrong: " + problem.message, who);
  }
  return tl::unexpected(std::move(fresh));
}

Problem nothing_to(const std::string& path, RevisionKind kind) {
  if (kind == RevisionKind::undo) {
    return store_problem(path, "nothing-to-undo", "There is no change to undo.", "Nothing needs doing.");
  }
  return store_problem(path, "nothing-to-redo", "There is no undone change to make again.",
                       "Nothing needs doing; after a new change, nothing can be redone.");
}

}  // namespace

Stored<Committed> GraftFile::Inner::write(RevisionRow row, const StoredDocument& current, Candidate after) {
  const nlohmann::json patch = patch_between(*current.json, after.json);
  row.number = current.revision + 1;
  row.parent = current.revision;
  if (row.kind == RevisionKind::edit) row.state = row.number;
  write_revision(*database, row, patch, after.json);
  cached = std::make_shared<const StoredDocument>(StoredDocument{
      row.number, std::move(after.graft), std::make_shared<const nlohmann::json>(std::move(after.json))});
  return Committed{row.number, true, false};
}

Stored<Committed> GraftFile::Inner::commit(const Edit& edit, std::int64_t expected, const Stamp& stamp) {
  auto current = document();
  if (!current) return tl::unexpected(std::move(current.error()));
  const StoredDocument& now = **current;
  if (expected < 1 || expected > now.revision) return refuse(no_such_revision(path, expected));
  const bool stale = expected < now.revision;
  Stored<nlohmann::json> older = stale ? json_at(*database, path, expected) : nlohmann::json();
  if (!older) return tl::unexpected(std::move(older.error()));
  const nlohmann::json& base = stale ? *older : *now.json;
  auto changed = edit(base);
  if (!changed) return tl::unexpected(std::move(changed.error()));
  auto after = usable_document(*changed, path);
  if (!after) return tl::unexpected(std::move(after.error()));
  if (auto fine = check_values(after->graft, &now.graft, path); !fine)
    return tl::unexpected(std::move(fine.error()));
  if (stale) after = rebase({*database, path, expected, now}, base, *after);
  if (!after) return tl::unexpected(std::move(after.error()));
  if (after->json == *now.json) return Committed{now.revision, false, false};
  const auto row = find_revision(*database, now.revision);
  RevisionRow next;
  next.undo_to = row ? row->state : 0;
  next.stamp = stamp;
  auto written = write(std::move(next), now, std::move(*after));
  if (written) written->rebased = stale;
  return written;
}

Stored<Committed> GraftFile::commit(std::string_view patch, std::int64_t expected, const Stamp& stamp) {
  if (auto fine = check_stamp(stamp, path()); !fine) return tl::unexpected(std::move(fine.error()));
  auto operations = read_patch(patch);
  if (!operations) return refuse(in_file(std::move(operations.error()), path()));
  const Inner::Edit edit = [&](const nlohmann::json& base) -> Stored<nlohmann::json> {
    auto changed = apply_patch(base, *operations);
    if (!changed) return refuse(in_file(std::move(changed.error()), path()));
    return std::move(*changed);
  };
  return inner_->with_write_lock([&] { return inner_->commit(edit, expected, stamp); });
}

Stored<Committed> GraftFile::commit(const Graft& changed, std::int64_t expected, const Stamp& stamp) {
  if (auto fine = check_stamp(stamp, path()); !fine) return tl::unexpected(std::move(fine.error()));
  const nlohmann::json json = json_without_readings(changed);
  const Inner::Edit edit = [&](const nlohmann::json&) -> Stored<nlohmann::json> { return json; };
  return inner_->with_write_lock([&] { return inner_->commit(edit, expected, stamp); });
}

Stored<Committed> GraftFile::Inner::restore(RevisionKind kind, std::int64_t expected, const Stamp& stamp) {
  auto current = document();
  if (!current) return tl::unexpected(std::move(current.error()));
  const StoredDocument& now = **current;
  if (expected < 1 || expected > now.revision) return refuse(no_such_revision(path, expected));
  if (expected != now.revision) {
    return refuse(changed_meanwhile(path, "",
                                    "The document is no longer at revision " + std::to_string(expected) +
                                        ", so nothing was undone or redone",
                                    others_since(*database, expected)));
  }
  const auto row = find_revision(*database, now.revision);
  if (!row) return refuse(damaged(path, "the current revision is not there"));
  std::int64_t target = 0;
  if (kind == RevisionKind::redo) {
    target = redo_target(*database, row->state);
  } else if (const auto edit = find_revision(*database, row->state)) {
    target = edit->undo_to;
  }
  if (target == 0) return refuse(nothing_to(path, kind));
  auto json = json_at(*database, path, target);
  if (!json) return tl::unexpected(std::move(json.error()));
  auto after = usable_document(*json, path);
  if (!after) return tl::unexpected(std::move(after.error()));
  RevisionRow next;
  next.kind = kind;
  next.state = target;
  next.stamp = stamp;
  return write(std::move(next), now, std::move(*after));
}

Stored<Committed> GraftFile::undo(std::int64_t expected, const Stamp& stamp) {
  if (auto fine = check_stamp(stamp, path()); !fine) return tl::unexpected(std::move(fine.error()));
  return inner_->with_write_lock([&] { return inner_->restore(RevisionKind::undo, expected, stamp); });
}

Stored<Committed> GraftFile::redo(std::int64_t expected, const Stamp& stamp) {
  if (auto fine = check_stamp(stamp, path()); !fine) return tl::unexpected(std::move(fine.error()));
  return inner_->with_write_lock([&] { return inner_->restore(RevisionKind::redo, expected, stamp); });
}

Stored<GraftFile::Steps> GraftFile::possible_steps() {
  return inner_->with_lock([&]() -> Stored<Steps> {
    SQLite::Database& database = *inner_->database;
    const auto tip = find_revision(database, current_number(database));
    if (!tip) return Steps{};
    const auto edit = find_revision(database, tip->state);
    return Steps{edit && edit->undo_to > 0, redo_target(database, tip->state) > 0};
  });
}

}  // namespace loomgraft
