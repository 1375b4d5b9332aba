#include "store/schema_internal.h"

namespace loomgraft::store {

// `seq` is one sequence over all tables: who has seen number n asks for what is above n, and a number that is
// missing is an entry that was lost.
// revisions: `state` is the edit whose document this revision shows (its own number for an edit), `undo_to`
// the state that the edit was made on. From these two follows all that undo and redo need.
// attachments: one that was removed has no data left, while its row says what it was. Who removed it stands
// in ticks, under the id 'removed:' and its own: so it takes a number of the sequence like every other entry.
const char* const schema_sql = R"sql(
CREATE TABLE counter (
  one INTEGER PRIMARY KEY CHECK (one = 1),
  seq INTEGER NOT NULL
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
  patch TEXT NOT NULL
);
CREATE INDEX revisions_by_undo_to ON revisions (undo_to, number) WHERE kind = 'edit';
CREATE TABLE snapshots (
  number INTEGER PRIMARY KEY REFERENCES revisions (number),
  document TEXT NOT NULL
);
CREATE TABLE readings (
  seq INTEGER PRIMARY KEY,
  id TEXT UNIQUE,
  body TEXT NOT NULL
);
CREATE TABLE ticks (
  seq INTEGER PRIMARY KEY,
  id TEXT NOT NULL UNIQUE,
  subject TEXT NOT NULL,
  done INTEGER NOT NULL CHECK (done IN (0, 1)),
  author TEXT NOT NULL,
  time TEXT NOT NULL
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
  data BLOB NOT NULL
);
INSERT INTO counter VALUES (1, 0);
)sql";

}  // namespace loomgraft::store
