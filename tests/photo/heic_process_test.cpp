// The helper program may be missing, crash, hang, be silent or talk nonsense: each is one refused
// file, and never a process left behind.
#include "photo/heic_process.h"

#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <chrono>

#include "base/error.h"
#include "photo/container.h"
#include "photo/decode.h"
#include "tests/photo/pictures.h"
#include "tests/process.h"

using namespace verdigrid;
using namespace verdigrid::testing;

namespace {

// A stand-in for the helper: a shell script.
class Script {
 public:
  explicit Script(const std::string& text) : path_(folder_.path() / "helper") {
    write_file(path_, "#!/bin/sh\n" + text + "\n");
    REQUIRE(::chmod(path_.c_str(), 0755) == 0);
  }
  const std::filesystem::path& path() const { return path_; }

 private:
  test::TemporaryFolder folder_;
  std::filesystem::path path_;
};

std::string refusal(const std::string& script,
                    std::chrono::milliseconds limit = std::chrono::seconds(20)) {
  const Script helper(script);
  try {
    heic_reply(Bytes(100), {.helper = helper.path(), .time_limit = limit});
  } catch (const ContainerFault& fault) {
    return fault.what();
  }
  return "accepted";
}

bool has_children() { return ::waitpid(-1, nullptr, WNOHANG) >= 0; }

}  // namespace

TEST_CASE("a helper that breaks down is a refused file", "[photo]") {
  CHECK_THAT(refusal("kill -SEGV $$"), Catch::Contains("broke down (signal 11)"));
  CHECK_THAT(refusal("exit 3"), Catch::Contains("gave no answer"));
  CHECK_THAT(refusal("printf VGHEIC01"), Catch::Contains("gave no answer"));
  CHECK_THAT(refusal("head -c 100000 /dev/zero"), Catch::Contains("no sensible answer"));
  CHECK_FALSE(has_children());
}

TEST_CASE("a helper that hangs is stopped", "[photo]") {
  CHECK_THAT(refusal("exec sleep 600", std::chrono::milliseconds(200)),
             Catch::Contains("took too long"));
  CHECK_FALSE(has_children());
}

TEST_CASE("an answer larger than the limit is refused before memory is taken", "[photo]") {
  const test::TemporaryFolder folder;
  HeicAnswer answer;
  answer.status = HeicStatus::decoded;
  answer.width_px = answer.height_px = 60'000;
  Bytes bytes;
  append(bytes, &answer, sizeof answer);
  write_file(folder.path() / "answer", bytes);
  const std::string cat = "cat " + (folder.path() / "answer").string();
  CHECK_THAT(refusal(cat), Catch::Contains("impossible size"));
  answer.width_px = answer.height_px = 10;
  bytes.clear();
  append(bytes, &answer, sizeof answer);
  write_file(folder.path() / "answer", bytes);
  CHECK_THAT(refusal(cat), Catch::Contains("stopped half-way"));
}

TEST_CASE("a missing helper is said, with the way out", "[photo]") {
  const Bytes file = heic_file(drawn_rgb({64, 64}));
  CHECK_THROWS_WITH(decode_photo(file, "a.heic", {.heic_helper = "/nowhere/verdigrid-heic"}),
                    Catch::StartsWith("a.heic: is a HEIC photo, and the program verdigrid-heic") &&
                        Catch::EndsWith("Export the photo as JPEG, or install verdigrid anew."));
}

TEST_CASE("the helper itself refuses what is no HEIC, and says who it is", "[photo]") {
  const auto helper = heic_helper_path({});
  CHECK_THROWS_AS(heic_reply(Bytes(100), {.helper = helper}), ContainerFault);
  const test::Outcome outcome = test::run({helper.string()});
  CHECK(outcome.code == 2);
  CHECK(outcome.out.empty());
  CHECK_THAT(outcome.err, Catch::Contains("is started by verdigrid"));
}
