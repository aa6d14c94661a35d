// Files of a job book, whether all of it is whole, its backup.

#include <fmt/format.h>
#include <sys/vfs.h>

#include "base/error.h"
#include "base/sha256.h"
#include "jobbook/job_book.h"
#include "jobbook/job_book_rows.h"

namespace verdigrid {

namespace fs = std::filesystem;
using nlohmann::json;

namespace {

void collect_files_under(const json& value, const std::string& key, std::set<std::string>& names) {
  if (value.is_string() && key.ends_with("sha256")) names.insert(value.get<std::string>());
  if (value.is_structured())
    for (const auto& [k, v] : value.items())
      collect_files_under(v, value.is_object() ? k : key, names);
}

}  // namespace

std::string JobBook::add_file(std::span<const std::byte> bytes) {
  std::string sha = photos_.add(bytes);
  register_file(sha, bytes.size());
  return sha;
}

void JobBook::register_file(const std::string& sha256, std::uintmax_t bytes) {
  require(is_sha256(sha256), "stored files are named by their SHA-256");
  Statement(*db_, "INSERT INTO file (sha256, bytes) VALUES (?1, ?2) ON CONFLICT DO NOTHING")
      .bind(1, sha256)
      .bind(2, static_cast<std::int64_t>(bytes))
      .run();
}

std::vector<Fault> JobBook::faults() const {
  std::vector<Fault> faults;
  Statement integrity(*db_, "PRAGMA integrity_check");
  while (integrity.step())
    if (integrity.text(0) != "ok")
      faults.push_back(
          {fmt::format("{}: {}. Restore the last backup.", k_job_book_file, integrity.text(0))});
  Statement keys(*db_, "PRAGMA foreign_key_check");
  while (keys.step())
    faults.push_back(
        {fmt::format("{}: a row of table {} points to nothing. Restore the last backup.",
                     k_job_book_file, keys.text(0))});
  std::set<std::string> wanted;
  Statement files(*db_, "SELECT sha256 FROM file");
  while (files.step()) wanted.insert(files.text(0));
  Statement bodies(*db_, "SELECT body FROM record");
  while (bodies.step()) collect_files(json::parse(bodies.text(0)), wanted);
  for (const std::string& sha : wanted) {
    try {
      photos_.read(sha);
    } catch (const Error& e) {
      faults.push_back({e.what()});
    }
  }
  return faults;
}

void JobBook::backup(const fs::path& folder) const {
  std::error_code code;
  if (fs::exists(folder, code))
    throw Error(
        ErrorKind::wrong_use,
        fmt::format("{}: exists already. Name a new folder for the backup.", folder.string()));
  NewFolder made(folder, {});
  fs::create_directory(made.path() / "photos", code);
  if (code)
    throw Error(ErrorKind::storage, fmt::format("{}: cannot be made ({}). Choose another folder.",
                                                folder.string(), code.message()));
  Statement(*db_, "VACUUM INTO ?1").bind(1, (made.path() / k_job_book_file).string()).run();
  PhotoStore copy(made.path() / "photos");
  Statement files(*db_, "SELECT sha256 FROM file ORDER BY sha256");
  while (files.step()) copy.add(photos_.read(files.text(0)));
  made.commit();
}

void collect_files(const json& body, std::set<std::string>& names) {
  collect_files_under(body, {}, names);
}

void strip_owner(json& body) {
  if (!body.is_object()) return;
  body.erase("owner");
  body.erase("owner_contact");
  body.erase("owner_said");
}

bool is_network_folder(const fs::path& folder) {
  // Magic numbers of statfs(2): NFS, SMB, SMB2, CIFS, AFS, Coda, 9P, FUSE (sshfs and its like).
  constexpr long k_magic[] = {0x6969,
                              0x517b,
                              static_cast<long>(0xfe534d42),
                              static_cast<long>(0xff534d42),
                              0x5346414f,
                              0x73757245,
                              0x01021997,
                              0x65735546};
  struct statfs info {};
  if (::statfs(folder.c_str(), &info) != 0) return false;
  for (const long magic : k_magic)
    if (static_cast<long>(info.f_type) == magic) return true;
  return false;
}

}  // namespace verdigrid
