// What must not stand in the project's files, and what must go together.

#include <algorithm>
#include <catch2/catch.hpp>
#include <regex>

#include "tests/process.h"

using namespace verdigrid;
namespace fs = std::filesystem;

namespace {

const fs::path k_root = VERDIGRID_SOURCE_DIR;
constexpr size_t k_lines_at_most = 600;

// Tracked text: the folders of the project, not what is built or kept out by .gitignore.
std::vector<fs::path> project_files() {
  std::vector<fs::path> files;
  for (const char* folder : {"src", "tests", "samples", "assets", "models", "shaders", ".ci"}) {
    if (!fs::exists(k_root / folder)) continue;
    for (const auto& entry : fs::recursive_directory_iterator(k_root / folder))
      if (entry.is_regular_file()) files.push_back(entry.path());
  }
  for (const auto& entry : fs::directory_iterator(k_root))
    if (entry.is_regular_file() && entry.path().filename() != ".git") files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  return files;
}

bool is_text(const fs::path& path) {
  static const std::vector<std::string> k_kinds{".h",    ".cpp",   ".txt",  ".md",  ".sh", ".py",
                                                ".json", ".cmake", ".glsl", ".csv", ""};
  const auto& kinds = k_kinds;
  return std::find(kinds.begin(), kinds.end(), path.extension()) != kinds.end();
}

size_t line_of(const std::string& text, size_t at) {
  return 1 +
         static_cast<size_t>(std::count(text.begin(), text.begin() + static_cast<long>(at), '\n'));
}

// "file:line: match" for every match in the project's text files.
std::vector<std::string> found(const std::regex& pattern) {
  std::vector<std::string> places;
  for (const fs::path& file : project_files()) {
    if (!is_text(file)) continue;
    const std::string text = test::text_of(file);
    for (std::sregex_iterator it(text.begin(), text.end(), pattern), end; it != end; ++it)
      places.push_back(fs::relative(file, k_root).string() + ":" +
                       std::to_string(line_of(text, static_cast<size_t>(it->position()))) + ": " +
                       it->str());
  }
  return places;
}

}  // namespace

TEST_CASE("no file holds unfinished work", "[house]") {
  // Put together here so that this file does not match itself.
  const std::regex words(std::string("\\b(TO") + "DO|FIX" + "ME|XX" + "X|HA" + "CK|place" +
                         "holder)\\b");
  const auto places = found(words);
  CAPTURE(places);
  CHECK(places.empty());
}

TEST_CASE("no file names a folder of the machine it was written on", "[house]") {
  const std::regex words(std::string("(/wo") + "rk/|\\.\\./sha" + "red)");
  const auto places = found(words);
  CAPTURE(places);
  CHECK(places.empty());
}

TEST_CASE("every JSON format that is written has a schema", "[house]") {
  const std::regex format(R"re("verdigrid-([a-z-]+)")re");
  size_t formats = 0;
  for (const fs::path& file : project_files()) {
    if (fs::relative(file, k_root).begin()->string() != "src" || file.extension() != ".cpp")
      continue;
    const std::string text = test::text_of(file);
    for (std::sregex_iterator it(text.begin(), text.end(), format), end; it != end; ++it) {
      const std::string name = (*it)[1];
      if (name == "heic") continue;  // the helper program
      ++formats;
      CAPTURE(file, name);
      CHECK(fs::exists(k_root / "assets/schema" / (name + ".schema.json")));
    }
  }
  CHECK(formats > 0);
}

TEST_CASE("files stay short enough to read", "[house]") {
  size_t seen = 0;
  for (const fs::path& file : project_files()) {
    if (file.extension() != ".cpp" && file.extension() != ".h") continue;
    const std::string text = test::text_of(file);
    CAPTURE(file);
    CHECK(static_cast<size_t>(std::count(text.begin(), text.end(), '\n')) <= k_lines_at_most);
    ++seen;
  }
  CHECK(seen > 0);
}

TEST_CASE("every public header opens with what it is for", "[house]") {
  for (const fs::path& file : project_files()) {
    if (fs::relative(file, k_root).begin()->string() != "src" || file.extension() != ".h") continue;
    CAPTURE(file);
    CHECK(test::text_of(file).starts_with("// "));
  }
}
