// Reading a job book: records, history, what can be undone.

#include <fmt/format.h>

#include "base/error.h"
#include "jobbook/job_book.h"
#include "jobbook/job_book_rows.h"

namespace verdigrid {

using nlohmann::json;

namespace {

constexpr const char* k_columns = "id, kind, parent, unit, made_at, body";

Record record_from(const Statement& s) {
  return {s.text(0),          s.text(1), s.optional_text(2),
          s.optional_text(3), s.text(4), json::parse(s.text(5))};
}

std::vector<Record> records_from(Statement& s) {
  std::vector<Record> records;
  while (s.step()) records.push_back(record_from(s));
  return records;
}

// Those whose `column` has that value, in the order they were made; an empty kind takes all kinds.
std::vector<Record> records_below(Database& db, const char* column, const std::string& value,
                                  const std::string& kind) {
  Statement s(db, fmt::format("SELECT {} FROM record WHERE {} = ?1 AND (?2 = '' OR kind = ?2) "
                              "ORDER BY made_at, id",
                              k_columns, column));
  s.bind(1, value).bind(2, kind);
  return records_from(s);
}

}  // namespace

std::optional<std::int64_t> JobBook::last_step() const {
  Statement s(*db_,
              "SELECT max(step) FROM change WHERE undoes IS NULL AND step NOT IN (SELECT undoes "
              "FROM change WHERE undoes IS NOT NULL)");
  s.step();
  return s.optional_text(0) ? std::optional(s.number(0)) : std::nullopt;
}

std::string JobBook::origin() const {
  Statement s(*db_, "SELECT value FROM meta WHERE key = 'origin'");
  require(s.step(), "a job book has an origin");
  return s.text(0);
}

std::optional<Record> JobBook::find(const std::string& id) const {
  Statement s(*db_, fmt::format("SELECT {} FROM record WHERE id = ?1", k_columns));
  s.bind(1, id);
  return s.step() ? std::optional(record_from(s)) : std::nullopt;
}

Record JobBook::get(const std::string& id) const {
  auto found = find(id);
  if (!found)
    throw Error(
        ErrorKind::wrong_use,
        fmt::format(
            "{}: the job book has no such record. 'verdigrid jobbook list' shows what it has.",
            id));
  return *std::move(found);
}

std::vector<Record> JobBook::of_kind(const std::string& kind) const {
  Statement s(*db_,
              fmt::format("SELECT {} FROM record WHERE kind = ?1 ORDER BY made_at, id", k_columns));
  s.bind(1, kind);
  return records_from(s);
}

std::vector<Record> JobBook::children(const std::string& parent, const std::string& kind) const {
  return records_below(*db_, "parent", parent, kind);
}

std::vector<Record> JobBook::of_unit(const std::string& unit, const std::string& kind) const {
  return records_below(*db_, "unit", unit, kind);
}

std::vector<Change> JobBook::history(const std::string& unit_or_record) const {
  Statement s(*db_,
              "SELECT id, step, at, who, what, record, kind, before, after, undoes FROM change "
              "WHERE unit = ?1 OR record = ?1 ORDER BY id");
  s.bind(1, unit_or_record);
  std::vector<Change> changes;
  while (s.step()) {
    Change c{s.number(0),
             s.number(1),
             s.text(2),
             s.text(3),
             s.text(4),
             s.text(5),
             s.text(6),
             parsed_body(s.optional_text(7)),
             parsed_body(s.optional_text(8)),
             {}};
    if (s.optional_text(9)) c.undoes = s.number(9);
    changes.push_back(std::move(c));
  }
  return changes;
}

}  // namespace verdigrid
