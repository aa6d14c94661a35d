// Which libraries the built program loads.

#include <catch2/catch.hpp>

#include "tests/process.h"

using namespace verdigrid;

namespace {

const char* const k_kept_out[] = {
    "opencv_imgcodecs", "opencv_highgui", "opencv_videoio", "Qt5",
    "libheif",          "libx265",        "libde265",       "libgdal"};

}  // namespace

TEST_CASE("the program loads no image codec library and no GPL decoder", "[house]") {
  const test::Outcome ldd = test::run({"ldd", VERDIGRID_PROGRAM});
  REQUIRE(ldd.code == 0);
  REQUIRE(ldd.out.find("libopencv_core") != std::string::npos);
  for (const char* library : k_kept_out) {
    CAPTURE(library);
    CHECK(ldd.out.find(library) == std::string::npos);
  }
}
