#include "base/files.h"

#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <filesystem>

#include "base/error.h"
#include "base/sha256.h"

using namespace verdigrid;
namespace fs = std::filesystem;

namespace {

struct Scratch {
  fs::path path = fs::temp_directory_path() / ("verdigrid-files-" + std::to_string(::getpid()));
  Scratch() { fs::create_directories(path); }
  ~Scratch() { fs::remove_all(path); }
};

std::string text_of(const fs::path& path) {
  const Bytes b = read_file(path, 1000);
  return {reinterpret_cast<const char*>(b.data()), b.size()};
}

}  // namespace

TEST_CASE("a written file reads back and leaves nothing beside it") {
  const Scratch s;
  write_file(s.path / "ä b.txt", "one");
  write_file(s.path / "ä b.txt", "two");
  CHECK(text_of(s.path / "ä b.txt") == "two");
  CHECK(std::distance(fs::directory_iterator(s.path), fs::directory_iterator()) == 1);
}

TEST_CASE("what cannot be read is refused in words") {
  const Scratch s;
  CHECK_THROWS_WITH(read_file(s.path / "none", 10), Catch::Contains("none: cannot be read"));
  CHECK_THROWS_WITH(read_file(s.path, 10), Catch::Contains("is a folder"));
  CHECK_THROWS_WITH(read_file("/dev/null", 10), Catch::Contains("not a regular file"));
  write_file(s.path / "long", "12345678901");
  CHECK_THROWS_WITH(read_file(s.path / "long", 10), Catch::Contains("more than the limit"));
}

TEST_CASE("a folder appears whole or not at all") {
  const Scratch s;
  const fs::path target = s.path / "out";
  {
    NewFolder folder(target, {"a.txt"});
    write_file(folder.path() / "a.txt", "1");
  }
  CHECK_FALSE(fs::exists(target));
  for (const char* text : {"1", "2"}) {
    NewFolder folder(target, {"a.txt"});
    write_file(folder.path() / "a.txt", text);
    folder.commit();
    CHECK(text_of(target / "a.txt") == text);
  }
  write_file(target / "mine.doc", "keep");
  CHECK_THROWS_WITH(NewFolder(target, {"a.txt"}), Catch::Contains("holds other files"));
  CHECK(text_of(target / "mine.doc") == "keep");
  CHECK(std::distance(fs::directory_iterator(s.path), fs::directory_iterator()) == 1);
}

// FIPS 180-4 example: the one-block message "abc".
TEST_CASE("SHA-256 of abc is the published digest") {
  const std::string abc = "abc";
  CHECK(sha256_hex(std::as_bytes(std::span(abc))) ==
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
}

TEST_CASE("a folder left over by a killed process is removed, one of a living process is not") {
  const Scratch s;
  const pid_t child = ::fork();
  if (child == 0) ::_exit(0);
  ::waitpid(child, nullptr, 0);
  const fs::path dead = s.path / (".survey.part-" + std::to_string(child) + "-0");
  const fs::path alive = s.path / (".survey.part-" + std::to_string(::getppid()) + "-0");
  const fs::path foreign = s.path / ".survey.part-notes";
  for (const fs::path& p : {dead, alive, foreign}) fs::create_directories(p / "inside");
  { const NewFolder folder(s.path / "survey", {}); }
  CHECK_FALSE(fs::exists(dead));
  CHECK(fs::exists(alive));
  CHECK(fs::exists(foreign));
}

TEST_CASE("an older result of the same kind is exchanged for the new one") {
  const Scratch s;
  for (const char* text : {"old", "new"}) {
    NewFolder folder(s.path / "survey", {"a.txt"});
    write_file(folder.path() / "a.txt", text);
    folder.commit();
  }
  CHECK(text_of(s.path / "survey" / "a.txt") == "new");
  CHECK(std::distance(fs::directory_iterator(s.path), fs::directory_iterator()) == 1);
}

TEST_CASE("two writers of one folder in one process never share a file") {
  const Scratch s;
  auto first = std::make_unique<NewFolder>(s.path / "survey", std::vector<std::string>{"a.txt"});
  write_file(first->path() / "a.txt", "first");
  NewFolder second(s.path / "survey", {"a.txt"});
  write_file(second.path() / "a.txt", "second");
  first.reset();  // overtaken: given up while the other still writes
  second.commit();
  CHECK(text_of(s.path / "survey" / "a.txt") == "second");
  CHECK(std::distance(fs::directory_iterator(s.path), fs::directory_iterator()) == 1);
}
