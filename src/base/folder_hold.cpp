#include "base/folder_hold.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

#include "base/error.h"

namespace verdigrid {

FolderHold::FolderHold(const std::filesystem::path& file) {
  std::filesystem::path folder = file.parent_path();
  if (folder.empty()) folder = ".";
  folder_ = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (folder_ < 0)
    throw Error(ErrorKind::storage,
                fmt::format("{}: cannot be opened ({}). Name a folder that is there and that you "
                            "may read.",
                            folder.string(), std::strerror(errno)));
  while (::flock(folder_, LOCK_EX) != 0 && errno == EINTR) {
  }
}

FolderHold::~FolderHold() { ::close(folder_); }

}  // namespace verdigrid
