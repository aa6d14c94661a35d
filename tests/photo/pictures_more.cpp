// TIFF, WebP and HEIC files for the decoder's tests.
#include <tiffio.h>
#include <webp/encode.h>

#include <algorithm>
#include <cstring>
#include <opencv2/imgproc.hpp>
#include <stdexcept>
#include <vector>

#include "tests/photo/pictures.h"
#include "tests/process.h"

namespace verdigrid::testing {

namespace {

std::uint16_t compression(const std::string& packing) {
  if (packing == "lzw") return COMPRESSION_LZW;
  if (packing == "deflate") return COMPRESSION_ADOBE_DEFLATE;
  if (packing == "packbits") return COMPRESSION_PACKBITS;
  if (packing == "jpeg") return COMPRESSION_JPEG;
  return COMPRESSION_NONE;
}

std::uint16_t photometric(const TiffWish& wish, int channels) {
  if (wish.is_raw) return 32803;
  if (wish.is_palette) return PHOTOMETRIC_PALETTE;
  if (wish.is_cmyk) return PHOTOMETRIC_SEPARATED;
  if (wish.packing == "jpeg" && channels == 3) return PHOTOMETRIC_YCBCR;
  if (channels >= 3) return PHOTOMETRIC_RGB;
  return wish.is_white_zero ? PHOTOMETRIC_MINISWHITE : PHOTOMETRIC_MINISBLACK;
}

void set_palette(TIFF* tiff) {
  std::vector<std::uint16_t> map(3 * 256);
  for (size_t i = 0; i < 256; ++i) {
    map[i] = static_cast<std::uint16_t>(257 * i);
    map[256 + i] = static_cast<std::uint16_t>(257 * (255 - i));
    map[512 + i] = 257 * 40;
  }
  TIFFSetField(tiff, TIFFTAG_COLORMAP, map.data(), map.data() + 256, map.data() + 512);
}

void set_fields(TIFF* tiff, const cv::Mat& pixels, const TiffWish& wish) {
  const int channels = pixels.channels();
  TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, static_cast<std::uint32_t>(pixels.cols));
  TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, static_cast<std::uint32_t>(pixels.rows));
  TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, pixels.depth() == CV_16U ? 16 : 8);
  TIFFSetField(tiff, TIFFTAG_SAMPLESPERPIXEL, channels);
  TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC, photometric(wish, channels));
  TIFFSetField(tiff, TIFFTAG_COMPRESSION, compression(wish.packing));
  TIFFSetField(tiff, TIFFTAG_PLANARCONFIG,
               wish.is_split ? PLANARCONFIG_SEPARATE : PLANARCONFIG_CONTIG);
  TIFFSetField(tiff, TIFFTAG_ORIENTATION, wish.orientation);
  if (channels == 4 && !wish.is_cmyk) {
    const std::uint16_t kind =
        wish.is_premultiplied ? EXTRASAMPLE_ASSOCALPHA : EXTRASAMPLE_UNASSALPHA;
    TIFFSetField(tiff, TIFFTAG_EXTRASAMPLES, 1, &kind);
  }
  if (wish.is_palette) set_palette(tiff);
  if (wish.packing == "jpeg") {
    TIFFSetField(tiff, TIFFTAG_JPEGCOLORMODE, JPEGCOLORMODE_RGB);
    TIFFSetField(tiff, TIFFTAG_JPEGQUALITY, 98);
  }
  if (!wish.make.empty()) TIFFSetField(tiff, TIFFTAG_MAKE, wish.make.c_str());
  if (!wish.model.empty()) TIFFSetField(tiff, TIFFTAG_MODEL, wish.model.c_str());
  if (!wish.icc.empty())
    TIFFSetField(tiff, TIFFTAG_ICCPROFILE, static_cast<std::uint32_t>(wish.icc.size()),
                 wish.icc.data());
  if (wish.is_tiled) {
    TIFFSetField(tiff, TIFFTAG_TILEWIDTH, 32);
    TIFFSetField(tiff, TIFFTAG_TILELENGTH, 16);
  } else {
    TIFFSetField(tiff, TIFFTAG_ROWSPERSTRIP, 16);
  }
}

void write_tiles(TIFF* tiff, const cv::Mat& plane, int sample) {
  for (int y = 0; y < plane.rows; y += 16)
    for (int x = 0; x < plane.cols; x += 32) {
      cv::Mat tile(16, 32, plane.type(), cv::Scalar::all(0));
      const cv::Rect part = cv::Rect(x, y, 32, 16) & cv::Rect({0, 0}, plane.size());
      plane(part).copyTo(tile(cv::Rect({0, 0}, part.size())));
      TIFFWriteTile(tiff, tile.data, static_cast<std::uint32_t>(x), static_cast<std::uint32_t>(y),
                    0, static_cast<std::uint16_t>(sample));
    }
}

void write_rows(TIFF* tiff, const cv::Mat& plane, int sample) {
  for (int y = 0; y < plane.rows; ++y) {
    cv::Mat row = plane.row(y).clone();
    TIFFWriteScanline(tiff, row.data, static_cast<std::uint32_t>(y),
                      static_cast<std::uint16_t>(sample));
  }
}

void write_exif(TIFF* tiff, const TiffWish& wish) {
  if (wish.time.empty()) return;
  TIFFWriteDirectory(tiff);
  TIFFCreateEXIFDirectory(tiff);
  TIFFSetField(tiff, EXIFTAG_DATETIMEORIGINAL, wish.time.c_str());
  toff_t at = 0;
  TIFFWriteCustomDirectory(tiff, &at);
  TIFFSetDirectory(tiff, 0);
  TIFFSetField(tiff, TIFFTAG_EXIFIFD, at);
}

}  // namespace

Bytes tiff_file(const cv::Mat& pixels, const TiffWish& wish) {
  const test::TemporaryFolder folder;
  const auto path = folder.path() / "a.tif";
  const std::string mode =
      std::string("w") + (wish.is_big ? "8" : "4") + (wish.is_big_endian ? "b" : "l");
  TIFF* tiff = TIFFOpen(path.c_str(), mode.c_str());
  if (!tiff) throw std::runtime_error("no TIFF");
  for (int page = 0; page < wish.pages; ++page) {
    set_fields(tiff, pixels, wish);
    std::vector<cv::Mat> planes{pixels};
    if (wish.is_split) cv::split(pixels, planes);
    for (size_t i = 0; i < planes.size(); ++i)
      wish.is_tiled ? write_tiles(tiff, planes[i], static_cast<int>(i))
                    : write_rows(tiff, planes[i], static_cast<int>(i));
    if (page + 1 < wish.pages) TIFFWriteDirectory(tiff);
  }
  write_exif(tiff, wish);
  TIFFClose(tiff);
  return read_file(path, 1U << 30);
}

namespace {

void append_riff_chunk(Bytes& to, const std::string& type, const Bytes& body) {
  append(to, type);
  append_number(to, body.size(), 4, false);
  append(to, body.data(), body.size());
  if (body.size() % 2) to.push_back(std::byte{0});
}

Bytes plain_webp(const cv::Mat& pixels, bool is_lossless) {
  std::uint8_t* data = nullptr;
  size_t size = 0;
  const int stride = static_cast<int>(pixels.step[0]);
  if (pixels.channels() == 4 && is_lossless)
    size = WebPEncodeLosslessRGBA(pixels.data, pixels.cols, pixels.rows, stride, &data);
  else if (is_lossless)
    size = WebPEncodeLosslessRGB(pixels.data, pixels.cols, pixels.rows, stride, &data);
  else
    size = WebPEncodeRGB(pixels.data, pixels.cols, pixels.rows, stride, 95, &data);
  Bytes out;
  append(out, data, size);
  WebPFree(data);
  return out;
}

}  // namespace

Bytes webp_file(const cv::Mat& pixels, const WebpWish& wish) {
  const Bytes plain = plain_webp(pixels, wish.is_lossless);
  if (wish.orientation == 0 && wish.icc.empty() && !wish.is_animated) return plain;
  // RFC 9649 section 2.7: flags, canvas less one, then the chunks in order.
  Bytes extended;
  const unsigned flags = (wish.icc.empty() ? 0U : 0x20U) | (pixels.channels() == 4 ? 0x10U : 0U) |
                         (wish.orientation ? 0x08U : 0U) | (wish.is_animated ? 0x02U : 0U);
  append_number(extended, flags, 4, false);
  append_number(extended, static_cast<std::uint64_t>(pixels.cols - 1), 3, false);
  append_number(extended, static_cast<std::uint64_t>(pixels.rows - 1), 3, false);
  Bytes body;
  append(body, std::string("WEBP"));
  append_riff_chunk(body, "VP8X", extended);
  if (!wish.icc.empty()) append_riff_chunk(body, "ICCP", wish.icc);
  if (wish.is_animated) append_riff_chunk(body, "ANIM", Bytes(6));
  append(body, plain.data() + 12, plain.size() - 12);
  if (wish.orientation)
    append_riff_chunk(body, "EXIF",
                      exif_block({wish.orientation, wish.time, wish.make, wish.model, {}, false}));
  Bytes out;
  append(out, std::string("RIFF"));
  append_number(out, body.size(), 4, false);
  append(out, body.data(), body.size());
  return out;
}

Bytes heic_file(const cv::Mat& pixels, const HeicWish& wish) {
  const test::TemporaryFolder folder;
  const JpegWish& jpeg = wish.through_jpeg;
  const bool is_jpeg = !jpeg.exif.empty() || !jpeg.icc.empty();
  const auto from = folder.path() / (is_jpeg ? "a.jpg" : "a.png");
  const auto to = folder.path() / "a.heic";
  write_file(from, is_jpeg ? jpeg_file(pixels, jpeg) : png_file(pixels));
  std::vector<std::string> command{"heif-enc",   "-q",          "100", "-p",
                                   "chroma=444", from.string(), "-o",  to.string()};
  if (wish.bits > 8) command.insert(command.end(), {"-b", std::to_string(wish.bits)});
  const test::Outcome outcome = test::run(command);
  if (outcome.code != 0) throw std::runtime_error("heif-enc: " + outcome.err);
  return read_file(to, 1U << 30);
}

Bytes boxed_heic_file(const cv::Mat& pixels, int orientation, int primaries, int transfer) {
  const test::TemporaryFolder folder;
  const auto from = folder.path() / "a.rgb", to = folder.path() / "a.heic";
  Bytes raw;
  append(raw, pixels.data, pixels.total() * pixels.elemSize());
  write_file(from, raw);
  const test::Outcome outcome =
      test::run({VERDIGRID_HEIC_MAKER, std::to_string(pixels.cols), std::to_string(pixels.rows),
                 std::to_string(orientation), from.string(), to.string()});
  if (outcome.code != 0) throw std::runtime_error("HEIC maker: " + outcome.err);
  Bytes file = read_file(to, 1U << 30);
  // The library writes 2 and 2 whatever it is told; the box is ISO/IEC 14496-12 section 12.1.5.
  Bytes name;
  append(name, std::string("colrnclx"));
  const auto box = std::search(file.begin(), file.end(), name.begin(), name.end());
  if (box == file.end()) throw std::runtime_error("no coding parameters");
  *(box + 9) = static_cast<std::byte>(primaries);
  *(box + 11) = static_cast<std::byte>(transfer);
  return file;
}

}  // namespace verdigrid::testing
