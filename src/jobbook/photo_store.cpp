#include "jobbook/photo_store.h"

#include <fmt/format.h>

#include <algorithm>
#include <limits>

#include "base/error.h"
#include "base/sha256.h"

namespace verdigrid {

namespace fs = std::filesystem;

PhotoStore::PhotoStore(fs::path folder, DurableWrite write)
    : folder_(std::move(folder)), write_(std::move(write)) {
  if (!write_)
    write_ = [](const fs::path& path, std::span<const std::byte> bytes) {
      write_file(path, bytes);
    };
}

fs::path PhotoStore::path_of(const std::string& sha256) const {
  require(is_sha256(sha256), "stored files are named by their SHA-256");
  return folder_ / sha256;
}

std::string PhotoStore::add(std::span<const std::byte> bytes) {
  std::string name = sha256_hex(bytes);
  if (!is_intact(name)) write_(path_of(name), bytes);
  return name;
}

Bytes PhotoStore::read(const std::string& sha256) const {
  const fs::path path = path_of(sha256);
  std::error_code code;
  if (!fs::exists(path, code))
    throw Error(ErrorKind::storage, fmt::format("{}: this stored photo is missing. Restore it from "
                                                "a backup, or add the original photo again.",
                                                path.string()));
  Bytes bytes = read_file(path, std::numeric_limits<std::uintmax_t>::max());
  if (sha256_hex(bytes) != sha256)
    throw Error(ErrorKind::storage, fmt::format("{}: this stored photo is damaged. Restore it from "
                                                "a backup, or add the original photo again.",
                                                path.string()));
  return bytes;
}

bool PhotoStore::is_intact(const std::string& sha256) const {
  std::error_code code;
  const fs::path path = path_of(sha256);
  if (!fs::is_regular_file(path, code)) return false;
  return sha256_hex(read_file(path, std::numeric_limits<std::uintmax_t>::max())) == sha256;
}

std::vector<std::string> PhotoStore::names() const {
  std::vector<std::string> found;
  std::error_code code;
  for (const auto& entry : fs::directory_iterator(folder_, code)) {
    std::string name = entry.path().filename().string();
    if (is_sha256(name)) found.push_back(std::move(name));
  }
  if (code)
    throw Error(ErrorKind::storage, fmt::format("{}: cannot be listed ({}). Check the folder.",
                                                folder_.string(), code.message()));
  std::sort(found.begin(), found.end());
  return found;
}

}  // namespace verdigrid
