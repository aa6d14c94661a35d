#include "base/files.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <signal.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <cerrno>
#include <charconv>
#include <cstdio>
#include <cstring>
#include <system_error>

#include "base/error.h"

namespace verdigrid {

namespace fs = std::filesystem;

namespace {

class Descriptor {
 public:
  explicit Descriptor(int fd) : fd_(fd) {}
  ~Descriptor() {
    if (fd_ >= 0) ::close(fd_);
  }
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  int get() const { return fd_; }

 private:
  int fd_;
};

[[noreturn]] void throw_unreadable(const fs::path& path, int code) {
  const char* advice = code == ENOENT ? "Check the name."
                       : code == EACCES
                           ? "Ask for permission to read it, or copy it somewhere you can read."
                           : "Copy it to another disk and try again.";
  throw Error(ErrorKind::bad_input, fmt::format("{}: cannot be read ({}). {}", path.string(),
                                                std::strerror(code), advice));
}

[[noreturn]] void throw_unwritable(const fs::path& path, int code) {
  const char* advice = code == ENOSPC || code == EDQUOT
                           ? "Free some space and try again; nothing stored was changed."
                           : "Choose a folder that you may write to; nothing stored was changed.";
  throw Error(ErrorKind::storage, fmt::format("{}: cannot be written ({}). {}", path.string(),
                                              std::strerror(code), advice));
}

void flush_folder(const fs::path& folder) {
  const fs::path name = folder.empty() ? fs::path(".") : folder;
  const Descriptor fd(::open(name.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  if (fd.get() < 0 || ::fsync(fd.get()) != 0) throw_unwritable(name, errno);
}

void write_all(int fd, const fs::path& path, std::span<const std::byte> bytes) {
  while (!bytes.empty()) {
    const ssize_t n = ::write(fd, bytes.data(), bytes.size());
    if (n < 0 && errno == EINTR) continue;
    if (n < 0) throw_unwritable(path, errno);
    bytes = bytes.subspan(static_cast<size_t>(n));
  }
}

// Of a file or folder that is still being written: "PID-N", N counting those of this process, so
// that two threads that write the same target never share one.
std::string writer_suffix() {
  static std::atomic<unsigned> count{0};
  return fmt::format("{}-{}", ::getpid(), count++);
}

// A hidden folder of this name and a writer's suffix is left over when its process was killed.
void remove_leftovers(const fs::path& parent, const std::string& prefix) {
  std::error_code code;
  for (const auto& entry : fs::directory_iterator(parent.empty() ? "." : parent, code)) {
    const std::string name = entry.path().filename().string();
    if (!name.starts_with(prefix)) continue;
    pid_t pid = 0;
    const char* const end = name.data() + name.size();
    const auto read = std::from_chars(name.data() + prefix.size(), end, pid);
    const bool is_ours = read.ec == std::errc() && read.ptr != end && *read.ptr == '-' && pid > 0;
    if (!is_ours || ::kill(pid, 0) == 0 || errno != ESRCH) continue;
    std::error_code ignored;
    fs::remove_all(entry.path(), ignored);
  }
}

}  // namespace

std::vector<fs::path> visible_files(const fs::path& folder) {
  std::vector<fs::path> paths;
  std::error_code code;
  for (const auto& entry : fs::directory_iterator(folder, code))
    if (entry.is_regular_file(code) && !entry.path().filename().string().starts_with("."))
      paths.push_back(entry.path());
  if (code)
    throw Error(ErrorKind::bad_input,
                fmt::format("{}: cannot be listed ({}). Check the folder's name.", folder.string(),
                            code.message()));
  std::sort(paths.begin(), paths.end());
  return paths;
}

Bytes read_file(const fs::path& path, std::uintmax_t limit_bytes) {
  const Descriptor fd(::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK));
  if (fd.get() < 0) throw_unreadable(path, errno);
  struct stat info {};
  if (::fstat(fd.get(), &info) != 0) throw_unreadable(path, errno);
  if (S_ISDIR(info.st_mode))
    throw Error(ErrorKind::bad_input,
                fmt::format("{}: is a folder. Name a file in it.", path.string()));
  if (!S_ISREG(info.st_mode))
    throw Error(ErrorKind::bad_input,
                fmt::format("{}: is not a regular file. Name a file on disk.", path.string()));
  const auto size = static_cast<std::uintmax_t>(info.st_size);
  if (size > limit_bytes)
    throw Error(ErrorKind::bad_input,
                fmt::format("{}: has {} bytes, more than the limit of {}. Use a smaller file.",
                            path.string(), size, limit_bytes));
  Bytes bytes(size);
  size_t done = 0;
  while (done < bytes.size()) {
    const ssize_t n = ::read(fd.get(), bytes.data() + done, bytes.size() - done);
    if (n < 0 && errno == EINTR) continue;
    if (n < 0) throw_unreadable(path, errno);
    if (n == 0) break;
    done += static_cast<size_t>(n);
  }
  bytes.resize(done);
  return bytes;
}

void write_file(const fs::path& path, std::span<const std::byte> bytes) {
  fs::path beside = path;
  beside += ".part-" + writer_suffix();
  try {
    const Descriptor fd(::open(beside.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0666));
    if (fd.get() < 0) throw_unwritable(path, errno);
    write_all(fd.get(), path, bytes);
    if (::fsync(fd.get()) != 0) throw_unwritable(path, errno);
    if (::rename(beside.c_str(), path.c_str()) != 0) throw_unwritable(path, errno);
  } catch (...) {
    ::unlink(beside.c_str());
    throw;
  }
  flush_folder(path.parent_path());
}

void write_file(const fs::path& path, std::string_view text) {
  write_file(path, std::as_bytes(std::span(text.data(), text.size())));
}

NewFolder::NewFolder(fs::path target, std::vector<std::string> own_names)
    : target_(std::move(target)), own_names_(std::move(own_names)) {
  if (!target_.has_filename()) target_ = target_.parent_path();
  std::error_code code;
  if (fs::exists(target_, code)) {
    if (!fs::is_directory(target_, code))
      throw Error(ErrorKind::storage,
                  fmt::format("{}: is a file, not a folder. Choose another name after -o.",
                              target_.string()));
    for (const auto& entry : fs::directory_iterator(target_, code)) {
      const std::string name = entry.path().filename().string();
      if (std::find(own_names_.begin(), own_names_.end(), name) == own_names_.end())
        throw Error(
            ErrorKind::storage,
            fmt::format(
                "{}: holds other files ({}). Choose an empty or new folder; nothing was changed.",
                target_.string(), name));
    }
    if (code) throw_unwritable(target_, code.value());
  }
  const fs::path parent = target_.parent_path();
  if (!parent.empty()) fs::create_directories(parent, code);
  if (code) throw_unwritable(parent, code.value());
  const std::string prefix = fmt::format(".{}.part-", target_.filename().string());
  remove_leftovers(parent, prefix);
  staging_ = parent / (prefix + writer_suffix());
  if (::mkdir(staging_.c_str(), 0777) != 0) throw_unwritable(target_, errno);
}

NewFolder::~NewFolder() {
  if (committed_) return;
  std::error_code ignored;
  fs::remove_all(staging_, ignored);
}

void NewFolder::commit() {
  flush_folder(staging_);
  std::error_code code;
  if (!fs::exists(target_, code)) {
    if (::rename(staging_.c_str(), target_.c_str()) != 0) throw_unwritable(target_, errno);
    committed_ = true;
  } else if (::renameat2(AT_FDCWD, staging_.c_str(), AT_FDCWD, target_.c_str(), RENAME_EXCHANGE) ==
             0) {
    committed_ = true;
    fs::remove_all(staging_, code);  // what was there before
  } else {
    replace_in_two_steps();
  }
  flush_folder(target_.parent_path());
}

// For file systems that cannot exchange two names at once.
void NewFolder::replace_in_two_steps() {
  const fs::path old = staging_.string() + ".old";
  if (::rename(target_.c_str(), old.c_str()) != 0) throw_unwritable(target_, errno);
  if (::rename(staging_.c_str(), target_.c_str()) != 0) {
    const int why = errno;
    if (::rename(old.c_str(), target_.c_str()) != 0) throw_unwritable(old, errno);
    throw_unwritable(target_, why);
  }
  committed_ = true;
  std::error_code ignored;
  fs::remove_all(old, ignored);
}

}  // namespace verdigrid
