// The job book: everything about every unit in one folder (job-book.sqlite and photos/), made to
// survive crashes, power cuts and years.
//
// Every change goes through change(): it is in the history with who, when and what, and can be
// undone as one step. When change() or add_file() has returned, the data is on the disk. Times are
// UTC, "YYYY-MM-DDThh:mm:ssZ". One JobBook belongs to one thread at a time; two processes may open
// the same folder. Errors: Error{storage}, Error{wrong_use} for a folder that is no job book.
#pragma once

#include <functional>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "jobbook/database.h"
#include "jobbook/photo_store.h"

namespace verdigrid {

struct Record {
  std::string id;
  std::string kind;  // "unit", "kit", "board", "photo", "survey", "review", "note", "layout",
                     // "board-type", ...
  std::optional<std::string> parent;  // id
  std::optional<std::string> unit;    // id of the unit it belongs to, if any
  std::string made_at;
  nlohmann::json body;
};

// One record to be written or (no body) removed. A record with children cannot be removed before
// they are.
struct Edit {
  std::string id;  // empty with a kind: a new record, whose id is made up
  std::string kind;
  std::optional<std::string> parent;
  std::optional<nlohmann::json> body;
};

struct Change {
  std::int64_t id = 0, step = 0;
  std::string at, who, what, record, kind;
  std::optional<nlohmann::json> before, after;
  std::optional<std::int64_t> undoes;  // the step that this one takes back
};

inline constexpr const char* k_nobody = "nobody";  // signs where no name is known

struct JobBookOptions {
  std::string who = k_nobody;             // signs every change
  std::function<std::string()> now;       // default: the system clock
  std::function<std::uint32_t()> random;  // for ids; default: the system's
  std::string vfs;                        // SQLite VFS, for tests
  DurableWrite write;                     // for tests
};

struct Fault {
  std::string what;  // a sentence
};

class JobBook {
 public:
  static JobBook create(const std::filesystem::path& folder, JobBookOptions options);
  static JobBook open(const std::filesystem::path& folder, JobBookOptions options,
                      Open how = Open::existing);

  // Applies all edits as one step, or none. Returns the ids in the order of the edits.
  std::vector<std::string> change(const std::string& what, const std::vector<Edit>& edits);
  std::string put(const std::string& what, Edit edit) {
    return change(what, {std::move(edit)}).front();
  }
  // The same with edits that `make` gives from what it reads here: no other program writes between
  // its reading and the change, so that nothing another one has added is written over. No edits:
  // nothing changes. `make` changes nothing itself.
  std::vector<std::string> change_by(const std::string& what,
                                     const std::function<std::vector<Edit>()>& make);

  // Takes a step back as a new step. Throws wrong_use when a later step touched the same records.
  void undo(std::int64_t step);
  std::optional<std::int64_t> last_step() const;  // newest step that is neither undone nor an undo

  // An id that no record has, for edits that name each other in one step.
  std::string new_id(const std::string& kind) const;

  std::optional<Record> find(const std::string& id) const;
  Record get(const std::string& id) const;                     // throws wrong_use naming the id
  std::vector<Record> of_kind(const std::string& kind) const;  // oldest first
  std::vector<Record> children(const std::string& parent, const std::string& kind = {}) const;
  std::vector<Record> of_unit(const std::string& unit, const std::string& kind = {}) const;
  std::vector<Change> history(const std::string& unit_or_record) const;

  std::string add_file(
      std::span<const std::byte> bytes);  // photo or survey picture; returns the SHA-256
  // For a file that a PhotoStore on this folder has already written, on any thread.
  void register_file(const std::string& sha256, std::uintmax_t bytes);
  Bytes file(const std::string& sha256) const { return photos_.read(sha256); }
  const PhotoStore& photos() const { return photos_; }

  std::vector<Fault> faults()
      const;  // SQLite's integrity check, every file verified, every reference followed
  void backup(const std::filesystem::path& folder)
      const;  // a whole job book at a new place, while this one stays open

  // Removes owner, contact and what the owner said from a unit's records and from the history;
  // measurements stay; that it was done is logged.
  void forget_owner(const std::string& unit);

  std::string origin() const;  // tells this job book from every other one; made with it
  const std::filesystem::path& folder() const { return folder_; }
  const JobBookOptions& options() const { return options_; }
  Database& database() const { return *db_; }

 private:
  JobBook(std::filesystem::path folder, JobBookOptions options, Open how);
  struct Step {
    std::int64_t number;
    std::string at, what;
    std::optional<std::int64_t> undoes;
  };
  std::vector<std::string> apply_all(const std::string& what, const std::vector<Edit>& edits);
  void apply(const Step& step, const Edit& edit, const std::string& made_at);
  void write_words(const Record& record);

  std::filesystem::path folder_;
  JobBookOptions options_;
  std::unique_ptr<Database> db_;
  PhotoStore photos_;
};

// Adds every SHA-256 that a body names: text under keys that end in "sha256".
void collect_files(const nlohmann::json& body, std::set<std::string>& names);

// Takes the owner's name, contact and words ("owner", "owner_contact", "owner_said") out of a body.
void strip_owner(nlohmann::json& body);

// True where file locks are known to be unreliable (NFS, SMB and their like by the file system's
// magic number): a warning is owed.
bool is_network_folder(const std::filesystem::path& folder);

}  // namespace verdigrid
