#include "store/schema_internal.h"

namespace loomgraft::store {

// `seq` is one sequence over all tables: who has seen number n asks for what is above n, and a number that is
// missing is an entry that was lost.
// revisions: `state` is the edit whose document this revision shows (its own number for an edit), `undo_to`
// the state that the edit was made on. From these two follows all that undo and redo need.
// attachments: one that was removed has no data left, while its row says what it was. Who removed it stands
// in ticks, under the id 'removed:' and its own: so it takes a number of the sequence like every other entry.
// hash, head, base: see entry_chain_internal.h. mark, lost: see file_log_internal.h.
// New columns come last and new tables not at all: the tables of every version stand on the same pages, and the counter's
// is page 2.
const char* const schema_sql = R"sql(
CREATE TABLE counter (
  one INTEGER PRIMARY KEY CHECK (one = 1),
  seq INTEGER NOT NULL,
  head BLOB,
  base_seq INTEGER,
  base BLOB,
  mark BLOB,
  lost INTEGER
);
CREATE TABLE revisions (
  seq INTEGER PRIMARY KEY,
  number INTEGER NOT NULL UNIQUE CHECK (number > 0),
  parent INTEGER REFERENCES revisions (number),
  kind TEXT NOT NULL CHECK (kind IN ('edit', 'undo', 'redo')),
  state INTEGER NOT NULL,
  undo_to INTEGER NOT NULL,
  author TEXT NOT NULL,
  time TEXT NOT NULL,
  reason TEXT NOT NULL,
  patch TEXT NOT NULL,
  hash BLOB
);
CREATE INDEX revisions_by_undo_to ON revisions (undo_to, number) WHERE kind = 'edit';
CREATE TABLE snapshots (
  number INTEGER PRIMARY KEY REFERENCES revisions (number),
  document TEXT NOT NULL
);
CREATE TABLE readings (
  seq INTEGER PRIMARY KEY,
  id TEXT UNIQUE,
  body TEXT NOT NULL,
  hash BLOB
);
CREATE TABLE ticks (
  seq INTEGER PRIMARY KEY,
  id TEXT NOT NULL UNIQUE,
  subject TEXT NOT NULL,
  done INTEGER NOT NULL CHECK (done IN (0, 1)),
  author TEXT NOT NULL,
  time TEXT NOT NULL,
  hash BLOB
);
CREATE INDEX ticks_by_subject ON ticks (subject, seq);
CREATE TABLE attachments (
  seq INTEGER PRIMARY KEY,
  id TEXT NOT NULL UNIQUE,
  subject TEXT NOT NULL,
  name TEXT NOT NULL,
  mime TEXT NOT NULL,
  author TEXT NOT NULL,
  time TEXT NOT NULL,
  bytes INTEGER NOT NULL,
  sha256 TEXT NOT NULL,
  data BLOB NOT NULL,
  hash BLOB
);
INSERT INTO counter VALUES (1, 0, NULL, 0, NULL, NULL, 0);
)sql";

const char* const add_hashes_sql = R"sql(
ALTER TABLE counter ADD COLUMN head BLOB;
ALTER TABLE counter ADD COLUMN base_seq INTEGER;
ALTER TABLE counter ADD COLUMN base BLOB;
ALTER TABLE counter ADD COLUMN mark BLOB;
ALTER TABLE counter ADD COLUMN lost INTEGER;
ALTER TABLE revisions ADD COLUMN hash BLOB;
ALTER TABLE readings ADD COLUMN hash BLOB;
ALTER TABLE ticks ADD COLUMN hash BLOB;
ALTER TABLE attachments ADD COLUMN hash BLOB;
UPDATE counter SET base_seq = 0, lost = 0;
)sql";

}  // namespace loomgraft::store
