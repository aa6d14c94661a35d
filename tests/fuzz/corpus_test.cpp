// The kept corpus: smallest files of every kind and those that once broke a reader. Every target
// takes or refuses each of its own with a sentence.
#include <catch2/catch.hpp>
#include <filesystem>

#include "base/error.h"
#include "base/files.h"
#include "tests/fuzz/targets.h"

using namespace verdigrid;
namespace fs = std::filesystem;

TEST_CASE("every kept file is taken or refused with a sentence") {
  for (const fuzz::Target& target : fuzz::targets()) {
    const fs::path folder = fs::path(VERDIGRID_FUZZ_CORPUS) / target.name;
    int files = 0;
    for (const auto& entry : fs::directory_iterator(folder)) {
      INFO(target.name << ": " << entry.path().filename());
      CHECK_NOTHROW(fuzz::try_input(target, read_file(entry.path(), 1 << 20)));
      ++files;
    }
    CHECK(files > 0);
  }
}

TEST_CASE("every target takes at least one of its kept files") {
  for (const fuzz::Target& target : fuzz::targets()) {
    int taken = 0;
    for (const auto& entry :
         fs::directory_iterator(fs::path(VERDIGRID_FUZZ_CORPUS) / target.name)) {
      try {
        target.read(read_file(entry.path(), 1 << 20));
        ++taken;
      } catch (const Error&) {
      }
    }
    INFO(target.name);
    CHECK(taken > 0);
  }
}
