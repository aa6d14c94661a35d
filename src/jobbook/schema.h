// The job book's tables and how an older one is brought up to date.
//
// One table of records (unit, kit item, board, photo, survey, review, note, layout, ...) with a
// JSON body each, one of changes (who, when, what, body before and after: the history, undoable),
// one of stored files, one full-text index. A new kind of record needs no new table.
#pragma once

#include "jobbook/database.h"

namespace verdigrid {

inline constexpr int k_schema_version = 1;

int schema_version(Database& db);  // 0: an empty file

// Brings the tables to k_schema_version inside one transaction. Throws Error{storage} for a newer
// schema, before anything is touched.
void migrate(Database& db);

}  // namespace verdigrid
