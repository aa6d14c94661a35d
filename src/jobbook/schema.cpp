#include "jobbook/schema.h"

#include <fmt/format.h>

#include <array>

#include "base/error.h"

namespace verdigrid {

namespace {

// Entry i takes version i to i + 1. Entries are never edited once a version was released; a kept
// sample of each lies in tests/jobbook.
const std::array<const char*, k_schema_version> k_steps{R"sql(
CREATE TABLE record (
  id      TEXT PRIMARY KEY,
  kind    TEXT NOT NULL,
  parent  TEXT REFERENCES record(id),
  unit    TEXT REFERENCES record(id),
  made_at TEXT NOT NULL,
  body    TEXT NOT NULL CHECK (json_valid(body))
) WITHOUT ROWID;
CREATE INDEX record_by_kind ON record(kind, made_at, id);
CREATE INDEX record_by_parent ON record(parent, kind, made_at, id);
CREATE INDEX record_by_unit ON record(unit, kind, made_at, id);
CREATE TABLE change (
  id     INTEGER PRIMARY KEY,
  step   INTEGER NOT NULL,
  at     TEXT NOT NULL,
  who    TEXT NOT NULL,
  what   TEXT NOT NULL,
  unit   TEXT,
  record TEXT NOT NULL,
  kind   TEXT NOT NULL,
  parent TEXT,
  made_at TEXT NOT NULL,
  before TEXT,
  after  TEXT,
  undoes INTEGER
);
CREATE INDEX change_by_record ON change(record, id);
CREATE INDEX change_by_unit ON change(unit, id);
CREATE INDEX change_by_step ON change(step);
CREATE TABLE meta (
  key   TEXT PRIMARY KEY,
  value TEXT NOT NULL
) WITHOUT ROWID;
CREATE TABLE file (
  sha256 TEXT PRIMARY KEY,
  bytes  INTEGER NOT NULL
) WITHOUT ROWID;
CREATE VIRTUAL TABLE words USING fts5(
  id UNINDEXED, kind UNINDEXED, unit UNINDEXED, text, state, residue, zone, part,
  tokenize = "unicode61 remove_diacritics 2 tokenchars '-'");
)sql"};

}  // namespace

int schema_version(Database& db) {
  Statement s(db, "PRAGMA user_version");
  require(s.step(), "PRAGMA user_version gives one row");
  return static_cast<int>(s.number(0));
}

void migrate(Database& db) {
  if (schema_version(db) == k_schema_version) return;
  Transaction t(db);
  const int version = schema_version(db);
  if (version > k_schema_version)
    throw Error(ErrorKind::storage,
                fmt::format("{}: was written by a newer program (schema {}, this one knows {}). "
                            "Update the program; nothing was changed.",
                            db.file().string(), version, k_schema_version));
  for (int v = version; v < k_schema_version; ++v) db.run(k_steps[static_cast<size_t>(v)]);
  db.run(fmt::format("PRAGMA user_version={}", k_schema_version));
  t.commit();
}

}  // namespace verdigrid
