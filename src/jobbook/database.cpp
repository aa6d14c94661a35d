#include "jobbook/database.h"

#include <fmt/format.h>
#include <sqlite3.h>

#include "base/error.h"

namespace verdigrid {

namespace {

constexpr int k_patience_ms = 5000;

const char* advice(int code) {
  switch (code & 0xff) {
    case SQLITE_FULL:
      return "The disk is full: free some space and try again; nothing stored was changed.";
    case SQLITE_READONLY:
      return "The job book may only be read here: change the folder's permissions or copy it "
             "elsewhere.";
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      return "Another program is writing to this job book: wait for it to finish and try again.";
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
      return "The file is damaged: restore the last backup beside it and run 'verdigrid jobbook "
             "check'.";
    case SQLITE_CANTOPEN:
      return "Check the folder's name and permissions; 'verdigrid jobbook init' makes a new job "
             "book.";
    case SQLITE_IOERR:
      return "The disk does not answer as it should: check it, then try again.";
    default:
      return "Run 'verdigrid jobbook check' and try again.";
  }
}

[[noreturn]] void throw_fault(const std::filesystem::path& file, sqlite3* db, int code) {
  const std::string what = db ? sqlite3_errmsg(db) : sqlite3_errstr(code);
  const auto kind = (code & 0xff) == SQLITE_CONSTRAINT || (code & 0xff) == SQLITE_ERROR
                        ? ErrorKind::internal
                        : ErrorKind::storage;
  throw Error(kind, fmt::format("{}: the job book could not be used ({}). {}", file.string(), what,
                                advice(code)));
}

}  // namespace

Database::Database(const std::filesystem::path& file, Open how, const std::string& vfs)
    : file_(file) {
  const int flags = how == Open::read_only ? SQLITE_OPEN_READONLY
                    : how == Open::create  ? SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE
                                           : SQLITE_OPEN_READWRITE;
  const int code = sqlite3_open_v2(file.c_str(), &db_, flags | SQLITE_OPEN_NOMUTEX,
                                   vfs.empty() ? nullptr : vfs.c_str());
  try {
    if (code != SQLITE_OK) throw_fault(file_, db_, code);
    sqlite3_extended_result_codes(db_, 1);
    sqlite3_busy_timeout(db_, k_patience_ms);
    run("PRAGMA foreign_keys=ON; PRAGMA secure_delete=ON;");
    if (how != Open::read_only) run("PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL;");
  } catch (...) {
    sqlite3_close(db_);
    throw;
  }
}

Database::~Database() { sqlite3_close(db_); }

void Database::run(const std::string& sql) {
  const int code = sqlite3_exec(db_, sql.c_str(), nullptr, nullptr, nullptr);
  if (code != SQLITE_OK) throw_fault(file_, db_, code);
}

Statement::Statement(Database& db, std::string_view sql) : db_(db) {
  const int code = sqlite3_prepare_v2(db.handle(), sql.data(), static_cast<int>(sql.size()),
                                      &statement_, nullptr);
  if (code != SQLITE_OK) throw_fault(db.file(), db.handle(), code);
}

Statement::~Statement() { sqlite3_finalize(statement_); }

Statement& Statement::bind(int parameter, std::string_view text) {
  const int code = sqlite3_bind_text64(statement_, parameter, text.data() ? text.data() : "",
                                       text.size(), SQLITE_TRANSIENT, SQLITE_UTF8);
  if (code != SQLITE_OK) throw_fault(db_.file(), db_.handle(), code);
  return *this;
}

Statement& Statement::bind(int parameter, std::int64_t number) {
  const int code = sqlite3_bind_int64(statement_, parameter, number);
  if (code != SQLITE_OK) throw_fault(db_.file(), db_.handle(), code);
  return *this;
}

Statement& Statement::bind_null(int parameter) {
  const int code = sqlite3_bind_null(statement_, parameter);
  if (code != SQLITE_OK) throw_fault(db_.file(), db_.handle(), code);
  return *this;
}

Statement& Statement::bind_optional(int parameter, const std::optional<std::string>& text) {
  return text ? bind(parameter, *text) : bind_null(parameter);
}

bool Statement::step() {
  const int code = sqlite3_step(statement_);
  if (code == SQLITE_ROW) return true;
  if (code == SQLITE_DONE) return false;
  throw_fault(db_.file(), db_.handle(), code);
}

void Statement::run() {
  while (step()) {
  }
  sqlite3_reset(statement_);
}

std::string Statement::text(int column) const {
  const auto* first = reinterpret_cast<const char*>(sqlite3_column_text(statement_, column));
  return first ? std::string(first, static_cast<size_t>(sqlite3_column_bytes(statement_, column)))
               : std::string();
}

std::optional<std::string> Statement::optional_text(int column) const {
  if (sqlite3_column_type(statement_, column) == SQLITE_NULL) return std::nullopt;
  return text(column);
}

std::int64_t Statement::number(int column) const {
  return sqlite3_column_int64(statement_, column);
}

Transaction::Transaction(Database& db) : db_(db) { db_.run("BEGIN IMMEDIATE"); }

Transaction::~Transaction() {
  if (open_) sqlite3_exec(db_.handle(), "ROLLBACK", nullptr, nullptr, nullptr);
}

void Transaction::commit() {
  db_.run("COMMIT");
  open_ = false;
}

}  // namespace verdigrid
