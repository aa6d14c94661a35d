// Every documented refusal: one sentence, the right exit code, nothing lost and nothing
// half-written.

#include <sched.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/stat.h>

#include <catch2/catch.hpp>
#include <set>

#include "tests/cli/drawn_board.h"
#include "tests/process.h"

using namespace verdigrid;
using test::Crusts;
namespace fs = std::filesystem;

namespace {

constexpr int k_nobody = 65534;

std::vector<std::string> command_line(std::vector<std::string> arguments) {
  if (arguments[0] == "survey")  // with the detector that takes no model and little time
    arguments.insert(arguments.begin() + 1, {"--detector", "first-method"});
  arguments.insert(arguments.begin(), VERDIGRID_PROGRAM);
  return arguments;
}

bool is_one_line(const std::string& text) {
  return !text.empty() && text.find('\n') == text.size() - 1;
}

void check_refused(const test::Outcome& ran, int code, const std::string& word) {
  CAPTURE(ran.err, ran.out);
  CHECK(ran.code == code);
  CHECK(ran.out.empty());
  CHECK(is_one_line(ran.err));
  CHECK(ran.err.starts_with("verdigrid: "));
  CHECK(ran.err.find(word) != std::string::npos);
}

// Names beside the photo, hidden ones too.
std::set<std::string> others_in(const fs::path& folder) {
  std::set<std::string> names;
  for (const auto& entry : fs::directory_iterator(folder))
    if (entry.path().filename() != "board.png") names.insert(entry.path().filename().string());
  return names;
}

// Until the hidden folder of a survey under way is there; empty when the program ended before.
fs::path staging_in(const fs::path& folder) {
  for (int i = 0; i < 200000; ++i) {
    for (const auto& entry : fs::directory_iterator(folder))
      if (entry.path().filename().string().starts_with(".out.part-")) return entry.path();
    ::sched_yield();
  }
  return {};
}

}  // namespace

TEST_CASE("what is no photo is refused as bad input", "[cli]") {
  const test::TemporaryFolder t;
  const fs::path whole = test::write_board(t.path() / "whole.png", Crusts::none);
  const std::string bytes = test::text_of(whole);
  write_file(t.path() / "empty.jpg", "");
  write_file(t.path() / "text.jpg", "This is a letter, not a photo.\n");
  write_file(t.path() / "cut.png", bytes.substr(0, bytes.size() / 2));
  std::string flipped = bytes;
  flipped[flipped.size() / 2] = static_cast<char>(flipped[flipped.size() / 2] ^ 0x10);
  write_file(t.path() / "flipped.png", flipped);
  fs::create_directory(t.path() / "folder.jpg");
  for (const char* name :
       {"empty.jpg", "text.jpg", "cut.png", "flipped.png", "folder.jpg", "missing.jpg"}) {
    CAPTURE(name);
    for (const char* command : {"survey", "check"})
      check_refused(test::run(command_line({command, (t.path() / name).string()})), 3, name);
  }
  check_refused(test::run(command_line({"survey", whole.string(), "--pixel-limit", "0.1"})), 3,
                "whole.png");
}

TEST_CASE("a refused photo leaves no folder behind", "[cli]") {
  const test::TemporaryFolder t;
  const fs::path out = t.path() / "out";
  check_refused(
      test::run(command_line({"survey", (t.path() / "missing.jpg").string(), "-o", out.string()})),
      3, "missing.jpg");
  CHECK(others_in(t.path()).empty());
}

TEST_CASE("files that are no rectification or lens are refused as bad input", "[cli]") {
  const test::TemporaryFolder t;
  const fs::path photo = test::write_board(t.path() / "board.png", Crusts::none, 3);
  write_file(t.path() / "text.json", "{\"format\": \"letter\"}");
  for (const char* option : {"--rectification", "--lens"}) {
    CAPTURE(option);
    check_refused(test::run(command_line(
                      {"survey", photo.string(), option, (t.path() / "text.json").string()})),
                  3, "text.json");
    check_refused(test::run(command_line(
                      {"survey", photo.string(), option, (t.path() / "none.json").string()})),
                  3, "none.json");
  }
}

TEST_CASE("a way to a scale that finds nothing ends without a result", "[cli]") {
  const test::TemporaryFolder t;
  const fs::path desk = t.path() / "desk.png";
  cv::Mat pixels(300, 400, CV_8UC3, cv::Scalar(128, 128, 128));
  cv::randn(pixels, cv::Scalar::all(128), cv::Scalar::all(3));
  write_file(desk, png_bytes(pixels));
  check_refused(test::run(command_line({"survey", desk.string(), "--board-mm", test::k_board_mm})),
                5, "");
  check_refused(test::run(command_line({"survey", desk.string(), "--card"})), 5, "card");
  check_refused(test::run(command_line({"lens", desk.string(), desk.string(), "-o",
                                        (t.path() / "lens.json").string()})),
                5, "chessboard");
  CHECK_FALSE(fs::exists(t.path() / "lens.json"));
}

TEST_CASE("options that do not fit together are wrong use", "[cli]") {
  const test::TemporaryFolder t;
  const fs::path photo = test::write_board(t.path() / "board.png", Crusts::none, 3);
  check_refused(test::run(command_line({"survey", photo.string(), "--rectification", photo.string(),
                                        "--board-mm", test::k_board_mm})),
                2, "--rectification");
  check_refused(
      test::run(command_line({"survey", photo.string(), "--corners", "1,1", "9,1", "9,9", "1,9"})),
      2, "");
}

TEST_CASE("a place that cannot be written is a storage error", "[cli]") {
  const test::TemporaryFolder t;
  const fs::path photo = test::write_board(t.path() / "board.png", Crusts::none, 3);
  write_file(t.path() / "file", "kept");
  check_refused(
      test::run(command_line({"survey", photo.string(), "-o", (t.path() / "file").string()})), 6,
      "file");
  check_refused(
      test::run(command_line({"survey", photo.string(), "-o", (t.path() / "file/out").string()})),
      6, "file");
  CHECK(test::text_of(t.path() / "file") == "kept");
}

TEST_CASE("a folder that may not be written to is a storage error", "[cli]") {
  const test::TemporaryFolder t;
  fs::permissions(t.path(), fs::perms(0755));
  const fs::path photo = test::write_board(t.path() / "board.png", Crusts::none, 3);
  const fs::path program = t.path() / "verdigrid";  // where an unprivileged user can read it
  fs::copy_file(VERDIGRID_PROGRAM, program);
  fs::create_directory(t.path() / "closed");
  fs::permissions(t.path() / "closed", fs::perms(0555));
  const auto become_nobody = [] {
    if (::getuid() != 0) return;
    if (::setgid(k_nobody) != 0 || ::setuid(k_nobody) != 0) ::_exit(126);
  };
  check_refused(test::run({program.string(), "survey", "--detector", "first-method", photo.string(),
                           "-o", (t.path() / "closed" / "out").string()},
                          become_nobody),
                6, "closed");
  CHECK(fs::is_empty(t.path() / "closed"));
  const fs::path secret = test::write_board(t.path() / "secret.png", Crusts::none, 3);
  fs::permissions(secret, fs::perms(0));
  if (::getuid() == 0 || ::access(secret.c_str(), R_OK) != 0)
    check_refused(test::run({program.string(), "survey", secret.string()}, become_nobody), 3,
                  "secret.png");
}

TEST_CASE("a file size limit that is met while writing leaves nothing behind", "[cli]") {
  const test::TemporaryFolder t;
  const fs::path photo = test::write_board(t.path() / "board.png", Crusts::some, 4);
  const auto limited = [] {
    ::signal(SIGXFSZ, SIG_IGN);
    const rlimit limit{20000, 20000};
    ::setrlimit(RLIMIT_FSIZE, &limit);
  };
  const test::Outcome ran = test::run(
      command_line({"survey", photo.string(), "-o", (t.path() / "out").string()}), limited);
  check_refused(ran, 6, "out");
  CHECK(others_in(t.path()).empty());
}

TEST_CASE("a full disk is a storage error and leaves nothing behind", "[cli]") {
  const test::TemporaryFolder t;
  const fs::path photo = test::write_board(t.path() / "board.png", Crusts::some, 4);
  const fs::path disk = t.path() / "disk";
  fs::create_directory(disk);
  constexpr int k_no_mount = 77;
  // The small disk exists only for the child and ends with it; a second program lists it.
  const auto with_small_disk = [&disk] {
    if (::unshare(CLONE_NEWNS) != 0 ||
        ::mount(nullptr, "/", nullptr, MS_REC | MS_PRIVATE, nullptr) != 0 ||
        ::mount("tmpfs", disk.c_str(), "tmpfs", 0, "size=96k") != 0)
      ::_exit(k_no_mount);
  };
  const std::string script =
      "\"$1\" survey --detector first-method \"$2\" -o \"$3/out\"; code=$?; ls -A \"$3\"; exit "
      "$code";
  const test::Outcome ran =
      test::run({"sh", "-c", script, "sh", VERDIGRID_PROGRAM, photo.string(), disk.string()},
                with_small_disk);
  if (ran.code == k_no_mount) {
    WARN("this machine lets no test mount a small disk; the file size limit is tested instead");
    SUCCEED();
    return;
  }
  check_refused(ran, 6, "out");
}

TEST_CASE("standard output that is full is a storage error", "[cli]") {
  const test::TemporaryFolder t;
  const fs::path photo = test::write_board(t.path() / "board.png", Crusts::none, 3);
  const auto to_full_device = [] { ::dup2(::open("/dev/full", O_WRONLY), 1); };
  check_refused(test::run(command_line({"survey", photo.string(), "--json"}), to_full_device), 6,
                "output");
}

TEST_CASE("an interrupted survey ends with 130 and leaves nothing behind", "[cli][slow]") {
  const test::TemporaryFolder t;
  const fs::path photo = test::write_board(t.path() / "board.png", Crusts::some, 30);
  const int signal = GENERATE(SIGINT, SIGTERM);
  test::Process survey(command_line({"survey", photo.string(), "-o", (t.path() / "out").string()}));
  REQUIRE_FALSE(staging_in(t.path()).empty());
  survey.send(signal);
  check_refused(survey.wait(), 130, "Stopped");
  CHECK(others_in(t.path()).empty());
}

TEST_CASE("a killed survey leaves no result, and the next one removes its traces", "[cli][slow]") {
  const test::TemporaryFolder t;
  const fs::path photo = test::write_board(t.path() / "board.png", Crusts::some, 30);
  const auto command = command_line({"survey", photo.string(), "-o", (t.path() / "out").string()});
  test::Process survey(command);
  REQUIRE_FALSE(staging_in(t.path()).empty());
  survey.send(SIGKILL);
  CHECK(survey.wait().signal == SIGKILL);
  CHECK_FALSE(fs::exists(t.path() / "out"));
  test::write_board(t.path() / "board.png", Crusts::some, 3);
  REQUIRE(test::run(command).code == 0);
  CHECK(others_in(t.path()) == std::set<std::string>{"out"});
}
