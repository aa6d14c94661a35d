// Files cut short and files with flipped bits, all formats: no crash, no hang, no leak (the same
// tests run under the sanitizers), and either a whole photo or one sentence.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdint>
#include <opencv2/imgproc.hpp>
#include <string>
#include <vector>

#include "base/error.h"
#include "photo/decode.h"
#include "tests/photo/pictures.h"

using namespace verdigrid;
using namespace verdigrid::testing;

namespace {

// splitmix64 (S. Vigna, public domain reference): the same variants on every run.
struct Random {
  std::uint64_t state;
  std::uint64_t next() {
    std::uint64_t z = state += 0x9E3779B97F4A7C15U;
    z = (z ^ z >> 30) * 0xBF58476D1CE4E5B9U;
    z = (z ^ z >> 27) * 0x94D049BB133111EBU;
    return z ^ z >> 31;
  }
  size_t below(size_t limit) { return static_cast<size_t>(next() % limit); }
};

struct Tally {
  int accepted = 0, refused = 0;
};

void try_variant(const Bytes& bytes, Tally& tally) {
  try {
    const Photo photo = decode_photo(bytes, "x", {.pixel_limit_mp = 4});
    if (photo.bgr.empty() || photo.bgr.type() != CV_8UC3) FAIL("half a photo");
    ++tally.accepted;
  } catch (const Error& error) {
    ++tally.refused;
    const std::string text = error.what();
    if (error.kind() != ErrorKind::bad_input || !text.starts_with("x: ") || text.back() != '.')
      FAIL("not a sentence for the user: " << text);
  }
}

Tally try_cuts(const Bytes& file, size_t count) {
  Tally tally;
  for (size_t i = 0; i < count; ++i) {
    Bytes shorter = file;
    shorter.resize(i * file.size() / count);
    try_variant(shorter, tally);
  }
  return tally;
}

// Half of the flips go into the first 200 bytes, where headers stand.
Tally try_flips(const Bytes& file, size_t count, std::uint64_t seed) {
  Tally tally;
  Random random{seed};
  for (size_t i = 0; i < count; ++i) {
    Bytes changed = file;
    const size_t reach = i % 2 ? std::min<size_t>(200, file.size()) : file.size();
    const size_t flips = 1 + random.below(3);
    for (size_t k = 0; k < flips; ++k)
      changed[random.below(reach)] ^= static_cast<std::byte>(1U << random.below(8));
    try_variant(changed, tally);
  }
  return tally;
}

struct Sample {
  std::string name;
  Bytes file;
};

std::vector<Sample> samples() {
  const cv::Mat rgb = drawn_rgb({40, 30});
  cv::Mat rgba, grey, deep;
  cv::cvtColor(rgb, rgba, cv::COLOR_RGB2RGBA);
  cv::cvtColor(rgb, grey, cv::COLOR_RGB2GRAY);
  rgb.convertTo(deep, CV_16U, 257);
  const Bytes exif = exif_block({6, "2024:05:17 09:30:00", "Make", "Model", "R98", true});
  const Bytes icc = debian_profile("compatibleWithAdobeRGB1998.icc");
  return {{"jpeg", jpeg_file(rgb, {.subsampling = 2, .exif = exif, .icc = icc})},
          {"jpeg restart", jpeg_file(rgb, {.restart_interval = 2})},
          {"jpeg progressive", jpeg_file(rgb, {.is_progressive = true})},
          {"png", png_file(rgb, {.exif = exif, .icc = icc})},
          {"png 16", png_file(deep, {.is_interlaced = true})},
          {"png alpha", png_file(rgba)},
          {"bmp", bmp_file(rgb)},
          {"bmp alpha", bmp_file(rgba)},
          {"tiff", tiff_file(rgb, {.time = "2024:05:17 09:30:00"})},
          {"tiff lzw", tiff_file(deep, {.packing = "lzw", .is_big_endian = true})},
          {"tiff deflate tiles", tiff_file(rgb, {.packing = "deflate", .is_tiled = true})},
          {"tiff jpeg", tiff_file(rgb, {.packing = "jpeg"})},
          {"tiff palette", tiff_file(grey, {.packing = "packbits", .is_palette = true})},
          {"tiff big split", tiff_file(rgba, {.is_split = true, .is_big = true})},
          {"webp lossless", webp_file(rgba, {.orientation = 3})},
          {"webp lossy", webp_file(rgb, {.is_lossless = false})}};
}

}  // namespace

TEST_CASE("1,600 cut files are all refused", "[photo]") {
  for (const Sample& sample : samples()) {
    CAPTURE(sample.name);
    const Tally tally = try_cuts(sample.file, 100);
    CHECK(tally.refused + tally.accepted == 100);
    CHECK(tally.accepted == 0);
  }
}

TEST_CASE("3,200 files with flipped bits give a photo or a sentence", "[photo][slow]") {
  std::uint64_t seed = 1;
  for (const Sample& sample : samples()) {
    CAPTURE(sample.name);
    const Tally tally = try_flips(sample.file, 200, seed++);
    CHECK(tally.refused + tally.accepted == 200);
    CHECK(tally.refused > 0);
    // Every bit of a PNG lies under a checksum but those of its chunk lengths, which are checked by
    // where they lead.
    if (sample.name.starts_with("png")) CHECK(tally.accepted == 0);
  }
}

TEST_CASE("HEIC files cut short or with flipped bits give a photo or a sentence", "[photo][slow]") {
  const Bytes file = heic_file(drawn_rgb({64, 48}));
  CHECK(try_cuts(file, 40).accepted == 0);
  const Tally tally = try_flips(file, 60, 99);
  CHECK(tally.refused + tally.accepted == 60);
  CHECK(tally.refused > 0);
}
