// Keeps other programs from changing the files of a folder while one reads, changes and writes
// them: who changes a file by what it holds takes a hold first.
//
// The hold is on the folder itself (flock(2) on its descriptor), so it leaves no file behind and
// ends with the process, however that ends. It binds those who take it too and nobody else; readers
// need none, for files are replaced whole (files.h). Waits until the other one is done. Where the
// file system knows no such locks (some network shares) it holds nothing and says nothing.
#pragma once

#include <filesystem>

namespace verdigrid {

class FolderHold {
 public:
  // The folder that `file` lies in, or is to lie in. Throws storage where that cannot be opened.
  // Taken once at a time: a second hold of one program on a folder would wait for itself.
  explicit FolderHold(const std::filesystem::path& file);
  ~FolderHold();
  FolderHold(const FolderHold&) = delete;
  FolderHold& operator=(const FolderHold&) = delete;

 private:
  int folder_;
};

}  // namespace verdigrid
