// TIFF 6.0 and BigTIFF by libtiff. Memory stays bounded by the picture: strips are read row by row,
// tiles one at a time.
#include <fmt/format.h>
#include <tiffio.h>

#include <algorithm>
#include <array>
#include <cstdarg>
#include <cstdio>
#include <cstring>
#include <memory>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "photo/decoders.h"
#include "photo/tiff_file.h"

namespace verdigrid {

namespace {

struct Layout {
  std::uint32_t width = 0, height = 0;
  std::uint16_t bits = 1, samples = 1, photometric = 0, planar = PLANARCONFIG_CONTIG;
  std::uint16_t compression = COMPRESSION_NONE, format = SAMPLEFORMAT_UINT, orientation = 1;
  int colours = 0;  // 1 or 3
  bool has_alpha = false, is_premultiplied = false;
};

template <typename T>
T field(TIFF* tiff, ttag_t tag, T otherwise) {
  T value = otherwise;
  return TIFFGetFieldDefaulted(tiff, tag, &value) ? value : otherwise;
}

void read_extra_samples(TIFF* tiff, Layout& out) {
  std::uint16_t count = 0;
  std::uint16_t* kinds = nullptr;
  if (!TIFFGetField(tiff, TIFFTAG_EXTRASAMPLES, &count, &kinds) || count == 0) return;
  out.has_alpha = kinds[0] != EXTRASAMPLE_UNSPECIFIED;
  out.is_premultiplied = kinds[0] == EXTRASAMPLE_ASSOCALPHA;
}

Layout layout_of(TIFF* tiff) {
  Layout out;
  out.width = field<std::uint32_t>(tiff, TIFFTAG_IMAGEWIDTH, 0);
  out.height = field<std::uint32_t>(tiff, TIFFTAG_IMAGELENGTH, 0);
  out.bits = field<std::uint16_t>(tiff, TIFFTAG_BITSPERSAMPLE, 1);
  out.samples = field<std::uint16_t>(tiff, TIFFTAG_SAMPLESPERPIXEL, 1);
  out.planar = field<std::uint16_t>(tiff, TIFFTAG_PLANARCONFIG, PLANARCONFIG_CONTIG);
  out.compression = field<std::uint16_t>(tiff, TIFFTAG_COMPRESSION, COMPRESSION_NONE);
  out.format = field<std::uint16_t>(tiff, TIFFTAG_SAMPLEFORMAT, SAMPLEFORMAT_UINT);
  out.orientation = field<std::uint16_t>(tiff, TIFFTAG_ORIENTATION, 1);
  if (out.orientation < 1 || out.orientation > 8) out.orientation = 1;
  if (!TIFFGetField(tiff, TIFFTAG_PHOTOMETRIC, &out.photometric))
    fault_damaged("TIFF that does not say how its colours are meant");
  out.colours = out.photometric == PHOTOMETRIC_RGB || out.photometric == PHOTOMETRIC_YCBCR ||
                        out.photometric == PHOTOMETRIC_PALETTE
                    ? 3
                    : 1;
  read_extra_samples(tiff, out);
  return out;
}

void check_colours(const Layout& layout) {
  switch (layout.photometric) {
    case PHOTOMETRIC_MINISWHITE:
    case PHOTOMETRIC_MINISBLACK:
    case PHOTOMETRIC_RGB:
    case PHOTOMETRIC_PALETTE:
    case PHOTOMETRIC_YCBCR:
      break;
    case PHOTOMETRIC_SEPARATED:
      fault_unsupported("is a TIFF in print colours (CMYK)");
    default:
      fault_unsupported(
          fmt::format("is a TIFF in colours that are not read (kind {})", layout.photometric));
  }
  if (layout.format != SAMPLEFORMAT_UINT && layout.format != SAMPLEFORMAT_VOID)
    fault_unsupported("is a TIFF with signed or floating-point numbers");
  if (layout.bits != 1 && layout.bits != 2 && layout.bits != 4 && layout.bits != 8 &&
      layout.bits != 16)
    fault_unsupported(fmt::format("is a TIFF with {} bits per channel", layout.bits));
  if (!TIFFIsCODECConfigured(layout.compression))
    fault_unsupported(fmt::format("is a TIFF packed in a way that is not read (compression {})",
                                  layout.compression));
  const int needed = layout.photometric == PHOTOMETRIC_PALETTE ? 1 : layout.colours;
  if (layout.samples < needed || layout.samples > needed + 4)
    fault_damaged(fmt::format("TIFF with {} samples per pixel", layout.samples));
}

// Every strip or tile must lie inside the file before memory is taken.
void check_pieces(TIFF* tiff, size_t file_bytes) {
  const std::uint32_t count =
      TIFFIsTiled(tiff) ? TIFFNumberOfTiles(tiff) : TIFFNumberOfStrips(tiff);
  if (count == 0) fault_damaged("TIFF without picture data");
  for (std::uint32_t i = 0; i < count; ++i) {
    const std::uint64_t from = TIFFGetStrileOffset(tiff, i);
    const std::uint64_t bytes = TIFFGetStrileByteCount(tiff, i);
    if (from == 0 || bytes == 0) fault_damaged("TIFF in which a piece of the picture is missing");
    if (from > file_bytes || bytes > file_bytes - from)
      fault_cut_short("TIFF with picture data beyond its end");
  }
}

// Channels wanted from each pixel: colours first, then alpha where there is one.
int wanted_channels(const Layout& layout) {
  const bool takes_alpha = layout.has_alpha && layout.samples > layout.colours;
  return layout.colours + (takes_alpha ? 1 : 0);
}

// Copies `count` pixels of `from` (step `from_step` samples) into row `y`, column `x`, channel
// `channel` on; `width` channels at once.
template <typename T>
struct Copy {
  cv::Mat& to;
  int from_step;

  void run(const void* from, cv::Point at, int count, int first_channel, int channels) const {
    const T* source = static_cast<const T*>(from);
    const int step = to.channels();
    T* target = to.ptr<T>(at.y) + at.x * step + first_channel;
    for (int i = 0; i < count; ++i, source += from_step, target += step)
      for (int c = 0; c < channels; ++c) target[c] = source[c];
  }
};

void copy_pixels(cv::Mat& to, const void* from, int from_step, cv::Point at, int count,
                 int first_channel, int channels) {
  if (to.depth() == CV_16U)
    Copy<std::uint16_t>{to, from_step}.run(from, at, count, first_channel, channels);
  else
    Copy<std::uint8_t>{to, from_step}.run(from, at, count, first_channel, channels);
}

[[noreturn]] void fault_piece(const TiffFile& file) {
  fault_damaged(fmt::format("TIFF picture data: {}", file.last_message()));
}

struct PlaneReader {
  const TiffFile& file;
  const Layout& layout;
  cv::Mat& to;

  bool is_split() const { return layout.planar == PLANARCONFIG_SEPARATE && layout.samples > 1; }
  int from_step() const { return is_split() ? 1 : layout.samples; }
  int channels_at_once() const { return is_split() ? 1 : to.channels(); }

  void rows(int plane) const {
    TIFF* tiff = file.get();
    std::vector<std::byte> row(static_cast<size_t>(TIFFScanlineSize64(tiff)));
    const size_t sample = layout.bits / 8U;
    if (row.size() < sample * layout.width * static_cast<size_t>(from_step()))
      fault_damaged("TIFF rows shorter than the picture is wide");
    for (int y = 0; y < to.rows; ++y) {
      if (TIFFReadScanline(tiff, row.data(), static_cast<std::uint32_t>(y),
                           static_cast<std::uint16_t>(plane)) != 1)
        fault_piece(file);
      copy_pixels(to, row.data(), from_step(), {0, y}, to.cols, plane, channels_at_once());
    }
  }

  void tiles(int plane) const {
    TIFF* tiff = file.get();
    const auto width = static_cast<int>(field<std::uint32_t>(tiff, TIFFTAG_TILEWIDTH, 0));
    const auto height = static_cast<int>(field<std::uint32_t>(tiff, TIFFTAG_TILELENGTH, 0));
    const size_t row_bytes = static_cast<size_t>(TIFFTileRowSize64(tiff));
    const size_t tile_bytes = static_cast<size_t>(TIFFTileSize64(tiff));
    const size_t sample = layout.bits / 8U;
    if (width <= 0 || height <= 0 || tile_bytes / static_cast<size_t>(height) < row_bytes ||
        row_bytes < sample * static_cast<size_t>(width) * static_cast<size_t>(from_step()))
      fault_damaged("TIFF tiles of a wrong size");
    check_tile_bytes(tile_bytes);
    std::vector<std::byte> tile(tile_bytes);
    for (int y0 = 0; y0 < to.rows; y0 += height)
      for (int x0 = 0; x0 < to.cols; x0 += width) {
        if (TIFFReadTile(tiff, tile.data(), static_cast<std::uint32_t>(x0),
                         static_cast<std::uint32_t>(y0), 0, static_cast<std::uint16_t>(plane)) < 0)
          fault_piece(file);
        for (int y = y0; y < std::min(to.rows, y0 + height); ++y)
          copy_pixels(to, tile.data() + static_cast<size_t>(y - y0) * row_bytes, from_step(),
                      {x0, y}, std::min(width, to.cols - x0), plane, channels_at_once());
      }
  }

  // A tile much larger than the picture is a way to fill memory.
  void check_tile_bytes(size_t tile_bytes) const {
    const size_t picture = to.total() * to.elemSize();
    if (tile_bytes > std::max<size_t>(4 * picture, size_t{16} << 20))
      fault_damaged("TIFF tiles larger than the picture");
  }
};

cv::Mat whole_samples(const TiffFile& file, const Layout& layout) {
  const int channels = wanted_channels(layout);
  cv::Mat out(static_cast<int>(layout.height), static_cast<int>(layout.width),
              CV_MAKETYPE(layout.bits == 16 ? CV_16U : CV_8U, channels));
  const PlaneReader reader{file, layout, out};
  const int planes = reader.is_split() ? channels : 1;
  for (int plane = 0; plane < planes; ++plane)
    TIFFIsTiled(file.get()) ? reader.tiles(plane) : reader.rows(plane);
  if (layout.photometric == PHOTOMETRIC_MINISWHITE) cv::bitwise_not(out, out);
  return out;
}

// Palettes, few bits, and subsampled YCbCr: the library's own conversion to 8 bits.
cv::Mat converted_samples(const TiffFile& file, const Layout& layout) {
  TIFFRGBAImage image{};
  std::array<char, 1024> message{};
  if (!TIFFRGBAImageOK(file.get(), message.data()) ||
      !TIFFRGBAImageBegin(&image, file.get(), 1, message.data()))
    fault_unsupported(
        fmt::format("is a TIFF of a kind that is not read ({})", std::string(message.data())));
  const std::unique_ptr<TIFFRGBAImage, decltype(&TIFFRGBAImageEnd)> end(&image, &TIFFRGBAImageEnd);
  image.req_orientation = image.orientation;  // as stored: the tag is applied later, once
  cv::Mat rgba(static_cast<int>(layout.height), static_cast<int>(layout.width), CV_8UC4);
  if (!TIFFRGBAImageGet(&image, rgba.ptr<std::uint32_t>(), layout.width, layout.height))
    fault_piece(file);
  cv::Mat bgr;
  cv::cvtColor(rgba, bgr, cv::COLOR_RGBA2BGR);
  return bgr;
}

// Premultiplied colour c with alpha a over white is c + (1 - a) white.
cv::Mat flattened_premultiplied(const cv::Mat& samples) {
  std::vector<cv::Mat> planes;
  cv::split(samples, planes);
  const double top = samples.depth() == CV_16U ? 65535 : 255;
  const cv::Mat light = cv::Scalar::all(top) - planes.back();
  planes.pop_back();
  for (cv::Mat& plane : planes) plane += light;
  cv::Mat out;
  cv::merge(planes, out);
  return out;
}

Bytes profile_of(TIFF* tiff) {
  std::uint32_t count = 0;
  void* data = nullptr;
  if (!TIFFGetField(tiff, TIFFTAG_ICCPROFILE, &count, &data) || count > k_metadata_limit_bytes)
    return {};
  const auto* first = static_cast<const std::byte*>(data);
  return {first, first + count};
}

std::string text_of(TIFF* tiff, ttag_t tag) {
  const char* text = nullptr;
  return TIFFGetField(tiff, tag, &text) && text ? std::string(text) : std::string();
}

// Leaves the picture's directory: call it last.
ExifFacts facts_of(TIFF* tiff, const Layout& layout) {
  ExifFacts facts;
  facts.orientation = layout.orientation;
  facts.camera = camera_name(text_of(tiff, TIFFTAG_MAKE), text_of(tiff, TIFFTAG_MODEL));
  toff_t exif_at = 0;
  if (TIFFGetField(tiff, TIFFTAG_EXIFIFD, &exif_at) && TIFFReadEXIFDirectory(tiff, exif_at))
    facts.captured_at = time_from_exif(text_of(tiff, EXIFTAG_DATETIMEORIGINAL));
  return facts;
}

Raster raster_of(const TiffFile& file, const Layout& layout) {
  Raster raster;
  raster.icc = profile_of(file.get());
  const bool is_direct =
      layout.bits >= 8 && layout.photometric != PHOTOMETRIC_PALETTE &&
      (layout.photometric != PHOTOMETRIC_YCBCR || layout.compression == COMPRESSION_JPEG);
  if (!is_direct) {
    raster.samples = converted_samples(file, layout);
    raster.order = SampleOrder::bgr;
    return raster;
  }
  if (layout.photometric == PHOTOMETRIC_YCBCR)
    TIFFSetField(file.get(), TIFFTAG_JPEGCOLORMODE, JPEGCOLORMODE_RGB);
  raster.samples = whole_samples(file, layout);
  if (layout.is_premultiplied && raster.samples.channels() % 2 == 0)
    raster.samples = flattened_premultiplied(raster.samples);
  return raster;
}

}  // namespace

Decoded tiff_decoded(std::span<const std::byte> bytes, double limit_mp) {
  const TiffFile file(bytes, limit_mp);
  file.choose_picture();
  const Layout layout = layout_of(file.get());
  Container container;
  container.width_px = layout.width;
  container.height_px = layout.height;
  container.channels = layout.samples;
  container.bits_per_channel = layout.bits;
  check_colours(layout);
  check_picture_size(container, bytes.size(), limit_mp);
  check_pieces(file.get(), bytes.size());
  if (file.is_cut()) fault_cut_short("TIFF with a table beyond its end");
  Decoded out;
  out.raster = raster_of(file, layout);
  // A damaged JPEG strip is only warned about and filled with grey.
  if (layout.compression == COMPRESSION_JPEG && file.has_warned()) fault_piece(file);
  out.stored_size_px = {static_cast<int>(layout.width), static_cast<int>(layout.height)};
  out.bits_per_channel = layout.bits;
  out.facts = facts_of(file.get(), layout);
  if (file.is_cut()) fault_cut_short("TIFF with a table beyond its end");
  return out;
}

}  // namespace verdigrid
