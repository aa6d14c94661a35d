#include "tests/house/arrows.h"

#include <catch2/catch.hpp>
#include <fstream>

#include "tests/process.h"

using namespace verdigrid;
namespace fs = std::filesystem;

namespace {

const fs::path k_src = fs::path(VERDIGRID_SOURCE_DIR) / "src";

// A src folder of one file with one line.
void write(const fs::path& path, const std::string& text) {
  fs::create_directories(path.parent_path());
  std::ofstream(path) << text << '\n';
}

}  // namespace

TEST_CASE("every include follows the arrows between the folders", "[house]") {
  const auto wrong = house::wrong_includes(k_src);
  CAPTURE(wrong);
  CHECK(wrong.empty());
}

TEST_CASE("every folder links only what its arrows allow", "[house]") {
  const auto wrong = house::wrong_links(k_src);
  CAPTURE(wrong);
  CHECK(wrong.empty());
}

TEST_CASE("every source is listed by name in its folder's CMakeLists", "[house]") {
  const auto unlisted = house::unlisted_sources(k_src);
  CAPTURE(unlisted);
  CHECK(unlisted.empty());
}

TEST_CASE("no two headers define a type of one name", "[house]") {
  const auto repeated = house::repeated_types(k_src);
  CAPTURE(repeated);
  CHECK(repeated.empty());
}

TEST_CASE("a type that two headers define is caught", "[house]") {
  const test::TemporaryFolder tree;
  write(tree.path() / "photo/a.h", "struct Picture {\n  int a;\n};");
  write(tree.path() / "report/b.h", "struct Picture;\nclass Picture : public Base {\n};");
  write(tree.path() / "photo/c.h", "enum class Light { lamp };");
  write(tree.path() / "report/d.h", "enum class Light { sun };");
  CHECK(house::repeated_types(tree.path()) ==
        std::vector<std::string>{"Light in photo/c.h and report/d.h",
                                 "Picture in photo/a.h and report/b.h"});
}

TEST_CASE("every folder of src stands on the map", "[house]") {
  for (const auto& entry : fs::directory_iterator(k_src))
    if (entry.is_directory()) {
      CAPTURE(entry.path());
      CHECK(house::allowed_arrows().contains(entry.path().filename().string()));
    }
}

TEST_CASE("the arrows have no circle", "[house]") {
  for (const auto& [from, allowed] : house::allowed_arrows())
    for (const std::string& to : allowed) {
      CAPTURE(from, to);
      REQUIRE(house::allowed_arrows().contains(to));
      CHECK_FALSE(house::allowed_arrows().at(to).contains(from));
    }
}

TEST_CASE("an include against the arrows is caught", "[house]") {
  const test::TemporaryFolder tree;
  write(tree.path() / "photo/a.cpp", "#include \"measure/survey.h\"");
  write(tree.path() / "photo/b.cpp", "#include <opencv2/imgcodecs.hpp>");
  write(tree.path() / "photo/c.cpp", "#include \"base/error.h\"\n#include <opencv2/core.hpp>");
  CHECK(house::wrong_includes(tree.path()) ==
        std::vector<std::string>{"photo/a.cpp includes from measure",
                                 "photo/b.cpp includes <opencv2/imgcodecs.hpp>"});
}

TEST_CASE("a link against the arrows and a forgotten source are caught", "[house]") {
  const test::TemporaryFolder tree;
  write(tree.path() / "photo/CMakeLists.txt",
        "verdigrid_folder(photo SOURCES a.cpp PUBLIC verdigrid_base verdigrid_report)");
  write(tree.path() / "photo/a.cpp", "");
  write(tree.path() / "photo/extra.cpp", "");
  CHECK(house::wrong_links(tree.path()) ==
        std::vector<std::string>{"photo links verdigrid_report"});
  CHECK(house::unlisted_sources(tree.path()) == std::vector<std::string>{"photo/extra.cpp"});
}
