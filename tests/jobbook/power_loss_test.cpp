#include "tests/jobbook/power_loss.h"

#include <fcntl.h>
#include <unistd.h>

#include <catch2/catch.hpp>

#include "base/error.h"
#include "base/files.h"
#include "tests/jobbook/scratch.h"

using namespace verdigrid;
using nlohmann::json;

namespace {

constexpr int k_cuts = 200;

struct Acknowledged {
  std::vector<std::string> records, files;
};

// Works until the power fails; keeps what the job book said was done.
void work(const Scratch& s, unsigned seed, Acknowledged& done) {
  try {
    JobBook book = JobBook::open(s.book(), fixed_options());
    for (int i = 0;; ++i) {
      const std::string picture =
          std::string(1500, 'p') + std::to_string(seed) + "/" + std::to_string(i);
      const std::string sha = book.add_file(bytes_of(picture));
      done.files.push_back(sha);
      done.records.push_back(book.put(
          "photo", {"", "photo", {}, json{{"sha256", sha}, {"note", std::string(3000, 'n')}}}));
    }
  } catch (const Error& e) {
    INFO(e.what());
    REQUIRE(power::has_failed());
  }
}

}  // namespace

// The check that the check can fail: a writer that does not flush loses what it acknowledged.
TEST_CASE("a file that was not flushed is lost by the power cut") {
  int lost = 0;
  for (unsigned seed = 0; seed < 20; ++seed) {
    const Scratch s;
    power::watch(s.folder, seed, 1000);
    const int fd = ::open((s.folder / "careless").c_str(), O_WRONLY | O_CREAT, 0666);
    REQUIRE(::write(fd, "precious", 8) == 8);
    ::close(fd);
    power::restore_after_cut();
    lost += !std::filesystem::exists(s.folder / "careless") ||
            std::filesystem::file_size(s.folder / "careless") < 8;

    power::watch(s.folder, seed, 1000);
    write_file(s.folder / "careful", std::string_view("precious"));
    power::restore_after_cut();
    CHECK(read_file(s.folder / "careful", 100).size() == 8);
  }
  CHECK(lost > 5);
}

TEST_CASE("200 power cuts at random moments lose nothing that was acknowledged", "[slow]") {
  size_t acknowledged = 0;
  for (unsigned seed = 1; seed <= k_cuts; ++seed) {
    CAPTURE(seed);
    const Scratch s;
    { JobBook::create(s.book(), fixed_options()); }
    Acknowledged done;
    power::watch(s.book(), seed, static_cast<int>(3 + seed * 7919 % 400));
    work(s, seed, done);
    power::restore_after_cut();

    const JobBook book = JobBook::open(s.book(), fixed_options());
    for (const std::string& id : done.records) REQUIRE(book.find(id));
    for (const std::string& sha : done.files) REQUIRE(book.photos().is_intact(sha));
    const auto faults = book.faults();
    if (!faults.empty()) FAIL(faults[0].what);
    acknowledged += done.records.size();
  }
  CHECK(acknowledged > 2 * k_cuts);  // or nothing was tried
}
