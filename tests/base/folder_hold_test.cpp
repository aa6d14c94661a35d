#include "base/folder_hold.h"

#include <unistd.h>

#include <atomic>
#include <catch2/catch.hpp>
#include <thread>
#include <vector>

#include "base/error.h"
#include "base/files.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
namespace fs = std::filesystem;

TEST_CASE("one at a time changes the files of a folder") {
  const fs::path folder =
      fs::temp_directory_path() / ("verdigrid_hold_" + std::to_string(::getpid()));
  fs::create_directories(folder);
  const fs::path file = folder / "count";
  write_file(file, std::string_view("0"));
  std::atomic<int> inside = 0, together = 0;
  std::vector<std::thread> writers;
  for (int w = 0; w < 4; ++w)
    writers.emplace_back([&] {
      for (int i = 0; i < 25; ++i) {
        const FolderHold hold(file);
        together += ++inside > 1;
        const Bytes bytes = read_file(file, 100);
        const int count =
            std::stoi(std::string(reinterpret_cast<const char*>(bytes.data()), bytes.size()));
        write_file(file, std::to_string(count + 1));
        --inside;
      }
    });
  for (std::thread& w : writers) w.join();
  CHECK(together == 0);
  const Bytes bytes = read_file(file, 100);
  CHECK(std::string(reinterpret_cast<const char*>(bytes.data()), bytes.size()) == "100");
  CHECK(std::distance(fs::directory_iterator(folder), {}) == 1);  // it leaves nothing behind
  fs::remove_all(folder);
}

TEST_CASE("a folder that is not there cannot be held") {
  CHECK_THROWS_WITH(FolderHold("/no/such/folder/file"), Contains("/no/such/folder"));
}
