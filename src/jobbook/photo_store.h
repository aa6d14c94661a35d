// Photo files kept by content: photos/<SHA-256>, written beside, flushed, renamed, folder flushed,
// and verified whenever they are read.
//
// Errors: Error{storage} for a missing or damaged file or a failed write; the sentence names the
// file. May be called from any thread.
#pragma once

#include <filesystem>
#include <functional>
#include <span>
#include <string>
#include <vector>

#include "base/files.h"

namespace verdigrid {

// How a file reaches the disk; tests put in one that loses what was not synced.
using DurableWrite = std::function<void(const std::filesystem::path&, std::span<const std::byte>)>;

class PhotoStore {
 public:
  explicit PhotoStore(std::filesystem::path folder, DurableWrite write = {});

  std::string add(std::span<const std::byte>
                      bytes);  // returns the SHA-256; an intact file of that name is left alone
  Bytes read(const std::string& sha256) const;  // verified
  std::filesystem::path path_of(const std::string& sha256) const;
  bool is_intact(const std::string& sha256) const;
  std::vector<std::string> names()
      const;  // every file in the folder that is named by a SHA-256, sorted

 private:
  std::filesystem::path folder_;
  DurableWrite write_;
};

}  // namespace verdigrid
