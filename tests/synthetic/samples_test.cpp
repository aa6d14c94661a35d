#include "synthetic/samples.h"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <set>

#include "synthetic/develop.h"

using namespace verdigrid;
using namespace verdigrid::synthetic;

namespace {

const std::filesystem::path k_folder = std::filesystem::path(VERDIGRID_SOURCE_DIR) / "samples";
constexpr std::uintmax_t k_limit_bytes = 6'000'000;  // of all sample photos together
constexpr double k_rounding_levels = 12, k_rounding_mean = 0.005;

nlohmann::json kept_boards() {
  const Bytes bytes = read_file(k_folder / "boards.json", 1'000'000);
  return nlohmann::json::parse(reinterpret_cast<const char*>(bytes.data()),
                               reinterpret_cast<const char*>(bytes.data()) + bytes.size());
}

}  // namespace

TEST_CASE(
    "the samples are three boards or more, both sides, arrival and after the wash, in small "
    "files") {
  std::uintmax_t sum = 0;
  std::set<std::string> boards;
  const nlohmann::json kept = kept_boards();
  for (const auto& board : kept["boards"]) {
    boards.insert(board["name"]);
    std::set<std::string> kinds;
    for (const auto& photo : board["photos"]) {
      kinds.insert(photo["side"].get<std::string>() + photo["role"].get<std::string>());
      sum += read_file(k_folder / photo["file"].get<std::string>(), k_limit_bytes).size();
      CHECK(photo["corners_px"].size() == 4);
    }
    CHECK(kinds.size() == 4);
  }
  CHECK(boards.size() >= 3);
  CHECK(sum < k_limit_bytes);
}

TEST_CASE("the wash leaves less residue than there was and never more on one side") {
  const nlohmann::json kept = kept_boards();
  for (const auto& board : kept["boards"])
    for (const auto& before : board["photos"])
      for (const auto& after : board["photos"]) {
        if (before["side"] != after["side"] || before["role"] != "arrival" ||
            after["role"] == "arrival")
          continue;
        double was = 0, is = 0;
        for (const auto& [key, mm2] : before["residue_mm2"].items()) was += mm2.get<double>();
        for (const auto& [key, mm2] : after["residue_mm2"].items()) is += mm2.get<double>();
        CAPTURE(before["file"].get<std::string>());
        CHECK(was > 0);
        CHECK(is < was);
      }
}

// The release build gives the same bytes. Other builds and other versions of the mathematical
// library may round a value the other way: one level before JPEG, a few in that block after it.
TEST_CASE("the seeds give the kept sample photos", "[slow]") {
  const std::vector<Sample> all = samples();
  std::vector<Truth> truths;
  for (const Sample& s : all) {
    RenderedSample r = rendered(s);
    const cv::Mat now = jpeg_decoded(r.jpeg),
                  kept = jpeg_decoded(read_file(k_folder / s.file, k_limit_bytes));
    CAPTURE(s.file);
    REQUIRE(now.size() == kept.size());
    CHECK(cv::norm(now, kept, cv::NORM_INF) <= k_rounding_levels);
    CHECK(cv::norm(now, kept, cv::NORM_L1) <= k_rounding_mean * static_cast<double>(now.total()));
    truths.push_back(std::move(r.truth));
  }
  const std::string text = boards_json(all, truths);
  const Bytes kept = read_file(k_folder / "boards.json", 1'000'000);
  CHECK(text == std::string(reinterpret_cast<const char*>(kept.data()), kept.size()));
}
