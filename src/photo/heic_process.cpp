#include "photo/heic_process.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <poll.h>
#include <spawn.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <csignal>
#include <cstring>
#include <system_error>

#include "photo/container.h"

namespace verdigrid {

namespace {

namespace fs = std::filesystem;
using Clock = std::chrono::steady_clock;

class Descriptor {
 public:
  explicit Descriptor(int fd = -1) : fd_(fd) {}
  ~Descriptor() { reset(); }
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  int get() const { return fd_; }
  void reset(int fd = -1) {
    if (fd_ >= 0) ::close(fd_);
    fd_ = fd;
  }

 private:
  int fd_;
};

[[noreturn]] void fault_start(int code) {
  throw ContainerFault(fmt::format(
      "is a HEIC photo, and the program that reads it could not be started ({}). Export the photo "
      "as JPEG, or install verdigrid anew.",
      std::strerror(code)));
}

[[noreturn]] void fault_answer(const std::string& what) {
  throw ContainerFault(fmt::format(
      "is a HEIC photo on which its decoder {}. Copy it again from the camera, or export it as "
      "JPEG.",
      what));
}

// The file as a descriptor that any process can read at its own pace: no pipe to fill, no signal
// when the helper dies early.
void fill_memory_file(const Descriptor& file, std::span<const std::byte> bytes) {
  if (file.get() < 0) fault_start(errno);
  while (!bytes.empty()) {
    const ssize_t n = ::write(file.get(), bytes.data(), bytes.size());
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) fault_start(errno);
    bytes = bytes.subspan(static_cast<size_t>(n));
  }
  if (::lseek(file.get(), 0, SEEK_SET) != 0) fault_start(errno);
}

// A started helper: killed and waited for when the reply is left half-way.
class Child {
 public:
  Child(const HeicRun& run, int input, int output) {
    std::string program = run.helper.string(), limit = fmt::format("{:.6f}", run.limit_mp);
    std::array<char*, 3> arguments{program.data(), limit.data(), nullptr};
    posix_spawn_file_actions_t actions;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_adddup2(&actions, input, STDIN_FILENO);
    posix_spawn_file_actions_adddup2(&actions, output, STDOUT_FILENO);
    posix_spawn_file_actions_addopen(&actions, STDERR_FILENO, "/dev/null", O_WRONLY, 0);
    const int code =
        ::posix_spawn(&pid_, program.c_str(), &actions, nullptr, arguments.data(), environ);
    posix_spawn_file_actions_destroy(&actions);
    if (code != 0) fault_start(code);
  }
  ~Child() {
    if (pid_ <= 0) return;
    ::kill(pid_, SIGKILL);
    status();
  }
  Child(const Child&) = delete;
  Child& operator=(const Child&) = delete;

  int status() {
    int value = 0;
    while (::waitpid(pid_, &value, 0) < 0 && errno == EINTR) {
    }
    pid_ = -1;
    return value;
  }

 private:
  pid_t pid_ = -1;
};

// Reads exactly `count` bytes; false when the helper closed its end first.
bool read_exactly(int fd, void* to, size_t count, Clock::time_point deadline) {
  char* at = static_cast<char*>(to);
  while (count > 0) {
    const auto left =
        std::chrono::duration_cast<std::chrono::milliseconds>(deadline - Clock::now());
    if (left.count() <= 0) fault_answer("took too long");
    pollfd wait{fd, POLLIN, 0};
    const int ready = ::poll(&wait, 1, static_cast<int>(left.count()));
    if (ready <= 0) continue;
    const ssize_t n = ::read(fd, at, count);
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) return false;
    at += n;
    count -= static_cast<size_t>(n);
  }
  return true;
}

Bytes read_block(int fd, std::uint64_t count, Clock::time_point deadline) {
  Bytes block(count);
  if (!read_exactly(fd, block.data(), block.size(), deadline)) fault_answer("stopped half-way");
  return block;
}

void check_answer(const HeicAnswer& answer, const HeicRun& run) {
  const bool is_sane = answer.magic == k_heic_magic && answer.text_bytes <= 4096 &&
                       answer.icc_bytes <= k_metadata_limit_bytes &&
                       answer.exif_bytes <= k_metadata_limit_bytes &&
                       (answer.channels == 3 || answer.channels == 4) &&
                       (answer.sample_bits == 8 || answer.sample_bits == 16);
  if (!is_sane) fault_answer("gave no sensible answer");
  if (answer.status == HeicStatus::refused) return;
  const double megapixels = 1e-6 * answer.width_px * answer.height_px;
  if (!(megapixels > 0 && megapixels <= run.limit_mp)) fault_answer("gave an impossible size");
}

}  // namespace

HeicReply heic_reply(std::span<const std::byte> bytes, const HeicRun& run) {
  const Descriptor input(::memfd_create("heic", MFD_CLOEXEC));
  fill_memory_file(input, bytes);
  std::array<int, 2> ends{};
  if (::pipe2(ends.data(), O_CLOEXEC) != 0) fault_start(errno);
  const Descriptor from_helper(ends[0]);
  Descriptor to_us(ends[1]);
  Child child(run, input.get(), to_us.get());
  to_us.reset();
  const auto deadline = Clock::now() + run.time_limit;
  HeicReply reply;
  const int fd = from_helper.get();
  if (!read_exactly(fd, &reply.answer, sizeof reply.answer, deadline)) {
    const int status = child.status();
    fault_answer(WIFSIGNALED(status) ? fmt::format("broke down (signal {})", WTERMSIG(status))
                                     : std::string("gave no answer"));
  }
  check_answer(reply.answer, run);
  if (reply.answer.status == HeicStatus::refused) {
    const Bytes text = read_block(fd, reply.answer.text_bytes, deadline);
    throw ContainerFault(std::string(reinterpret_cast<const char*>(text.data()), text.size()));
  }
  reply.icc = read_block(fd, reply.answer.icc_bytes, deadline);
  reply.exif = read_block(fd, reply.answer.exif_bytes, deadline);
  const std::uint64_t samples = std::uint64_t{reply.answer.width_px} * reply.answer.height_px *
                                reply.answer.channels * (reply.answer.sample_bits / 8);
  reply.samples = read_block(fd, samples, deadline);
  child.status();
  return reply;
}

fs::path heic_helper_path(const fs::path& wanted) {
  std::error_code code;
  std::array<fs::path, 3> places{wanted, {}, {}};
  if (wanted.empty()) {
    const fs::path folder = fs::read_symlink("/proc/self/exe", code).parent_path();
    places = {
        folder / "verdigrid-heic", folder.parent_path() / "libexec/verdigrid/verdigrid-heic", {}};
  }
  for (const fs::path& place : places)
    if (!place.empty() && ::access(place.c_str(), X_OK) == 0 && !fs::is_directory(place, code))
      return place;
  throw ContainerFault(
      "is a HEIC photo, and the program verdigrid-heic that reads it is not installed beside this "
      "one. Export the photo as JPEG, or install verdigrid anew.");
}

}  // namespace verdigrid
