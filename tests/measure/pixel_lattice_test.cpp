#include "measure/pixel_lattice.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "tests/measure/drawn.h"

using namespace verdigrid;

// Promised in the header.
constexpr double k_place_px = 0.1;
constexpr double k_area_rel = 0.0005;

TEST_CASE("the lattice agrees with the exact model between its nodes") {
  // A phone's camera: focal length 0.75 of the long side, k1 -0.12 to 0.12.
  for (const cv::Size size : {cv::Size(900, 675), cv::Size(6000, 4500)})
    for (const double k1 : {0.0, -0.12, 0.12}) {
      DrawnView view{.photo_px = size, .tilt_deg = 15, .k1 = k1};
      view.focal_px = 0.75 * size.width;
      const Rectification r = rectification_of(view);
      const double px_per_mm = view.focal_px / view.distance_mm;
      const PixelLattice lattice(r);
      double place = 0, area = 0;
      for (int y = 3; y < size.height; y += size.height / 37)
        for (int x = 5; x < size.width; x += size.width / 41) {
          const cv::Point2d p(x, y);
          const BoardPixel exact = board_pixels(r, {p})[0], near = lattice.at(p);
          place = std::max(place, cv::norm(near.p_board - exact.p_board) * px_per_mm);
          area = std::max(area, std::abs(near.area / exact.area - 1));
          const PixelLattice::Row row = lattice.row(y);
          const auto i = static_cast<size_t>(x / lattice.step());
          const double t = x % lattice.step() / static_cast<double>(lattice.step());
          REQUIRE(std::abs(row.area[i] + (row.area[i + 1] - row.area[i]) * t - near.area) <=
                  1e-12 * near.area);
        }
      CAPTURE(size, k1);
      CHECK(place < k_place_px);
      CHECK(area < k_area_rel);
    }
}

TEST_CASE("the area of a shape is the sum of its pixels' areas") {
  for (const cv::Size size : {cv::Size(900, 675), cv::Size(31, 47), cv::Size(1, 1)})
    for (const double k1 : {0.0, -0.12}) {
      DrawnView view{.photo_px = size, .tilt_deg = 15, .k1 = k1};
      view.focal_px = 0.75 * size.width;
      const PixelLattice lattice(rectification_of(view));
      const double w = size.width, h = size.height;
      const PolygonRows rows({{{-1, -1}, {w, 0.2 * h}, {w, h}, {0.4 * w, 0.9 * h}}, {}}, size);
      double sum = 0;
      for (int y = rows.first_row(); y < rows.end_row(); ++y)
        for (const PixelSpan& s : rows.row(y))
          for (int x = s.first; x < s.end; ++x) sum += lattice.at(cv::Point2d(x, y)).area;
      CAPTURE(size, k1);
      CHECK(sum >= 0);
      CHECK(std::abs(lattice.area(rows) - sum) <= 1e-9 * sum);
    }
}
