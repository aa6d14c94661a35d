// Published truth: two photos of a wall and the homography between them, from the affine covariant
// region detectors' data set (Mikolajczyk et al., "A Comparison of Affine Region Detectors", IJCV
// 65, 2005), as Debian's opencv-doc carries them.
#include <catch2/catch.hpp>
#include <fstream>
#include <sstream>

#include "compare/registration.h"
#include "photo/decode.h"

using namespace verdigrid;

namespace {

const std::string k_folder = VERDIGRID_GRAF;

// The nine numbers between <data> and </data>.
cv::Matx33d truth() {
  std::ifstream in(k_folder + "/H1to3p.xml");
  std::stringstream all;
  all << in.rdbuf();
  const std::string text = all.str();
  const size_t from = text.find("<data>") + 6;
  std::stringstream numbers(text.substr(from, text.find("</data>") - from));
  cv::Matx33d h;
  for (double& v : h.val) numbers >> v;
  return h;
}

}  // namespace

TEST_CASE("the wall seen from two sides is registered to 2 px at the corners") {
  const cv::Mat first = load_photo(k_folder + "/graf1.png").bgr,
                second = load_photo(k_folder + "/graf3.png").bgr;
  const Registration r = registered({first, {}}, {second, {}});
  REQUIRE(r.is_placed());
  double sum = 0, worst = 0;
  for (const cv::Point2d& p :
       {cv::Point2d(0, 0), cv::Point2d(first.cols - 1, 0),
        cv::Point2d(first.cols - 1, first.rows - 1), cv::Point2d(0, first.rows - 1)}) {
    const double off = cv::norm(r.warp(p) - mapped(truth(), p));
    sum += off;
    worst = std::max(worst, off);
  }
  WARN("mean corner error " << sum / 4 << " px, worst " << worst << " px");
  CHECK(sum / 4 <= 2);
}
