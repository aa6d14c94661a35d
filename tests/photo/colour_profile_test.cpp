// Embedded profiles and colour marks against published encodings, computed here with the project's
// own sRGB formulas.
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "base/colour.h"
#include "base/error.h"
#include "photo/decode.h"
#include "tests/photo/pictures.h"

using namespace verdigrid;
using namespace verdigrid::testing;

namespace {

// Colours that lie inside sRGB in all encodings below, so nothing is clipped.
const std::array<cv::Vec3b, 7> k_colours{
    cv::Vec3b(128, 128, 128), {200, 180, 160}, {90, 120, 100}, {60, 70, 120},
    {180, 140, 60},           {30, 28, 26},    {150, 170, 165}};

cv::Mat patches() {
  cv::Mat out(8, 8 * static_cast<int>(k_colours.size()), CV_8UC3);
  for (size_t i = 0; i < k_colours.size(); ++i)
    out(cv::Rect(8 * static_cast<int>(i), 0, 8, 8)).setTo(cv::Scalar(k_colours[i]));
  return out;
}

using Matrix = std::array<double, 9>;

Xyz times(const Matrix& m, const Rgb& c) {
  return {m[0] * c.r + m[1] * c.g + m[2] * c.b, m[3] * c.r + m[4] * c.g + m[5] * c.b,
          m[6] * c.r + m[7] * c.g + m[8] * c.b};
}

// Adobe RGB (1998) Color Image Encoding, version 2005-05, section 4.3.5.3: gamma 2.19921875 and
// matrix to XYZ with D65.
Rgb srgb_from_adobe(const Rgb& c) {
  const Matrix m{0.57667, 0.18556, 0.18823, 0.29734, 0.62736, 0.07529, 0.02703, 0.07069, 0.99134};
  const double gamma = 563.0 / 256;
  return srgb_from_xyz(
      times(m, {std::pow(c.r, gamma), std::pow(c.g, gamma), std::pow(c.b, gamma)}));
}

// Display P3 after CSS Color Module Level 4, section 10.2: SMPTE EG 432-1 primaries, D65, sRGB
// curve.
Rgb srgb_from_p3(const Rgb& c) {
  const Matrix m{0.4865709486, 0.2656676932, 0.1982172852, 0.2289745641, 0.6917385218,
                 0.0792869141, 0.0,          0.0451133819, 1.0439443689};
  return srgb_from_xyz(
      times(m, {linear_from_srgb(c.r), linear_from_srgb(c.g), linear_from_srgb(c.b)}));
}

template <typename Expected>
void check_patches(const Photo& photo, Expected expected, double tolerance) {
  for (size_t i = 0; i < k_colours.size(); ++i) {
    const cv::Vec3b& c = k_colours[i];
    const Rgb want = expected(Rgb{c[0] / 255.0, c[1] / 255.0, c[2] / 255.0});
    const cv::Vec3b got = photo.bgr.at<cv::Vec3b>(4, 8 * static_cast<int>(i) + 4);
    CAPTURE(photo.meta.name, i);
    CHECK(std::abs(got[2] - 255 * want.r) <= tolerance);
    CHECK(std::abs(got[1] - 255 * want.g) <= tolerance);
    CHECK(std::abs(got[0] - 255 * want.b) <= tolerance);
  }
}

// Half a level of rounding, and as much again for the profile's own 16-bit numbers.
constexpr double k_rounding = 1.0;
constexpr double k_jpeg_rounding = 2.5;

const char* const k_wide_profile = "compatibleWithAdobeRGB1998.icc";

}  // namespace

TEST_CASE("an embedded profile is converted to sRGB in every format that carries one", "[photo]") {
  const cv::Mat rgb = patches();
  const Bytes icc = debian_profile(k_wide_profile);
  const std::array photos{decode_photo(png_file(rgb, {.icc = icc}), "png"),
                          decode_photo(tiff_file(rgb, {.icc = icc}), "tiff"),
                          decode_photo(webp_file(rgb, {.icc = icc}), "webp")};
  for (const Photo& photo : photos) {
    check_patches(photo, srgb_from_adobe, k_rounding);
    CHECK(photo.meta.icc_profile == std::optional<std::string>("Compatible with Adobe RGB (1998)"));
  }
  check_patches(decode_photo(jpeg_file(rgb, {.quality = 100, .icc = icc}), "jpeg"), srgb_from_adobe,
                k_jpeg_rounding);
  const HeicWish heic{.through_jpeg = {.quality = 100, .icc = icc}};
  check_patches(decode_photo(heic_file(rgb, heic), "heic"), srgb_from_adobe, 4);
}

TEST_CASE("a profile is applied to 16 bits before they are rounded", "[photo]") {
  cv::Mat deep;
  patches().convertTo(deep, CV_16U, 257);
  const Bytes icc = debian_profile(k_wide_profile);
  check_patches(decode_photo(png_file(deep, {.icc = icc}), "png"), srgb_from_adobe, k_rounding);
  check_patches(decode_photo(tiff_file(deep, {.icc = icc}), "tiff"), srgb_from_adobe, k_rounding);
}

TEST_CASE("a profile is applied under alpha, and alpha flattened after it", "[photo]") {
  cv::Mat rgba;
  cv::cvtColor(patches(), rgba, cv::COLOR_RGB2RGBA);  // opaque
  const Bytes icc = debian_profile(k_wide_profile);
  check_patches(decode_photo(png_file(rgba, {.icc = icc}), "png"), srgb_from_adobe, k_rounding);
  check_patches(decode_photo(webp_file(rgba, {.icc = icc}), "webp"), srgb_from_adobe, k_rounding);
  rgba.setTo(cv::Scalar(10, 200, 30, 0));
  const Photo clear = decode_photo(png_file(rgba, {.icc = icc}), "png");
  CHECK(clear.bgr.at<cv::Vec3b>(3, 3) == cv::Vec3b(255, 255, 255));
}

TEST_CASE("an embedded sRGB profile changes nothing but is named", "[photo]") {
  const cv::Mat rgb = patches();
  const Photo photo = decode_photo(png_file(rgb, {.icc = debian_profile("sRGB.icc")}), "png");
  const Photo bare = decode_photo(png_file(rgb), "png");
  CHECK(cv::norm(photo.bgr, bare.bgr, cv::NORM_INF) == 0);
  REQUIRE(photo.meta.icc_profile);
  CHECK(photo.meta.icc_profile->find("sRGB") != std::string::npos);
}

TEST_CASE("a grey profile fits grey pixels, and an RGB profile does too", "[photo]") {
  cv::Mat grey;
  cv::cvtColor(patches(), grey, cv::COLOR_RGB2GRAY);
  const Photo by_grey =
      decode_photo(png_file(grey, {.icc = debian_profile("Gray-CIE_L.icc")}), "png");
  // That profile's curve is CIE lightness: L* = 100 v. Its media white is D50; relative
  // colorimetric keeps grey grey.
  for (size_t i = 0; i < k_colours.size(); ++i) {
    const int x = 8 * static_cast<int>(i) + 4;
    const Rgb want = srgb_from_lab({100.0 * grey.at<uchar>(4, x) / 255, 0, 0});
    const cv::Vec3b got = by_grey.bgr.at<cv::Vec3b>(4, x);
    CHECK(std::abs(got[1] - 255 * want.g) <= 1.5);
    CHECK(std::abs(got[0] - got[2]) <= 1);
  }
  const Photo by_rgb =
      decode_photo(tiff_file(grey, {.icc = debian_profile(k_wide_profile)}), "tiff");
  const Rgb want = srgb_from_adobe(
      {grey.at<uchar>(4, 4) / 255.0, grey.at<uchar>(4, 4) / 255.0, grey.at<uchar>(4, 4) / 255.0});
  CHECK(std::abs(by_rgb.bgr.at<cv::Vec3b>(4, 4)[1] - 255 * want.g) <= k_rounding);
}

TEST_CASE("the optional colour space of DCF is known by its EXIF mark", "[photo]") {
  // JEITA CP-3461B: interoperability index R03 stands for the encoding above, without a profile.
  const Bytes exif = exif_block({1, {}, {}, {}, "R03", false});
  const Photo photo = decode_photo(png_file(patches(), {.exif = exif}), "png");
  check_patches(photo, srgb_from_adobe, k_rounding);
  REQUIRE(photo.meta.icc_profile);
  CHECK(photo.meta.icc_profile->find("DCF") != std::string::npos);
  const Photo plain =
      decode_photo(png_file(patches(), {.exif = exif_block({1, {}, {}, {}, "R98"})}), "png");
  CHECK_FALSE(plain.meta.icc_profile);
}

TEST_CASE("P3 primaries in a HEIC's coding parameters are converted", "[photo]") {
  cv::Mat wide;
  cv::resize(patches(), wide, {}, 2, 8, cv::INTER_NEAREST);
  const Photo photo = decode_photo(boxed_heic_file(wide, 1, 12, 13), "heic");
  for (size_t i = 0; i < k_colours.size(); ++i) {
    const cv::Vec3b& c = k_colours[i];
    const Rgb want = srgb_from_p3({c[0] / 255.0, c[1] / 255.0, c[2] / 255.0});
    const cv::Vec3b got = photo.bgr.at<cv::Vec3b>(32, 16 * static_cast<int>(i) + 8);
    CHECK(std::abs(got[2] - 255 * want.r) <= 4);
    CHECK(std::abs(got[1] - 255 * want.g) <= 4);
    CHECK(std::abs(got[0] - 255 * want.b) <= 4);
  }
}

TEST_CASE("a profile that cannot be used is refused in one sentence", "[photo]") {
  Bytes broken = debian_profile("sRGB.icc");
  broken.resize(200);
  CHECK_THROWS_WITH(decode_photo(tiff_file(patches(), {.icc = broken}), "a.tif"),
                    Catch::StartsWith("a.tif: has a colour profile that cannot be read."));
  const Bytes grey = debian_profile("Gray-CIE_L.icc");
  CHECK_THROWS_WITH(decode_photo(tiff_file(patches(), {.icc = grey}), "a.tif"),
                    Catch::StartsWith("a.tif: has colour pixels and a grey profile"));
  const Bytes lab = debian_profile("ITULab.icc");
  CHECK_THROWS_WITH(decode_photo(tiff_file(patches(), {.icc = lab}), "a.tif"),
                    Catch::StartsWith("a.tif: has a colour profile for other colours than RGB"));
}

TEST_CASE("a HEIC in a high dynamic range coding is refused", "[photo]") {
  // ITU-R BT.2100: perceptual quantisation is transfer 16 of H.273, hybrid log-gamma 18.
  for (const int transfer : {16, 18})
    CHECK_THROWS_WITH(decode_photo(boxed_heic_file(patches(), 1, 9, transfer), "a.heic"),
                      Catch::StartsWith("a.heic: is a HEIC in a high dynamic range coding."));
}
