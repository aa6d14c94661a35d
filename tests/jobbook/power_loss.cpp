#include "tests/jobbook/power_loss.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

#include <cerrno>
#include <cstdarg>
#include <cstring>
#include <fstream>
#include <map>
#include <mutex>
#include <random>
#include <string>
#include <vector>

namespace fs = std::filesystem;

namespace {

constexpr size_t k_sector_bytes = 512;

struct Write {
  off_t at;
  std::string bytes;
  bool truncates;  // sets the length to `at`
};

struct Content {              // of one inode
  std::string safe;           // what is on the disk for sure
  std::vector<Write> unsafe;  // in order
};

struct Naming {  // a change of a folder that was not synced
  enum Kind { made, renamed, removed } kind;
  std::string name, other;  // renamed: other -> name
  std::string kept;         // hard link to what stood at `name` before, empty for nothing
};

struct State {
  std::mutex lock;
  std::string folder;  // empty: nothing watched
  std::string shelf;   // hard links live here
  std::mt19937 random;
  int calls_left = 0;
  bool failed = false;
  int links = 0;
  std::map<ino_t, Content> contents;
  std::vector<Naming> namings;
};

State& state() {
  static State* s = new State;  // outlives every static destructor that still writes
  return *s;
}

bool is_watched(const char* path) {
  const std::string& folder = state().folder;
  return !folder.empty() && std::strncmp(path, folder.c_str(), folder.size()) == 0 &&
         !std::strstr(path, "-shm");
}

std::string path_of(int fd) {
  char target[4096];
  const ssize_t n =
      ::readlink(("/proc/self/fd/" + std::to_string(fd)).c_str(), target, sizeof target - 1);
  return n > 0 ? std::string(target, static_cast<size_t>(n)) : std::string();
}

bool is_watched(int fd) { return !state().folder.empty() && is_watched(path_of(fd).c_str()); }

std::string bytes_of(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

Content& content_of(int fd) {
  struct stat info {};
  ::fstat(fd, &info);
  auto [at, fresh] = state().contents.try_emplace(info.st_ino);
  if (fresh) at->second.safe = bytes_of(path_of(fd));
  return at->second;
}

// Counts a changing call; true when the power is gone.
bool is_cut() {
  State& s = state();
  if (!s.failed && --s.calls_left <= 0) s.failed = true;
  if (s.failed) errno = EIO;
  return s.failed;
}

std::string keep(const std::string& path) {
  State& s = state();
  const std::string link = s.shelf + "/" + std::to_string(s.links++);
  return ::link(path.c_str(), link.c_str()) == 0 ? link : std::string();
}

void apply(std::string& bytes, const Write& w, std::mt19937& random) {
  const auto at = static_cast<size_t>(w.at);
  if (w.truncates) {
    if (random() % 2) bytes.resize(at);
    return;
  }
  for (size_t i = 0; i < w.bytes.size(); i += k_sector_bytes) {
    if (random() % 2) continue;
    const size_t n = std::min(k_sector_bytes, w.bytes.size() - i);
    if (bytes.size() < at + i + n) bytes.resize(at + i + n);
    bytes.replace(at + i, n, w.bytes, i, n);
  }
}

void take_back(const Naming& n) {
  const auto real_unlink = [](const std::string& p) { ::syscall(SYS_unlink, p.c_str()); };
  if (n.kind == Naming::made) real_unlink(n.name);
  if (n.kind == Naming::renamed) ::syscall(SYS_rename, n.name.c_str(), n.other.c_str());
  if (!n.kept.empty()) ::syscall(SYS_rename, n.kept.c_str(), n.name.c_str());
}

}  // namespace

namespace power {

void watch(const fs::path& folder, unsigned seed, int calls) {
  State& s = state();
  const std::lock_guard guard(s.lock);
  s.shelf = folder.string() + ".shelf";
  fs::create_directories(s.shelf);
  s.random.seed(seed);
  s.calls_left = calls;
  s.failed = false;
  s.contents.clear();
  s.namings.clear();
  s.folder = folder.string();
}

bool has_failed() { return state().failed; }

void restore_after_cut() {
  State& s = state();
  const std::lock_guard guard(s.lock);
  s.folder.clear();
  const size_t reached = s.namings.empty() ? 0 : s.random() % (s.namings.size() + 1);
  for (size_t i = s.namings.size(); i > reached; --i) take_back(s.namings[i - 1]);
  const std::string root = s.shelf.substr(0, s.shelf.size() - std::strlen(".shelf"));
  for (const auto& entry : fs::recursive_directory_iterator(root)) {
    struct stat info {};
    if (!entry.is_regular_file() || ::stat(entry.path().c_str(), &info) != 0) continue;
    const auto at = s.contents.find(info.st_ino);
    if (at == s.contents.end()) continue;
    std::string bytes = at->second.safe;
    for (const Write& w : at->second.unsafe) apply(bytes, w, s.random);
    std::ofstream(entry.path(), std::ios::binary | std::ios::trunc) << bytes;
    s.contents.erase(at);
  }
  std::vector<fs::path> shared_memory;  // lives in memory only
  for (const auto& entry : fs::recursive_directory_iterator(root))
    if (entry.path().string().ends_with("-shm")) shared_memory.push_back(entry.path());
  for (const auto& path : shared_memory) fs::remove(path);
  fs::remove_all(s.shelf);
}

}  // namespace power

// The calls themselves. Names and signatures are those of POSIX; the real work is done by the
// system call.
extern "C" {

ssize_t pwrite(int fd, const void* bytes, size_t count, off_t at) {
  if (is_watched(fd)) {
    const std::lock_guard guard(state().lock);
    if (is_cut()) return -1;
    content_of(fd).unsafe.push_back(
        {at, std::string(static_cast<const char*>(bytes), count), false});
  }
  return ::syscall(SYS_pwrite64, fd, bytes, count, at);
}

ssize_t pwrite64(int fd, const void* bytes, size_t count, off_t at) {
  return pwrite(fd, bytes, count, at);
}

ssize_t write(int fd, const void* bytes, size_t count) {
  if (is_watched(fd)) {
    const std::lock_guard guard(state().lock);
    if (is_cut()) return -1;
    content_of(fd).unsafe.push_back(
        {::lseek(fd, 0, SEEK_CUR), std::string(static_cast<const char*>(bytes), count), false});
  }
  return ::syscall(SYS_write, fd, bytes, count);
}

int ftruncate(int fd, off_t length) noexcept {
  if (is_watched(fd)) {
    const std::lock_guard guard(state().lock);
    if (is_cut()) return -1;
    content_of(fd).unsafe.push_back({length, {}, true});
  }
  return static_cast<int>(::syscall(SYS_ftruncate, fd, length));
}

int ftruncate64(int fd, off_t length) noexcept { return ftruncate(fd, length); }

int fsync(int fd) {
  if (is_watched(fd)) {
    const std::lock_guard guard(state().lock);
    if (is_cut()) return -1;
    const std::string path = path_of(fd);
    struct stat info {};
    ::fstat(fd, &info);
    if (S_ISDIR(info.st_mode)) {
      std::erase_if(state().namings,
                    [&path](const Naming& n) { return fs::path(n.name).parent_path() == path; });
    } else {
      Content& c = content_of(fd);
      c.safe = bytes_of(path);
      c.unsafe.clear();
    }
  }
  return 0;  // the real disk need not be waited for
}

int fdatasync(int fd) { return fsync(fd); }

int rename(const char* from, const char* to) noexcept {
  if (is_watched(to)) {
    const std::lock_guard guard(state().lock);
    if (is_cut()) return -1;
    state().namings.push_back({Naming::renamed, to, from, keep(to)});
  }
  return static_cast<int>(::syscall(SYS_rename, from, to));
}

int unlink(const char* path) noexcept {
  if (is_watched(path)) {
    const std::lock_guard guard(state().lock);
    if (is_cut()) return -1;
    state().namings.push_back({Naming::removed, path, {}, keep(path)});
  }
  return static_cast<int>(::syscall(SYS_unlink, path));
}

int open(const char* path, int flags, ...) {
  mode_t mode = 0;
  if (flags & O_CREAT) {
    va_list rest;
    va_start(rest, flags);
    mode = static_cast<mode_t>(va_arg(rest, int));
    va_end(rest);
  }
  if ((flags & O_CREAT) && is_watched(path) && ::access(path, F_OK) != 0) {
    const std::lock_guard guard(state().lock);
    if (is_cut()) return -1;
    state().namings.push_back({Naming::made, path, {}, {}});
  }
  const int fd = static_cast<int>(::syscall(SYS_openat, AT_FDCWD, path, flags, mode));
  if (fd >= 0 && (flags & O_TRUNC) && is_watched(path)) {
    const std::lock_guard guard(state().lock);
    content_of(fd).unsafe.push_back({0, {}, true});
  }
  return fd;
}

int open64(const char* path, int flags, ...) {
  va_list rest;
  va_start(rest, flags);
  const mode_t mode = (flags & O_CREAT) ? static_cast<mode_t>(va_arg(rest, int)) : 0;
  va_end(rest);
  return open(path, flags, mode);
}

}  // extern "C"
