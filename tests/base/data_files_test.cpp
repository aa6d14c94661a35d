#include "base/data_files.h"

#include <catch2/catch.hpp>

#include "base/error.h"

using namespace verdigrid;

TEST_CASE("data files are looked for in order and a missing one is named") {
  const DataFiles files(std::vector<std::filesystem::path>{"/nonexistent", VERDIGRID_SOURCE_DIR});
  CHECK(files.find("LICENSE") == std::filesystem::path(VERDIGRID_SOURCE_DIR) / "LICENSE");
  CHECK_FALSE(files.find("models"));
  CHECK_THROWS_WITH(files.get("shaders/none.frag"),
                    Catch::Contains("shaders/none.frag: not found in /nonexistent") &&
                        Catch::Contains("--data DIR"));
  CHECK(DataFiles("/extra").folders().back() == "/extra");
}
