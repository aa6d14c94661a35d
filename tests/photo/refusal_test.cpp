// Every file that is no usable photo is refused with one sentence: what, where, what to do.
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cstring>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "photo/decode.h"
#include "tests/photo/pictures.h"
#include "tests/process.h"

using namespace verdigrid;
using namespace verdigrid::testing;

namespace {

std::string refusal(const Bytes& bytes, const DecodeOptions& options = {}) {
  try {
    decode_photo(bytes, "x.jpg", options);
  } catch (const Error& error) {
    CHECK(error.kind() == ErrorKind::bad_input);
    return error.what();
  }
  return "accepted";
}

bool contains(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

// One line that begins with the name and ends with what to do.
void check_sentence(const std::string& text, const std::string& part) {
  CAPTURE(text);
  CHECK(text.starts_with("x.jpg: "));
  CHECK(contains(text, part));
  CHECK_FALSE(contains(text, "\n"));
  CHECK(text.back() == '.');
  CHECK(text.size() < 250);
}

Bytes text_bytes(const std::string& text) {
  Bytes out;
  append(out, text);
  return out;
}

Bytes cut(Bytes bytes, double share) {
  bytes.resize(static_cast<size_t>(share * static_cast<double>(bytes.size())));
  return bytes;
}

Bytes png_with(const Bytes& header, const Bytes& data) {
  Bytes out = text_bytes("\x89PNG\r\n\x1A\n");
  for (const auto& [type, body] : {std::pair{"IHDR", header}, {"IDAT", data}, {"IEND", Bytes{}}}) {
    const Bytes chunk = png_chunk(type, body);
    append(out, chunk.data(), chunk.size());
  }
  return out;
}

Bytes png_header(std::uint64_t width, std::uint64_t height) {
  Bytes out;
  append_number(out, width, 4, true);
  append_number(out, height, 4, true);
  append(out, std::string("\x08\x02\0\0\0", 5));
  return out;
}

// Offset of the size in a JPEG's frame header (ITU-T T.81 section B.2.2).
size_t frame_size_at(const Bytes& jpeg) {
  for (size_t i = 2; i + 9 < jpeg.size(); ++i)
    if (jpeg[i] == std::byte{0xFF} && jpeg[i + 1] == std::byte{0xC0}) return i + 5;
  throw std::runtime_error("no frame header");
}

void set_u16(Bytes& bytes, size_t at, unsigned value) {
  bytes.at(at) = static_cast<std::byte>(value >> 8);
  bytes.at(at + 1) = static_cast<std::byte>(value & 255);
}

long peak_memory_kb() {
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  return usage.ru_maxrss;
}

}  // namespace

TEST_CASE("what is no picture is refused", "[photo]") {
  check_sentence(refusal({}), "is empty");
  check_sentence(refusal(text_bytes("hello, this is a letter")), "is not a picture");
  check_sentence(refusal(Bytes(5000)), "is not a picture");
  check_sentence(refusal(text_bytes("GIF89a........")), "GIF");
  check_sentence(refusal(text_bytes("%PDF-1.7 .....")), "PDF");
  check_sentence(refusal(text_bytes("....ftypavif....")), "AVIF");
  check_sentence(refusal(text_bytes("....ftypisom....")), "video");
  for (const std::string& start :
       {std::string("\xFF\xD8\xFF"), std::string("\x89PNG\r\n\x1A\n"), std::string("BM"),
        std::string("II\x2A\0", 4), std::string("RIFF1234WEBP")})
    check_sentence(refusal(text_bytes(start)), "Copy it again");
}

TEST_CASE("camera raw files are recognised and refused with the way out", "[photo]") {
  const std::string advice = "is a camera raw file, which is not read. Export it as JPEG";
  for (const std::string& start :
       {std::string("II\x2A\0\x10\0\0\0CR\x02\0", 12), std::string("FUJIFILMCCD-RAW 0201"),
        std::string("IIRO\x08\0\0\0", 8), std::string("IIU\0\x18\0\0\0", 8),
        std::string("FOVb\0\0\x02\0", 8), std::string("\0MRM\0\0", 6),
        std::string("\0\0\0\x18"
                    "ftypcrx \0\0",
                    14),
        std::string("II\x1A\0\0\0HEAPCCDR", 14)})
    check_sentence(refusal(text_bytes(start + std::string(64, '\0'))), advice);
  cv::Mat grey;
  cv::cvtColor(drawn_rgb({32, 32}), grey, cv::COLOR_RGB2GRAY);
  check_sentence(refusal(tiff_file(grey, {.is_raw = true})), advice);
}

TEST_CASE("truncated files of every format are refused", "[photo]") {
  const cv::Mat rgb = drawn_rgb({80, 60});
  const std::array files{jpeg_file(rgb), jpeg_file(rgb, {.is_progressive = true}),
                         png_file(rgb),  bmp_file(rgb),
                         tiff_file(rgb), tiff_file(rgb, {.packing = "deflate"}),
                         webp_file(rgb), webp_file(rgb, {.is_lossless = false}),
                         heic_file(rgb)};
  for (size_t i = 0; i < files.size(); ++i)
    for (const double share : {0.1, 0.5, 0.9, 0.99}) {
      const std::string text = refusal(cut(files[i], share));
      CAPTURE(i, share);
      check_sentence(text, "Copy it again from the camera.");
    }
}

TEST_CASE("a PNG chunk that does not match its checksum is refused", "[photo]") {
  Bytes file = png_file(drawn_rgb({40, 40}));
  file[file.size() / 2] ^= std::byte{1};
  check_sentence(refusal(file), "does not match its checksum");
}

TEST_CASE("a JPEG that lost restart intervals is refused", "[photo]") {
  // Two intervals cut out in the middle: a decoder would shift or grey what follows.
  const Bytes file = jpeg_file(drawn_rgb({160, 120}), {.restart_interval = 4});
  std::vector<size_t> restarts;
  for (size_t i = 2; i + 1 < file.size(); ++i)
    if (file[i] == std::byte{0xFF} && (file[i + 1] & std::byte{0xF8}) == std::byte{0xD0})
      restarts.push_back(i);
  REQUIRE(restarts.size() > 20);
  Bytes shorter(file.begin(), file.begin() + static_cast<long>(restarts[8]));
  shorter.insert(shorter.end(), file.begin() + static_cast<long>(restarts[10]), file.end());
  check_sentence(refusal(shorter), "restart markers out of order");
  Bytes eight(file.begin(), file.begin() + static_cast<long>(restarts[8]));
  eight.insert(eight.end(), file.begin() + static_cast<long>(restarts[16]), file.end());
  check_sentence(refusal(eight), "part of the picture is lost");
}

TEST_CASE("pictures without pixels are refused", "[photo]") {
  check_sentence(refusal(png_with(png_header(0, 100), Bytes(10))), "has no pixels (0 x 100)");
  Bytes jpeg = jpeg_file(drawn_rgb({16, 16}));
  set_u16(jpeg, frame_size_at(jpeg), 0);
  check_sentence(refusal(jpeg), "has no pixels (16 x 0)");
  Bytes bmp = bmp_file(drawn_rgb({16, 16}));
  std::memset(bmp.data() + 18, 0, 4);
  check_sentence(refusal(bmp), "has no pixels (0 x 16)");
}

TEST_CASE("pictures over the pixel limit are refused, and accepted under a higher one", "[photo]") {
  const Bytes file = png_file(drawn_rgb({300, 200}));
  check_sentence(refusal(file, {.pixel_limit_mp = 0.05}), "more than the limit of 0.05 megapixels");
  CHECK(refusal(file, {.pixel_limit_mp = 0.06}) == "accepted");
  check_sentence(refusal(tiff_file(drawn_rgb({300, 200})), {.pixel_limit_mp = 0.05}), "limit");
  check_sentence(refusal(webp_file(drawn_rgb({300, 200})), {.pixel_limit_mp = 0.05}), "limit");
  check_sentence(refusal(heic_file(drawn_rgb({300, 200})), {.pixel_limit_mp = 0.05}), "limit");
}

TEST_CASE("files that claim absurd sizes are refused before memory is taken", "[photo]") {
  const long before_kb = peak_memory_kb();
  check_sentence(refusal(png_with(png_header(0xFFFFFFFF, 0xFFFFFFFF), Bytes(100))), "limit");
  check_sentence(refusal(png_with(png_header(14000, 14000), Bytes(1000))), "which no photo does");
  Bytes jpeg = jpeg_file(drawn_rgb({16, 16}));
  set_u16(jpeg, frame_size_at(jpeg), 14000);
  set_u16(jpeg, frame_size_at(jpeg) + 2, 14000);
  check_sentence(refusal(jpeg), "which no photo does");
  set_u16(jpeg, frame_size_at(jpeg), 65535);
  set_u16(jpeg, frame_size_at(jpeg) + 2, 65535);
  check_sentence(refusal(jpeg), "limit");
  // The smallest of them would have taken 588 MB.
  CHECK(peak_memory_kb() - before_kb < 100'000);
}

TEST_CASE("a lossless WebP of 196 megapixels in a few hundred bytes is refused", "[photo]") {
  // One flat colour packs without limit; built by hand after RFC 9649 section 3: the header alone
  // decides.
  Bytes file = webp_file(drawn_rgb({16, 16}));
  const Bytes name = text_bytes("VP8L");
  const auto header = std::search(file.begin(), file.end(), name.begin(), name.end());
  REQUIRE(header != file.end());
  // Signature byte, then 14 bits of width - 1 and 14 of height - 1.
  const size_t at = static_cast<size_t>(header - file.begin()) + 9;
  const std::uint32_t size = 13999U | 13999U << 14;
  for (size_t i = 0; i < 4; ++i) file[at + i] = static_cast<std::byte>(size >> (8 * i) & 255);
  check_sentence(refusal(file), "which no photo does");
}

TEST_CASE("a PNG profile that unpacks without end is refused", "[photo]") {
  const std::vector<unsigned char> zeros(20U << 20);
  Bytes icc;
  append(icc, zeros.data(), zeros.size());
  const Bytes packed = packed_profile(icc);
  REQUIRE(packed.size() < 100'000);
  Bytes out = text_bytes("\x89PNG\r\n\x1A\n");
  for (const auto& [type, body] :
       {std::pair{"IHDR", png_header(4, 4)}, {"iCCP", packed}, {"IDAT", Bytes(20)}, {"IEND", {}}}) {
    const Bytes chunk = png_chunk(type, body);
    append(out, chunk.data(), chunk.size());
  }
  check_sentence(refusal(out), "PNG colour profile");
}

TEST_CASE("print colours, several pages and animations are refused", "[photo]") {
  cv::Mat four;
  cv::cvtColor(drawn_rgb({32, 32}), four, cv::COLOR_RGB2RGBA);
  check_sentence(refusal(jpeg_file(four, {.is_cmyk = true})), "CMYK");
  check_sentence(refusal(tiff_file(four, {.is_cmyk = true})), "CMYK");
  check_sentence(refusal(tiff_file(drawn_rgb({32, 32}), {.pages = 3})), "several pages");
  check_sentence(refusal(webp_file(drawn_rgb({32, 32}), {.is_animated = true})), "animated");
  Bytes animated = text_bytes("\x89PNG\r\n\x1A\n");
  for (const auto& [type, body] : {std::pair{"IHDR", png_header(4, 4)}, {"acTL", Bytes(8)}}) {
    const Bytes chunk = png_chunk(type, body);
    append(animated, chunk.data(), chunk.size());
  }
  check_sentence(refusal(animated), "animated");
}

TEST_CASE("a BMP whose pixels name colours beyond its palette is refused", "[photo]") {
  Bytes file;
  append(file, std::string("BM"));
  append_number(file, 54 + 16 + 16, 4, false);
  append_number(file, 0, 4, false);
  append_number(file, 54 + 16, 4, false);
  append_number(file, 40, 4, false);
  append_number(file, 4, 4, false);
  append_number(file, 4, 4, false);
  append_number(file, 1 | 8 << 16, 4, false);
  append_number(file, 0, 24, false);
  append_number(file, 0x00FF00, 16, false);  // four colours
  append_number(file, 0x03020100, 16, false);
  CHECK(refusal(file) == "accepted");
  file.back() = std::byte{4};
  check_sentence(refusal(file), "beyond the palette");
}

TEST_CASE("missing files, folders and devices are refused by name", "[photo]") {
  CHECK_THROWS_WITH(load_photo("/nowhere/board.jpg"),
                    Catch::StartsWith("/nowhere/board.jpg: cannot be read"));
  CHECK_THROWS_WITH(load_photo("/tmp"), Catch::Contains("is a folder"));
  CHECK_THROWS_WITH(load_photo("/dev/zero"), Catch::Contains("is not a regular file"));
}

TEST_CASE("a file over the file limit is refused unread", "[photo]") {
  const test::TemporaryFolder folder;
  const auto path = folder.path() / "large.png";
  write_file(path, png_file(drawn_rgb({50, 50})));
  CHECK_THROWS_WITH(load_photo(path, {.file_limit_bytes = 100}), Catch::Contains("more than"));
  CHECK(load_photo(path).bgr.cols == 50);
}

TEST_CASE("a file without read permission is refused", "[photo]") {
  const test::TemporaryFolder folder;
  const auto path = folder.path() / "secret.png";
  write_file(path, png_file(drawn_rgb({20, 20})));
  REQUIRE(::chmod(path.c_str(), 0) == 0);
  REQUIRE(::chmod(folder.path().c_str(), 0755) == 0);
  std::array<int, 2> ends{};
  REQUIRE(::pipe(ends.data()) == 0);
  const pid_t child = ::fork();
  if (child == 0) {
    // Permissions mean nothing to root: become nobody first.
    if (::geteuid() == 0 && (::setgid(65534) != 0 || ::setuid(65534) != 0)) ::_exit(1);
    std::string text = "accepted";
    try {
      load_photo(path);
    } catch (const Error& error) {
      text = error.what();
    }
    ::_exit(::write(ends[1], text.data(), text.size()) > 0 ? 0 : 1);
  }
  ::close(ends[1]);
  std::array<char, 500> text{};
  const ssize_t count = ::read(ends[0], text.data(), text.size() - 1);
  ::close(ends[0]);
  int status = 0;
  ::waitpid(child, &status, 0);
  REQUIRE(count > 0);
  CHECK(WEXITSTATUS(status) == 0);
  CHECK_THAT(std::string(text.data()),
             Catch::Contains("secret.png: cannot be read (Permission denied). Ask for permission"));
}

TEST_CASE("decode options that make no sense are wrong use", "[photo]") {
  for (const double limit : {0.0, -1.0, 1e9, std::nan("")}) {
    try {
      DecodeOptions{.pixel_limit_mp = limit}.check();
      FAIL("accepted");
    } catch (const Error& error) {
      CHECK(error.kind() == ErrorKind::wrong_use);
      CHECK_THAT(error.what(), Catch::Contains("pixel limit"));
    }
  }
}
