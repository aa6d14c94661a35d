#include "jobbook/person.h"

#include <catch2/catch.hpp>
#include <cstdlib>

#include "base/error.h"
#include "tests/jobbook/scratch.h"

using namespace verdigrid;

TEST_CASE("a name is kept once and comes back, an empty one is refused") {
  const Scratch s;
  CHECK_FALSE(person_name(s.folder / "settings"));
  keep_person_name("M. Müster", s.folder / "settings");
  CHECK(person_name(s.folder / "settings") == "M. Müster");
  CHECK_THROWS_AS(keep_person_name("  ", s.folder / "settings"), Error);
  CHECK_THROWS_AS(keep_person_name("M.", {}), Error);
}

// XDG Base Directory Specification 0.8: a relative path is to be ignored.
TEST_CASE("settings and data lie in the XDG folders") {
  ::setenv("XDG_CONFIG_HOME", "/somewhere/conf", 1);
  ::setenv("XDG_DATA_HOME", "relative", 1);
  const char* home = std::getenv("HOME");
  const std::string kept = home ? home : "";
  ::setenv("HOME", "/home/tester", 1);
  CHECK(settings_folder() == "/somewhere/conf/verdigrid");
  CHECK(data_folder() == "/home/tester/.local/share/verdigrid");
  ::unsetenv("XDG_CONFIG_HOME");
  ::unsetenv("XDG_DATA_HOME");
  ::setenv("HOME", kept.c_str(), 1);
}
