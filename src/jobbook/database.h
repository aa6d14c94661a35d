// SQLite behind three small owners: a connection, a prepared statement, a transaction.
//
// Settings for a store that must lose nothing acknowledged: WAL, synchronous=FULL, foreign keys on,
// secure_delete on (removed personal data leaves the file), five seconds of patience for another
// process. Text is UTF-8. Errors: Error{storage} with what to do. A connection belongs to one
// thread at a time.
#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <string_view>

struct sqlite3;
struct sqlite3_stmt;

namespace verdigrid {

enum class Open { existing, create, read_only };

class Database {
 public:
  // `vfs` names a registered SQLite VFS (tests use one that loses what was not synced); empty: the
  // default.
  Database(const std::filesystem::path& file, Open how, const std::string& vfs = {});
  ~Database();
  Database(const Database&) = delete;
  Database& operator=(const Database&) = delete;

  void run(const std::string& sql);  // one or more statements without parameters
  sqlite3* handle() const { return db_; }
  const std::filesystem::path& file() const { return file_; }

 private:
  sqlite3* db_ = nullptr;
  std::filesystem::path file_;
};

// Parameters count from 1, columns from 0, as in SQLite.
class Statement {
 public:
  Statement(Database& db, std::string_view sql);
  ~Statement();
  Statement(const Statement&) = delete;
  Statement& operator=(const Statement&) = delete;

  Statement& bind(int parameter, std::string_view text);
  Statement& bind(int parameter, std::int64_t number);
  Statement& bind_null(int parameter);
  Statement& bind_optional(int parameter, const std::optional<std::string>& text);

  bool step();  // true: a row is there
  void run();   // step to the end, then reset for the next round

  std::string text(int column) const;
  std::optional<std::string> optional_text(int column) const;
  std::int64_t number(int column) const;

 private:
  Database& db_;
  sqlite3_stmt* statement_ = nullptr;
};

// BEGIN IMMEDIATE ... COMMIT; rolls back unless commit() was called. Transactions do not nest.
class Transaction {
 public:
  explicit Transaction(Database& db);
  ~Transaction();
  Transaction(const Transaction&) = delete;
  Transaction& operator=(const Transaction&) = delete;
  void commit();

 private:
  Database& db_;
  bool open_ = true;
};

}  // namespace verdigrid
