#include <poll.h>
#include <sched.h>
#include <signal.h>
#include <sys/mount.h>
#include <sys/wait.h>

#include <catch2/catch.hpp>
#include <chrono>
#include <fstream>
#include <random>
#include <thread>

#include "base/error.h"
#include "tests/jobbook/scratch.h"

using namespace verdigrid;
using nlohmann::json;
namespace fs = std::filesystem;

namespace {

constexpr int k_kills = 500;

// Writes records and photos for ever, and says each on the pipe only after the job book has said it
// is done.
[[noreturn]] void write_for_ever(const fs::path& folder, int pipe) {
  JobBookOptions options;
  options.who = "writer";
  JobBook book = JobBook::open(folder, options);
  for (int i = 0;; ++i) {
    const std::string sha =
        book.add_file(bytes_of("photo " + std::to_string(::getpid()) + "/" + std::to_string(i)));
    const std::string id = book.put("photo", {"", "photo", {}, json{{"sha256", sha}}}) + "\n";
    if (::write(pipe, id.data(), id.size()) < 0) ::_exit(1);
  }
}

// A writer in its own process, and the end of the pipe on which it says what is done.
struct Writer {
  pid_t pid;
  int said;
};

Writer started_writer(const fs::path& folder) {
  int ends[2];
  REQUIRE(::pipe(ends) == 0);
  const pid_t pid = ::fork();
  if (pid == 0) {
    ::close(ends[0]);
    write_for_ever(folder, ends[1]);
  }
  ::close(ends[1]);
  return {pid, ends[0]};
}

// What it had said by then.
std::vector<std::string> acknowledged_when_killed(const Writer& writer) {
  ::kill(writer.pid, SIGKILL);
  ::waitpid(writer.pid, nullptr, 0);
  std::string text;
  char part[4096];
  for (ssize_t n; (n = ::read(writer.said, part, sizeof part)) > 0;)
    text.append(part, static_cast<size_t>(n));
  ::close(writer.said);
  std::vector<std::string> ids;
  for (size_t from = 0, to; (to = text.find('\n', from)) != std::string::npos; from = to + 1)
    ids.push_back(text.substr(from, to - from));
  return ids;
}

// How long a writer takes here until its first record is done, us.
int first_record_us(const fs::path& folder) {
  const auto begin = std::chrono::steady_clock::now();
  const Writer writer = started_writer(folder);
  pollfd readable{writer.said, POLLIN, 0};
  REQUIRE(::poll(&readable, 1, 60'000) == 1);
  const auto took = std::chrono::steady_clock::now() - begin;
  acknowledged_when_killed(writer);
  return static_cast<int>(std::chrono::duration_cast<std::chrono::microseconds>(took).count());
}

// Runs `body` in a child process and gives its exit code; an Error becomes its own exit code with
// the sentence written to `said`.
template <class Body>
int exit_code_of_child(const fs::path& said, Body body) {
  const pid_t child = ::fork();
  if (child == 0) {
    try {
      body();
      ::_exit(0);
    } catch (const Error& e) {
      std::ofstream(said) << e.what();
      ::_exit(e.exit_code());
    } catch (...) {
      ::_exit(99);
    }
  }
  int status = 0;
  ::waitpid(child, &status, 0);
  return WIFEXITED(status) ? WEXITSTATUS(status) : 98;
}

std::string text_of(const fs::path& path) {
  std::ifstream in(path);
  return {std::istreambuf_iterator<char>(in), {}};
}

}  // namespace

TEST_CASE("a writer killed at 500 random moments loses nothing that was acknowledged", "[slow]") {
  const Scratch s;
  { JobBook::create(s.book(), fixed_options()); }
  // Within the start and the first few records, however slow the machine is.
  std::uniform_int_distribution<int> moment_us(0, 4 * first_record_us(s.book()));
  std::mt19937 random(7);
  size_t acknowledged = 0;
  for (int i = 0; i < k_kills; ++i) {
    const Writer writer = started_writer(s.book());
    std::this_thread::sleep_for(std::chrono::microseconds(moment_us(random)));
    const auto ids = acknowledged_when_killed(writer);
    const JobBook book = JobBook::open(s.book(), fixed_options());
    for (const std::string& id : ids) REQUIRE(book.find(id));
    acknowledged += ids.size();
  }
  const JobBook book = JobBook::open(s.book(), fixed_options());
  const auto faults = book.faults();
  if (!faults.empty()) FAIL(faults[0].what);
  CHECK(acknowledged > 100);  // or nothing was tried
}

TEST_CASE("a full disk gives a clear error, exit code 6 and an intact job book") {
  const Scratch s;
  const fs::path small = s.folder / "small", said = s.folder / "said";
  fs::create_directory(small);
  const int code = exit_code_of_child(said, [&] {
    if (::unshare(CLONE_NEWNS | (::geteuid() == 0 ? 0 : CLONE_NEWUSER)) != 0) ::_exit(97);
    if (::mount("none", "/", nullptr, MS_REC | MS_PRIVATE, nullptr) != 0) ::_exit(96);
    if (::mount("tmpfs", small.c_str(), "tmpfs", 0, "size=2m") != 0) ::_exit(95);
    JobBook book = JobBook::create(small / "book", fixed_options());
    std::vector<std::string> ids;
    std::string why;
    try {
      for (int i = 0;; ++i) {
        const std::string sha =
            book.add_file(bytes_of(std::string(50000, 'p') + std::to_string(i)));
        ids.push_back(book.put("photo", {"", "photo", {}, json{{"sha256", sha}}}));
      }
    } catch (const Error& e) {
      why = e.what();
      if (e.kind() != ErrorKind::storage) throw;
    }
    for (const std::string& id : ids) book.get(id);
    if (ids.size() < 5 || !book.faults().empty()) ::_exit(94);
    throw Error(ErrorKind::storage, why);
  });
  CHECK(code == 6);
  CHECK_THAT(text_of(said),
             Catch::Contains("Free some space") || Catch::Contains("free some space"));
}

TEST_CASE("a read-only folder gives a clear error, exit code 6 and an intact job book") {
  const Scratch s;
  std::string id;
  {
    JobBook book = JobBook::create(s.book(), fixed_options());
    id = book.put("received", {"", "unit", {}, json{{"name", "a"}, {"state", "received"}}});
  }
  const fs::path said = s.folder / "said";
  std::ofstream(said).close();
  fs::permissions(said, fs::perms::all);
  fs::permissions(s.folder, fs::perms::owner_all | fs::perms::others_read | fs::perms::others_exec |
                                fs::perms::group_read | fs::perms::group_exec);
  fs::permissions(s.book() / "job-book.sqlite",
                  fs::perms::owner_read | fs::perms::others_read | fs::perms::group_read);
  fs::permissions(s.book(), fs::perms::owner_read | fs::perms::owner_exec | fs::perms::others_read |
                                fs::perms::others_exec);
  const int code = exit_code_of_child(said, [&] {
    constexpr uid_t nobody = 65534;
    if (::geteuid() == 0 && (::setgid(nobody) != 0 || ::setuid(nobody) != 0)) ::_exit(97);
    JobBook book = JobBook::open(s.book(), fixed_options());
    book.put("received", {"", "unit", {}, json{{"name", "b"}, {"state", "received"}}});
  });
  fs::permissions(s.book(), fs::perms::owner_all);
  fs::permissions(s.book() / "job-book.sqlite", fs::perms::owner_read | fs::perms::owner_write);
  CHECK(code == 6);
  CHECK_THAT(text_of(said), Catch::Contains("job book"));
  const JobBook book = JobBook::open(s.book(), fixed_options());
  CHECK(book.get(id).body.at("name") == "a");
  CHECK(book.faults().empty());
}
