#include "detect/trained_detector.h"

#include <catch2/catch.hpp>
#include <fstream>
#include <nlohmann/json.hpp>

#include "base/error.h"
#include "base/files.h"
#include "base/sha256.h"
#include "detect/network_model.h"
#include "drawn_board.h"
#include "synthetic/shot.h"

using namespace verdigrid;
namespace fs = std::filesystem;

namespace {

const fs::path k_models = fs::path(VERDIGRID_SOURCE_DIR) / "models";

// The picture of models/train/record.py.
cv::Mat formula_picture() {
  cv::Mat bgr(150, 210, CV_8UC3);
  for (int y = 0; y < bgr.rows; ++y)
    for (int x = 0; x < bgr.cols; ++x)
      for (int c = 0; c < 3; ++c)
        bgr.at<cv::Vec3b>(y, x)[c] =
            static_cast<uchar>((37 * c + 3 * x + 5 * y + x * y * (c + 1) / 16) % 256);
  return bgr;
}

// A folder with a copy of the model, to be damaged.
class Copy {
 public:
  Copy() : folder_(fs::temp_directory_path() / "verdigrid_model_copy") {
    fs::remove_all(folder_);
    fs::create_directories(folder_);
    for (const char* name : {"residue.json", "residue.onnx"})
      fs::copy_file(k_models / name, folder_ / name);
  }
  ~Copy() { fs::remove_all(folder_); }
  Copy(const Copy&) = delete;
  Copy& operator=(const Copy&) = delete;
  fs::path json() const { return folder_ / "residue.json"; }
  fs::path network() const { return folder_ / "residue.onnx"; }

 private:
  fs::path folder_;
};

std::string text_of(const fs::path& path) {
  std::ifstream file(path);
  return {std::istreambuf_iterator<char>(file), {}};
}

}  // namespace

TEST_CASE("the shipped weights give the recorded output", "[detect][trained]") {
  // Recorded by models/train/record.py, that is by OpenCV's Python module from the same file.
  const auto record = nlohmann::json::parse(text_of(k_models / "residue_recorded.json"));
  const auto model = load_network_model(k_models / "residue.json");
  REQUIRE(sha256_hex(read_file(k_models / "residue.onnx", 16 << 20)) ==
          record.at("network_sha256").get<std::string>());
  const auto shares = class_shares(model, formula_picture());
  REQUIRE(shares.size() == model.classes.size());
  CHECK(shares[0].cols == record.at("size").at(0).get<int>());
  CHECK(shares[0].rows == record.at("size").at(1).get<int>());
  // Float sums in another order: 2e-3, as between the training program and its export.
  constexpr double k_tolerance = 2e-3;
  for (std::size_t c = 0; c < shares.size(); ++c)
    CHECK(cv::mean(shares[c])[0] == Approx(record.at("mean").at(c).get<double>()).margin(1e-4));
  for (const auto& point : record.at("points"))
    for (std::size_t c = 0; c < shares.size(); ++c) {
      const float v =
          shares[c].at<float>(point.at("row").get<int>(), point.at("column").get<int>());
      CHECK(static_cast<double>(v) ==
            Approx(point.at("shares").at(c).get<double>()).margin(k_tolerance));
    }
}

TEST_CASE("the trained detector keeps to the outline and to the photo's size",
          "[detect][trained][slow]") {
  auto board = test::drawn_board(test::Salt::one);
  board.rectification.outline_px.outer = {{20, 20}, {979, 20}, {979, 400}, {20, 400}};
  const auto detector = trained_detector(k_models / "residue.json");
  const auto map =
      detector->residue_map(board.photo, board.rectification, {Setting::show_more}, {});
  REQUIRE(map.labels.size() == board.photo.size_px());
  REQUIRE(map.confidence.size() == board.photo.size_px());
  CHECK(cv::countNonZero(map.labels.rowRange(401, 700)) == 0);
  CHECK(cv::countNonZero(map.confidence.rowRange(401, 700)) == 0);
  CHECK(cv::countNonZero(map.confidence.rowRange(170, 300)) > 0);
}

TEST_CASE("residues are found in small pictures as well, by enlarging them",
          "[detect][trained][slow]") {
  const auto detector = trained_detector(k_models / "residue.json");
  for (const std::uint64_t seed : {5u, 8u}) {
    synthetic::BoardOptions options;
    options.size_mm = cv::Size2d{190, 140};
    options.residue_amount = 0.9;
    const auto s = synthetic::shot(synthetic::random_board(seed, options),
                                   synthetic::random_camera(seed, {560, 420}));
    Rectification r;
    r.outline_px = s.truth.outline_px;
    r.photo_size_px = s.bgr.size();
    const auto map = detector->residue_map(synthetic::photo_of(s), r, {Setting::normal}, {});
    const cv::Mat truth = s.truth.seen_labels > 0;
    INFO("board " << seed);
    CHECK(cv::countNonZero(truth & (map.labels > 0)) > cv::countNonZero(truth) / 2);
  }
}

TEST_CASE("a missing or damaged model falls back to the first method and says so",
          "[detect][trained]") {
  const auto remark = [](const fs::path& path) {
    const auto chosen = chosen_detector(path);
    CHECK(chosen.detector->id() == first_method()->id());
    CHECK_THAT(chosen.remark, Catch::StartsWith("The first method is used"));
    return chosen.remark;
  };
  CHECK_THAT(remark("/nonexistent/residue.json"), Catch::Contains("residue.json"));
  {
    const Copy copy;
    std::ofstream(copy.json()) << "{\"format\": \"verdigrid-residue-network\", \"version\": 1}";
    remark(copy.json());
  }
  {
    const Copy copy;
    fs::remove(copy.network());
    CHECK_THAT(remark(copy.json()), Catch::Contains("residue.onnx"));
  }
  for (const double kept : {0.0, 0.3, 0.95}) {
    const Copy copy;
    fs::resize_file(copy.network(),
                    static_cast<std::uintmax_t>(kept * double(fs::file_size(copy.network()))));
    remark(copy.json());
  }
  {
    const Copy copy;
    CHECK(chosen_detector(copy.json()).remark.empty());
  }
}

TEST_CASE("a model of a newer version is refused as such", "[detect][trained]") {
  const Copy copy;
  auto text = text_of(copy.json());
  text.replace(text.find("\"version\": 1"), 12, "\"version\": 9");
  std::ofstream(copy.json()) << text;
  CHECK_THROWS_WITH(trained_detector(copy.json()), Catch::Contains("newer program"));
}

TEST_CASE("calibration is read in straight lines and flat outside", "[detect][trained]") {
  NetworkModel model;
  CHECK(calibrated(model, 0.4) == 0.4);
  model.calibration = {{0.2, 0.1}, {0.6, 0.5}};
  CHECK(calibrated(model, 0.1) == 0.1);
  CHECK(calibrated(model, 0.4) == Approx(0.3));
  CHECK(calibrated(model, 0.9) == 0.5);
}
