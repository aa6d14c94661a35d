// Numbers keep their decimal point when the whole process counts with a comma.

#include <catch2/catch.hpp>
#include <clocale>
#include <locale>
#include <sstream>

#include "cli/run.h"
#include "tests/cli/drawn_board.h"
#include "tests/process.h"

using namespace verdigrid;
namespace fs = std::filesystem;

namespace {

// The German locale, made by the build into its own folder (LOCPATH).
class CommaLocale {
 public:
  CommaLocale() {
    ::setenv("LOCPATH", VERDIGRID_LOCALES, 1);
    REQUIRE(std::setlocale(LC_ALL, "de_DE.UTF-8"));
    before_ = std::locale::global(std::locale("de_DE.UTF-8"));
  }
  ~CommaLocale() {
    std::locale::global(before_);
    std::setlocale(LC_ALL, "C");
  }

 private:
  std::locale before_;
};

struct Ran {
  int code;
  std::string out;
};

Ran survey_in_process(const fs::path& photo, const fs::path& out_folder) {
  std::ostringstream out, messages;
  Session session{out, messages, false, {}};
  const int code =
      run_program({"survey", "--detector", "first-method", photo.string(), "--board-mm", "160x100",
                   "--feature-mm", "0.25", "-o", out_folder.string()},
                  session);
  CAPTURE(messages.str());
  CHECK(code == 0);
  return {code, out.str()};
}

}  // namespace

TEST_CASE("a survey under a comma locale is the same to the byte", "[cli]") {
  const test::TemporaryFolder t;
  const fs::path photo = test::write_board(t.path() / "board.png", test::Crusts::some);
  const Ran plain = survey_in_process(photo, t.path() / "plain");
  std::string with_comma;
  {
    const CommaLocale comma;
    char text[16];
    std::snprintf(text, sizeof text, "%.1f", 1.5);
    REQUIRE(std::string(text) == "1,5");
    with_comma = survey_in_process(photo, t.path() / "comma").out;
  }
  CHECK(plain.out == with_comma);
  size_t files = 0;
  for (const auto& entry : fs::directory_iterator(t.path() / "plain")) {
    const fs::path name = entry.path().filename();
    CAPTURE(name);
    CHECK(test::text_of(entry.path()) == test::text_of(t.path() / "comma" / name));
    ++files;
  }
  CHECK(files == 6);
}
