// Sums of label pictures against counting every pixel by itself.
#include "measure/label_sums.h"

#include <catch2/catch.hpp>
#include <opencv2/imgproc.hpp>
#include <random>

#include "base/error.h"
#include "tests/measure/drawn.h"

using namespace verdigrid;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace {

constexpr double k_sum_rel = 1e-9;

struct Picture {
  cv::Mat residue, finding_of_px;
};

Picture patches(cv::Size size, int count, unsigned seed) {
  cv::RNG rng(seed);
  Picture p{cv::Mat::zeros(size, CV_8UC1), cv::Mat::zeros(size, CV_16UC1)};
  for (int id = 1; id <= count; ++id) {
    const cv::Point middle(rng.uniform(0, size.width), rng.uniform(0, size.height));
    const cv::Size axes(rng.uniform(0, 20), rng.uniform(0, 20));
    cv::ellipse(p.residue, middle, axes, 30, 0, 360, rng.uniform(1, 8), cv::FILLED);
    cv::ellipse(p.finding_of_px, middle, axes, 30, 0, 360, id, cv::FILLED);
  }
  return p;
}

Picture noise(cv::Size size, unsigned seed) {
  cv::RNG rng(seed);
  Picture p{cv::Mat(size, CV_8UC1), cv::Mat(size, CV_16UC1)};
  rng.fill(p.residue, cv::RNG::UNIFORM, 0, 8);
  rng.fill(p.finding_of_px, cv::RNG::UNIFORM, 0, 5);
  return p;
}

Picture full(cv::Size size) { return {cv::Mat(size, CV_8UC1, 3), cv::Mat(size, CV_16UC1, 7)}; }

std::vector<PolygonRows> shapes(cv::Size size, std::mt19937& random) {
  std::uniform_real_distribution<double> x(-20, size.width + 20.0), y(-20, size.height + 20.0);
  const auto ring = [&](int corners) {
    Ring r;
    for (int i = 0; i < corners; ++i) r.push_back({x(random), y(random)});
    return r;
  };
  std::vector<PolygonRows> all{PolygonRows()};
  for (int i = 0; i < 6; ++i) all.emplace_back(Polygon{ring(3 + i), {}}, size);
  all.emplace_back(Polygon{ring(7), {ring(3), ring(4)}}, size);
  return all;
}

bool is_inside(const PolygonRows& rows, int x, int y) {
  for (const PixelSpan& s : rows.row(y))
    if (x >= s.first && x < s.end) return true;
  return false;
}

void count(const Picture& picture, const PixelLattice& lattice, int x, int y, LabelSums& to) {
  const cv::Mat& labels = picture.residue;
  const auto at = [&](int column, int row) {
    return labels.at<std::uint8_t>(std::clamp(row, 0, labels.rows - 1),
                                   std::clamp(column, 0, labels.cols - 1));
  };
  const std::uint8_t c = at(x, y);
  if (c == 0) return;
  const double area = lattice.at(cv::Point2d(x, y)).area;
  to.px[c] += 1;
  to.area[c] += area;
  for (const std::uint8_t side : {at(x - 1, y), at(x + 1, y), at(x, y - 1), at(x, y + 1)}) {
    to.border[c] += side != c ? area * area : 0;
    to.affected_border += side == 0 ? area * area : 0;
  }
  const int id = picture.finding_of_px.at<std::uint16_t>(y, x);
  if (id != 0 && std::find(to.findings.begin(), to.findings.end(), id) == to.findings.end())
    to.findings.push_back(id);
}

// A stretch of border counts with the mean area of its pixels, which changes slowly but in a photo
// of a few pixels.
void check_equal(const LabelSums& sums, LabelSums truth, double border_rel) {
  std::sort(truth.findings.begin(), truth.findings.end());
  CHECK(sums.px == truth.px);
  CHECK(sums.findings == truth.findings);
  for (size_t c = 0; c < truth.px.size(); ++c) {
    CHECK_THAT(sums.area[c], WithinRel(truth.area[c], k_sum_rel) || WithinAbs(0, 1e-12));
    CHECK_THAT(sums.border[c], WithinRel(truth.border[c], border_rel) || WithinAbs(0, 1e-12));
  }
  CHECK_THAT(sums.affected_border,
             WithinRel(truth.affected_border, border_rel) || WithinAbs(0, 1e-12));
}

}  // namespace

TEST_CASE("squares and regions hold what counting pixel by pixel finds in them") {
  std::mt19937 random(11);
  for (const cv::Size size : {cv::Size(211, 143), cv::Size(64, 300), cv::Size(17, 9)})
    for (const Picture& picture :
         {patches(size, 9, 1), patches(size, 60, 2), noise(size, 3), full(size)}) {
      CAPTURE(size);
      DrawnView view{.photo_px = size, .tilt_deg = size.width < 50 ? 0.2 : 3.0};
      view.focal_px = std::max(size.width, size.height);
      const Rectification r = rectification_of(view);
      const PixelLattice lattice(r);
      const LabelBlocks blocks(picture.residue, lattice.step());
      const PolygonRows outline(r.outline_px, size);
      const Grid grid = grid_over({0, 0, 100, 75}, true);
      const std::vector<PolygonRows> regions = shapes(size, random);
      std::vector<const PolygonRows*> pointers;
      for (const PolygonRows& region : regions) pointers.push_back(&region);
      const SumsResult sums = label_sums(
          {picture.residue, picture.finding_of_px, blocks, lattice, outline, grid, pointers});

      SumsResult truth{std::vector<LabelSums>(sums.squares.size()),
                       std::vector<LabelSums>(regions.size())};
      for (int y = 0; y < size.height; ++y)
        for (int x = 0; x < size.width; ++x) {
          for (size_t i = 0; i < regions.size(); ++i)
            if (is_inside(regions[i], x, y)) count(picture, lattice, x, y, truth.regions[i]);
          if (!is_inside(outline, x, y)) continue;
          const cv::Point2d p = lattice.at(cv::Point2d(x, y)).p_board;
          const int column =
              std::clamp(static_cast<int>(p.x / grid.square_width()), 0, grid.columns - 1);
          const int row =
              std::clamp(static_cast<int>(p.y / grid.square_height()), 0, grid.rows - 1);
          count(picture, lattice, x, y,
                truth.squares[static_cast<size_t>(row * grid.columns + column)]);
        }
      const double border_rel = size.width < 50 ? 0.02 : 0.005;
      for (size_t i = 0; i < regions.size(); ++i)
        check_equal(sums.regions[i], truth.regions[i], border_rel);
      for (size_t i = 0; i < sums.squares.size(); ++i)
        check_equal(sums.squares[i], truth.squares[i], border_rel);
    }
}

TEST_CASE("blocks say that there is no label only where there is none") {
  std::mt19937 random(12);
  long empty = 0;
  for (const cv::Size size : {cv::Size(211, 143), cv::Size(1, 1), cv::Size(40, 500)})
    for (const int width : {8, 13, 24}) {
      const Picture picture = patches(size, 4, static_cast<unsigned>(width));
      const LabelBlocks blocks(picture.residue, width);
      std::uniform_int_distribution<int> x(0, size.width - 1), y(0, size.height - 1);
      for (int i = 0; i < 400; ++i) {
        const auto [left, right] = std::minmax({x(random), x(random)});
        const auto [top, bottom] = std::minmax({y(random), y(random)});
        const cv::Rect inside(left, top, right - left + 1, bottom - top + 1);
        const bool is_labelled = cv::countNonZero(picture.residue(inside)) > 0;
        const bool row_is =
            cv::countNonZero(picture.residue.row(top).colRange(left, right + 1)) > 0;
        if (is_labelled) REQUIRE(blocks.any(cv::Rect2d(left, top, right - left, bottom - top)));
        if (row_is) REQUIRE(blocks.any(left, right + 1, top));
        const cv::Rect round = cv::Rect(left - width - 8, top - 16, inside.width + 2 * (width + 8),
                                        inside.height + 32) &
                               cv::Rect({}, size);
        if (cv::countNonZero(picture.residue(round)) > 0) continue;
        ++empty;
        CHECK_FALSE(blocks.any(cv::Rect2d(left, top, right - left, bottom - top)));
        CHECK_FALSE(blocks.any(left, right + 1, top));
      }
    }
  CHECK(empty > 100);
}

TEST_CASE("a label above 7 is refused wherever it lies") {
  for (const cv::Point at : {cv::Point(0, 0), {210, 142}, {209, 0}, {100, 77}}) {
    cv::Mat labels = cv::Mat::zeros(143, 211, CV_8UC1);
    labels.at<std::uint8_t>(at) = 8;
    CHECK_THROWS_AS(LabelBlocks(labels, 16), Error);
    labels.at<std::uint8_t>(at) = 7;
    CHECK(LabelBlocks(labels, 16).any(at.x, at.x + 1, at.y));
  }
}
