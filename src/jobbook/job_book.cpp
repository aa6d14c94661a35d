#include "jobbook/job_book.h"

#include <fmt/chrono.h>
#include <fmt/format.h>

#include <chrono>
#include <ctime>
#include <random>
#include <set>

#include "base/error.h"
#include "jobbook/job_book_rows.h"
#include "jobbook/schema.h"
#include "jobbook/search.h"

namespace verdigrid {

namespace fs = std::filesystem;
using nlohmann::json;

namespace {

std::string system_time() {
  return fmt::format("{:%Y-%m-%dT%H:%M:%SZ}", fmt::gmtime(std::time(nullptr)));
}

std::optional<std::string> dumped(const std::optional<json>& body) {
  // Text that is not UTF-8 cannot stand in JSON: whoever reads it in must have refused it.
  return body ? std::optional(body->dump(-1, ' ', false, json::error_handler_t::strict))
              : std::nullopt;
}

// A body may name only files that are stored: they are added first.
void require_files(Database& db, const json& body) {
  std::set<std::string> names;
  collect_files(body, names);
  for (const std::string& sha : names) {
    Statement s(db, "SELECT 1 FROM file WHERE sha256 = ?1");
    if (!s.bind(1, sha).step())
      throw Error(ErrorKind::wrong_use,
                  fmt::format("{}: no stored file has this SHA-256. Add the file first.", sha));
  }
}

std::int64_t next_step(Database& db) {
  Statement s(db, "SELECT coalesce(max(step), 0) + 1 FROM change");
  require(s.step(), "max() gives one row");
  return s.number(0);
}

}  // namespace

JobBook::JobBook(fs::path folder, JobBookOptions options, Open how)
    : folder_(std::move(folder)),
      options_(std::move(options)),
      db_(std::make_unique<Database>(folder_ / k_job_book_file, how, options_.vfs)),
      photos_(folder_ / "photos", options_.write) {
  if (!options_.now) options_.now = system_time;
  if (!options_.random)
    options_.random = [] {
      std::random_device device;
      return static_cast<std::uint32_t>(device());
    };
  if (how == Open::read_only) {
    if (schema_version(*db_) > k_schema_version)
      throw Error(
          ErrorKind::storage,
          fmt::format(
              "{}: was written by a newer program. Update the program; nothing was changed.",
              folder_.string()));
  } else {
    migrate(*db_);
    Statement(*db_, "INSERT INTO meta (key, value) VALUES ('origin', ?1) ON CONFLICT DO NOTHING")
        .bind(1, new_id("book") + new_id(""))
        .run();
  }
}

JobBook JobBook::create(const fs::path& folder, JobBookOptions options) {
  std::error_code code;
  if (fs::exists(folder / k_job_book_file, code))
    throw Error(ErrorKind::wrong_use,
                fmt::format("{}: holds a job book already. Open it, or choose another folder.",
                            folder.string()));
  fs::create_directories(folder / "photos", code);
  if (code)
    throw Error(ErrorKind::storage,
                fmt::format("{}: cannot be made ({}). Choose a folder that you may write to.",
                            folder.string(), code.message()));
  return JobBook(folder, std::move(options), Open::create);
}

JobBook JobBook::open(const fs::path& folder, JobBookOptions options, Open how) {
  std::error_code code;
  if (!fs::exists(folder / k_job_book_file, code))
    throw Error(ErrorKind::wrong_use,
                fmt::format("{}: is no job book. Make one with 'verdigrid jobbook init {}'.",
                            folder.string(), folder.string()));
  return JobBook(folder, std::move(options), how);
}

std::string JobBook::new_id(const std::string& kind) const {
  // Crockford's base 32 without look-alikes; six digits are 30 bits, short enough for a printed
  // tag.
  constexpr std::string_view digits = "0123456789abcdefghjkmnpqrstvwxyz";
  for (;;) {
    std::uint32_t r = options_.random();
    std::string id = kind + "-";
    for (int i = 0; i < 6; ++i, r >>= 5) id += digits[r & 31];
    if (!find(id)) return id;
  }
}

void JobBook::write_words(const Record& record) {
  const Words w = words_of(record);
  Statement s(*db_,
              "INSERT INTO words (id, kind, unit, text, state, residue, zone, part) VALUES (?1, "
              "?2, ?3, ?4, ?5, ?6, ?7, ?8)");
  s.bind(1, record.id)
      .bind(2, record.kind)
      .bind_optional(3, record.unit)
      .bind(4, w.text)
      .bind(5, w.state)
      .bind(6, w.residue)
      .bind(7, w.zone)
      .bind(8, w.part);
  s.run();
}

void JobBook::apply(const Step& step, const Edit& edit, const std::string& made_at) {
  const std::optional<Record> old = find(edit.id);
  if (!edit.body && !old)
    throw Error(ErrorKind::wrong_use,
                fmt::format("{}: there is no such record to remove.", edit.id));
  Record now{edit.id,
             old ? old->kind : edit.kind,
             old ? old->parent : edit.parent,
             old ? old->unit : std::nullopt,
             old ? old->made_at : made_at,
             {}};
  if (!old && now.kind == "unit") now.unit = now.id;
  if (!old && now.parent) now.unit = get(*now.parent).unit;
  if (edit.body) {
    require_files(*db_, *edit.body);
    now.body = *edit.body;
    Statement s(*db_,
                "INSERT INTO record (id, kind, parent, unit, made_at, body) VALUES (?1, ?2, ?3, "
                "?4, ?5, ?6) "
                "ON CONFLICT (id) DO UPDATE SET body = excluded.body");
    s.bind(1, now.id)
        .bind(2, now.kind)
        .bind_optional(3, now.parent)
        .bind_optional(4, now.unit)
        .bind(5, now.made_at)
        .bind(6, *dumped(edit.body));
    s.run();
    // By id is a walk through all words: not for a record that has none yet.
    if (old) Statement(*db_, "DELETE FROM words WHERE id = ?1").bind(1, edit.id).run();
    write_words(now);
  } else {
    if (!children(edit.id).empty())
      throw Error(ErrorKind::wrong_use,
                  fmt::format("{}: other records belong to it. Remove those first.", edit.id));
    Statement(*db_, "DELETE FROM record WHERE id = ?1").bind(1, edit.id).run();
    Statement(*db_, "DELETE FROM words WHERE id = ?1").bind(1, edit.id).run();
  }
  Statement s(*db_,
              "INSERT INTO change (step, at, who, what, unit, record, kind, parent, made_at, "
              "before, after, undoes) "
              "VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)");
  s.bind(1, step.number)
      .bind(2, step.at)
      .bind(3, options_.who)
      .bind(4, step.what)
      .bind_optional(5, now.unit)
      .bind(6, now.id)
      .bind(7, now.kind);
  s.bind_optional(8, now.parent)
      .bind(9, now.made_at)
      .bind_optional(10, old ? dumped(old->body) : std::nullopt)
      .bind_optional(11, dumped(edit.body));
  if (step.undoes) s.bind(12, *step.undoes);
  s.run();
}

std::vector<std::string> JobBook::change(const std::string& what, const std::vector<Edit>& edits) {
  require(!edits.empty(), "a change has at least one edit");
  return change_by(what, [&edits] { return edits; });
}

std::vector<std::string> JobBook::change_by(const std::string& what,
                                            const std::function<std::vector<Edit>()>& make) {
  Transaction t(*db_);
  const std::vector<Edit> edits = make();
  if (edits.empty()) return {};
  std::vector<std::string> ids = apply_all(what, edits);
  t.commit();
  return ids;
}

std::vector<std::string> JobBook::apply_all(const std::string& what,
                                            const std::vector<Edit>& edits) {
  std::vector<std::string> ids;
  const Step step{next_step(*db_), options_.now(), what, {}};
  for (Edit edit : edits) {
    if (edit.id.empty()) edit.id = new_id(edit.kind);
    apply(step, edit, step.at);
    ids.push_back(edit.id);
  }
  return ids;
}

void JobBook::undo(std::int64_t step) {
  Transaction t(*db_);
  Statement s(
      *db_,
      "SELECT record, kind, parent, before, what, made_at, after IS (SELECT body FROM record WHERE "
      "id = change.record) FROM change WHERE step = ?1 ORDER BY id DESC");
  s.bind(1, step);
  std::vector<std::pair<Edit, std::string>> edits;  // with the time the record was made
  std::set<std::string> seen;
  std::string what;
  while (s.step()) {
    const bool is_last_of_record = seen.insert(s.text(0)).second;
    if (is_last_of_record && s.number(6) == 0)  // what the step left is no longer there
      throw Error(ErrorKind::wrong_use, fmt::format("Step {} cannot be undone: {} was changed "
                                                    "again after it. Undo the later steps first.",
                                                    step, s.text(0)));
    what = s.text(4);
    edits.push_back(
        {{s.text(0), s.text(1), s.optional_text(2), parsed_body(s.optional_text(3))}, s.text(5)});
  }
  if (edits.empty())
    throw Error(ErrorKind::wrong_use, fmt::format("There is no step {} to undo.", step));
  const Step now{next_step(*db_), options_.now(), "undo: " + what, step};
  for (const auto& [edit, made_at] : edits) apply(now, edit, made_at);
  t.commit();
}

void JobBook::forget_owner(const std::string& unit) {
  Record record = get(unit);
  if (record.kind != "unit")
    throw Error(ErrorKind::wrong_use, fmt::format("{}: is no unit. Name a unit.", unit));
  Transaction t(*db_);
  strip_owner(record.body);
  apply({next_step(*db_), options_.now(), "owner data removed", {}},
        {unit, "unit", {}, record.body}, record.made_at);
  for (const Record& r : of_unit(unit)) {
    json body = r.body;
    strip_owner(body);
    if (r.kind != "unit" && body != r.body)
      apply({next_step(*db_), options_.now(), "owner data removed", {}}, {r.id, r.kind, {}, body},
            r.made_at);
  }
  Statement rows(*db_, "SELECT id, before, after FROM change WHERE record = ?1 OR unit = ?1");
  rows.bind(1, unit);
  while (rows.step()) {
    auto before = parsed_body(rows.optional_text(1)), after = parsed_body(rows.optional_text(2));
    if (before) strip_owner(*before);
    if (after) strip_owner(*after);
    Statement(*db_, "UPDATE change SET before = ?2, after = ?3 WHERE id = ?1")
        .bind(1, rows.number(0))
        .bind_optional(2, dumped(before))
        .bind_optional(3, dumped(after))
        .run();
  }
  db_->run("INSERT INTO words (words) VALUES ('rebuild')");
  t.commit();
  db_->run("VACUUM; PRAGMA wal_checkpoint(TRUNCATE)");
}

}  // namespace verdigrid
