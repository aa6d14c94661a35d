// Reading a file whole, and writing files and folders so that a reader sees the old or the new one,
// never half of it.
//
// Paths are UTF-8. Errors: bad_input for what cannot be read, storage for what cannot be written;
// the sentence names the path and what to do. May be called from any thread; two writers of one
// path: the last one wins.
#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace verdigrid {

using Bytes = std::vector<std::byte>;

// Throws bad_input for a missing file, a folder, a device, no permission, or more than
// `limit_bytes`.
Bytes read_file(const std::filesystem::path& path, std::uintmax_t limit_bytes);

// Regular files of a folder that are not hidden, sorted by name; subfolders are not entered. Throws
// bad_input where it cannot be listed.
std::vector<std::filesystem::path> visible_files(const std::filesystem::path& folder);

// Writes beside, flushes to disk, renames, flushes the folder. Throws storage.
void write_file(const std::filesystem::path& path, std::span<const std::byte> bytes);
void write_file(const std::filesystem::path& path, std::string_view text);

// A folder that appears whole or not at all: files are written into a hidden folder beside
// `target`; commit() puts it in place (an existing target is replaced only when it holds nothing
// but files with names in `own_names`, else storage is thrown and nothing is touched). Without
// commit() the hidden folder is removed; one left over by a process that was killed is removed by
// the next writer of the same target.
class NewFolder {
 public:
  NewFolder(std::filesystem::path target, std::vector<std::string> own_names);
  ~NewFolder();
  NewFolder(const NewFolder&) = delete;
  NewFolder& operator=(const NewFolder&) = delete;

  const std::filesystem::path& path() const { return staging_; }
  void commit();

 private:
  void replace_in_two_steps();

  std::filesystem::path target_, staging_;
  std::vector<std::string> own_names_;
  bool committed_ = false;
};

}  // namespace verdigrid
