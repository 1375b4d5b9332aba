// A graft file: one SQLite database that holds a graft document with its history, and what was measured.
//
// Model   the document (loom/graft.h, without its readings) is kept as numbered revisions; readings, ticks
//         and attachments are appended beside it. Every write takes the next number of one sequence.
// Needs   times as RFC 3339 text from outside: nothing here reads a clock. Ids of readings, ticks and
//         attachments are made by who sends them, so that a resend is recognised.
// Gives   a call that returned a value is on the disk (WAL, synchronous=FULL); a call that returned Problems
//         wrote nothing. Several processes may hold one file open.
// Fails   Problems, the main one first: not-found, file-exists, not-a-graft-file, newer-file, damaged,
//         read-only, disk-full, not-written, busy, no-such-revision, changed-meanwhile, patch-does-not-apply,
//         document-not-usable, readings-not-edited, id-taken, removed, entry-not-usable, nothing-to-undo,
//         nothing-to-redo, file-replaced. Never throws for what a file or a caller holds.
// Cost    document(): nothing while the file is unchanged, else one patch for each new revision; commit(): a
//         few passes over the document and one sync of the disk
// Method  docs/store.md
#pragma once

#include <cstdint>
#include <memory>
#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <tl/expected.hpp>
#include <vector>

#include "base/problem.h"
#include "loom/graft.h"

namespace loomgraft {

template <class T>
using Stored = tl::expected<T, Problems>;

// Who changed the document, when and why.
struct Stamp {
  std::string author;
  std::string time;    // RFC 3339
  std::string reason;  // may be empty
};

// One state of the document. Its graft has no readings: those are appended far more often than it changes.
struct StoredDocument {
  std::int64_t revision = 0;
  Graft graft;
  std::shared_ptr<const nlohmann::json> json;  // what the pointers of a patch address
};
using StoredDocumentPtr = std::shared_ptr<const StoredDocument>;

struct Committed {
  std::int64_t revision = 0;  // the current one afterwards
  bool changed = true;        // false: the edit changes nothing, and nothing was written
  bool rebased = false;       // others had changed other parts meanwhile; both changes are in the document
};

enum class RevisionKind { edit, undo, redo };
constexpr const char* name_of(RevisionKind kind) {
  constexpr const char* names[] = {"edit", "undo", "redo"};
  return names[static_cast<int>(kind)];
}

struct Revision {
  std::int64_t number = 0;
  RevisionKind kind = RevisionKind::edit;
  std::string author;
  std::string time;
  std::string reason;
  std::vector<std::string> summary;  // "wire w12: area 0.5 -> 1 mm²"; at most 20 lines and how many more
  bool undone = false;               // an edit whose change is not in the current document
};

// The reason, if there is one, then each line of the summary.
std::vector<std::string> changes_of(const Revision& revision);
// The same in one line, joined by "; ".
std::string text_of(const Revision& revision);

// Who removed an attachment, and when.
struct Removal {
  std::string author;
  std::string time;  // RFC 3339
  bool operator==(const Removal&) const = default;
};

struct Attachment {
  std::string id;       // made by the sender
  std::string subject;  // id of the step, test or part that it belongs to
  std::string name;     // of the file, as the sender calls it; never used as a path
  std::string mime;     // image/jpeg, image/png or image/webp, and the bytes are such
  std::string author;
  std::string time;
  std::uint64_t bytes = 0;  // set by the store
  std::string sha256;       // 64 hexadecimal digits, set by the store
  // Then its bytes are gone; the other fields are still known.
  std::optional<Removal> removed = std::nullopt;
};

// A move ticked off, or its tick taken back. The latest entry of a subject counts.
struct Tick {
  std::string id;
  std::string subject;
  bool done = true;
  std::string author;
  std::string time;
  bool operator==(const Tick&) const = default;
};

// The outcome of an append.
struct Appended {
  std::int64_t sequence = 0;
  bool already_there = false;  // a resend: the first one is kept, nothing is stored twice
};

enum class ChangeKind { revision, reading, attachment, tick, removal };

struct Change {
  std::int64_t sequence = 0;
  ChangeKind kind = ChangeKind::revision;
  std::string id;  // number of the revision, or id of the entry; of a removal: of the attachment
};

enum class Access { read, write };

struct OpenOptions {
  Access access = Access::write;
  int busy_ms = 5000;               // how long to wait for another writer
  bool check = true;                // check the whole file for damage first, and read its document
  std::uint64_t largest_bytes = 0;  // the file may not grow beyond this: disk-full; 0 is no limit
  bool network_folder = false;      // treat the folder as a network share, where there is no log
};

inline constexpr std::uint64_t largest_attachment_bytes = 16U << 20U;
inline constexpr std::size_t longest_text_bytes = 4000;  // of one text of a stamp, reading, tick, attachment

// Safe to call from several threads, one at a time.
class GraftFile {
 public:
  // A new file with the document as revision 1 and its readings; an existing file is refused.
  static Stored<GraftFile> create(const std::string& path, const Graft& graft, const Stamp& stamp,
                                  const OpenOptions& options = {});
  static Stored<GraftFile> open(const std::string& path, const OpenOptions& options = {});
  GraftFile(GraftFile&&) noexcept;
  GraftFile& operator=(GraftFile&&) noexcept;
  ~GraftFile();

  // ---- the document
  Stored<StoredDocumentPtr> document();
  Stored<StoredDocumentPtr> document_at(std::int64_t revision);
  // The document and all readings, as stages and export want it.
  Stored<Graft> whole();

  // `patch` is RFC 6902 against the document of revision `expected`; its `test` operations apply to
  // that revision too. If others committed since, both changes are merged, list items matched by id and not by
  // index. If both changed one value the answer is changed-meanwhile: one Problem for each conflict, with its
  // pointer and what the others did; the caller can make the change again on document().
  Stored<Committed> commit(std::string_view patch, std::int64_t expected, const Stamp& stamp);
  // The same with the changed document itself; its readings are ignored.
  Stored<Committed> commit(const Graft& changed, std::int64_t expected, const Stamp& stamp);

  // Undo and redo are revisions themselves and belong to the file, not to an author. They are not merged:
  // `expected` must be the current revision. After a new edit, nothing can be redone.
  Stored<Committed> undo(std::int64_t expected, const Stamp& stamp);
  Stored<Committed> redo(std::int64_t expected, const Stamp& stamp);
  struct Steps {
    bool undo = false;
    bool redo = false;
  };
  Stored<Steps> possible_steps();

  // Newest first, at most `count`, from revision `from` downwards; from = 0 is the current one.
  Stored<std::vector<Revision>> history(std::int64_t from, std::size_t count);

  // ---- readings, ticks, attachments
  // One transaction, one sync: all are on disk or none. One answer for each, in order.
  // Same id and same content: already there. Same id, other content: that one is id-taken and not written,
  // the others are.
  Stored<std::vector<Stored<Appended>>> append(const std::vector<Reading>& readings);
  Stored<Appended> append(const Reading& reading);
  Stored<std::vector<Reading>> readings();
  // Those with a sequence above `sequence`, to follow a running job.
  Stored<std::vector<Reading>> readings_since(std::int64_t sequence);

  Stored<Appended> append(const Tick& tick);
  // The latest of every subject, by subject.
  Stored<std::vector<Tick>> ticks();
  // Every entry, in order.
  Stored<std::vector<Tick>> all_ticks();

  Stored<Appended> attach(const Attachment& about, std::string_view bytes);
  // In the order in which they came, removed ones among them.
  Stored<std::vector<Attachment>> attachments();
  // not-found; removed where it was taken out.
  Stored<std::string> attachment_bytes(const std::string& id);
  // The bytes are erased, who did it is recorded; no undo brings them back. A resend of the attachment, or of its
  // removal, is already there.
  Stored<Appended> remove_attachment(const std::string& id, const Removal& removal);

  // ---- watching
  // The number of the last write of any process. Cheap: asks SQLite whether the file changed at all.
  Stored<std::int64_t> last_sequence();
  // Writes after `sequence`, oldest first, at most `most`.
  Stored<std::vector<Change>> changes_since(std::int64_t sequence, std::size_t most = 1000);

  // ---- the file itself
  // What opening found and a person should know, though the file can be used: log-moved-aside, copy-incomplete,
  // hashes-started, log-ignored, network-folder.
  const Problems& remarks() const;
  // False once the file was replaced, cut or removed while this was open; then every write is file-replaced.
  // Looks now; replaced() only says whether that was found already, and waits for nobody.
  bool in_place();
  bool replaced() const;
  // Writes the log back and empties it, so that the file alone is all there is. False while somebody reads or writes.
  Stored<bool> settle();
  // A whole copy, in one file, checked entry by entry; at any time, also while others write. `to` may not be there.
  Stored<bool> copy_to(const std::string& to);
  // For put_back() of store/copies.h: after it this file is replaced.
  Stored<bool> give_way_to(const std::string& copy, const std::string& now);

  const std::string& path() const;
  Access access() const;

 private:
  struct Inner;
  explicit GraftFile(std::unique_ptr<Inner> inner);
  std::unique_ptr<Inner> inner_;
};

// True if the file begins like an SQLite database.
bool looks_like_graft_file(const std::string& path);

}  // namespace loomgraft
