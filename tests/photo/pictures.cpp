#include "tests/photo/pictures.h"

#include <jpeglib.h>
#include <png.h>
#include <zlib.h>

#include <algorithm>
#include <cstdlib>
#include <cstring>
#include <opencv2/imgproc.hpp>
#include <stdexcept>
#include <vector>

namespace verdigrid::testing {

cv::Mat drawn_rgb(cv::Size size) {
  cv::Mat out(size, CV_8UC3);
  for (int y = 0; y < size.height; ++y)
    for (int x = 0; x < size.width; ++x)
      out.at<cv::Vec3b>(y, x) =
          cv::Vec3b(cv::saturate_cast<uchar>(40 + 170 * x / size.width),
                    cv::saturate_cast<uchar>(210 - 150 * y / size.height),
                    cv::saturate_cast<uchar>(60 + 60 * x / size.width + 60 * y / size.height));
  const int unit = std::max(1, std::min(size.width, size.height) / 8);
  cv::rectangle(out, cv::Rect(0, 0, 2 * unit, unit), cv::Scalar(230, 30, 30), cv::FILLED);
  cv::rectangle(out, cv::Rect(size.width - unit, 0, unit, 2 * unit), cv::Scalar(30, 220, 40),
                cv::FILLED);
  cv::circle(out, {2 * unit, size.height - 2 * unit}, unit, cv::Scalar(30, 40, 220), cv::FILLED);
  return out;
}

void append(Bytes& to, const void* data, size_t count) {
  if (count == 0) return;
  const size_t size = to.size();
  to.resize(size + count);
  std::memcpy(to.data() + size, data, count);
}

void append(Bytes& to, const std::string& text) { append(to, text.data(), text.size()); }

void append_number(Bytes& to, std::uint64_t value, size_t count, bool is_big_endian) {
  for (size_t i = 0; i < count; ++i) {
    const size_t place = is_big_endian ? count - 1 - i : i;
    to.push_back(static_cast<std::byte>(place < 8 ? value >> (8 * place) & 255 : 0));
  }
}

Bytes jpeg_file(const cv::Mat& pixels, const JpegWish& wish) {
  jpeg_compress_struct info{};
  jpeg_error_mgr fault{};
  info.err = jpeg_std_error(&fault);
  jpeg_create_compress(&info);
  unsigned char* buffer = nullptr;
  unsigned long size = 0;
  jpeg_mem_dest(&info, &buffer, &size);
  info.image_width = static_cast<JDIMENSION>(pixels.cols);
  info.image_height = static_cast<JDIMENSION>(pixels.rows);
  info.input_components = pixels.channels();
  info.in_color_space =
      pixels.channels() == 1 ? JCS_GRAYSCALE : (pixels.channels() == 4 ? JCS_CMYK : JCS_RGB);
  jpeg_set_defaults(&info);
  if (wish.is_cmyk) jpeg_set_colorspace(&info, JCS_CMYK);
  jpeg_set_quality(&info, wish.quality, TRUE);
  info.comp_info[0].h_samp_factor = info.comp_info[0].v_samp_factor = wish.subsampling;
  info.restart_interval = static_cast<unsigned>(wish.restart_interval);
  if (wish.is_progressive) jpeg_simple_progression(&info);
  jpeg_start_compress(&info, TRUE);
  if (!wish.exif.empty()) {
    Bytes segment;
    append(segment, std::string("Exif\0\0", 6));
    append(segment, wish.exif.data(), wish.exif.size());
    jpeg_write_marker(&info, JPEG_APP0 + 1, reinterpret_cast<const JOCTET*>(segment.data()),
                      static_cast<unsigned>(segment.size()));
  }
  if (!wish.icc.empty())
    jpeg_write_icc_profile(&info, reinterpret_cast<const JOCTET*>(wish.icc.data()),
                           static_cast<unsigned>(wish.icc.size()));
  while (info.next_scanline < info.image_height) {
    auto* row = const_cast<JSAMPROW>(pixels.ptr(static_cast<int>(info.next_scanline)));
    jpeg_write_scanlines(&info, &row, 1);
  }
  jpeg_finish_compress(&info);
  jpeg_destroy_compress(&info);
  Bytes out;
  append(out, buffer, size);
  std::free(buffer);
  return out;
}

namespace {

void append_png(png_structp png, png_bytep data, png_size_t count) {
  append(*static_cast<Bytes*>(png_get_io_ptr(png)), data, count);
}

int png_colour_type(int channels) {
  return channels == 1 ? PNG_COLOR_TYPE_GRAY
                       : (channels == 3 ? PNG_COLOR_TYPE_RGB : PNG_COLOR_TYPE_RGB_ALPHA);
}

}  // namespace

Bytes png_file(const cv::Mat& pixels, const PngWish& wish) {
  Bytes out;
  png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, nullptr, nullptr, nullptr);
  png_infop info = png_create_info_struct(png);
  png_set_write_fn(png, &out, append_png, nullptr);
  const int bits = pixels.depth() == CV_16U ? 16 : 8;
  png_set_IHDR(png, info, static_cast<png_uint_32>(pixels.cols),
               static_cast<png_uint_32>(pixels.rows), bits, png_colour_type(pixels.channels()),
               wish.is_interlaced ? PNG_INTERLACE_ADAM7 : PNG_INTERLACE_NONE,
               PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
  if (!wish.icc.empty())
    png_set_iCCP(png, info, "profile", PNG_COMPRESSION_TYPE_BASE,
                 reinterpret_cast<png_const_bytep>(wish.icc.data()),
                 static_cast<png_uint_32>(wish.icc.size()));
  if (!wish.exif.empty())
    png_set_eXIf_1(png, info, static_cast<png_uint_32>(wish.exif.size()),
                   reinterpret_cast<png_bytep>(const_cast<std::byte*>(wish.exif.data())));
  png_write_info(png, info);
  if (bits == 16) png_set_swap(png);
  std::vector<png_bytep> rows;
  for (int y = 0; y < pixels.rows; ++y) rows.push_back(const_cast<png_bytep>(pixels.ptr(y)));
  png_write_image(png, rows.data());
  png_write_end(png, nullptr);
  png_destroy_write_struct(&png, &info);
  return out;
}

Bytes packed_profile(const Bytes& icc) {
  uLongf size = compressBound(static_cast<uLong>(icc.size()));
  Bytes packed(size);
  compress2(reinterpret_cast<Bytef*>(packed.data()), &size,
            reinterpret_cast<const Bytef*>(icc.data()), static_cast<uLong>(icc.size()), 9);
  Bytes out;
  append(out, std::string("profile\0\0", 9));
  append(out, packed.data(), size);
  return out;
}

Bytes png_chunk(const std::string& type, const Bytes& body) {
  Bytes covered;
  append(covered, type);
  append(covered, body.data(), body.size());
  Bytes out;
  append_number(out, body.size(), 4, true);
  append(out, covered.data(), covered.size());
  append_number(
      out,
      crc32(0, reinterpret_cast<const Bytef*>(covered.data()), static_cast<uInt>(covered.size())),
      4, true);
  return out;
}

Bytes bmp_file(const cv::Mat& pixels) {
  const int channels = pixels.channels();
  const size_t row_bytes = (static_cast<size_t>(pixels.cols * channels) + 3) / 4 * 4;
  Bytes out;
  append(out, std::string("BM"));
  append_number(out, 54 + row_bytes * static_cast<size_t>(pixels.rows), 4, false);
  append_number(out, 0, 4, false);
  append_number(out, 54, 4, false);
  append_number(out, 40, 4, false);
  append_number(out, static_cast<std::uint64_t>(pixels.cols), 4, false);
  append_number(out, static_cast<std::uint64_t>(pixels.rows), 4, false);
  append_number(out, 1, 2, false);
  append_number(out, static_cast<std::uint64_t>(8 * channels), 2, false);
  append_number(out, 0, 24, false);
  for (int y = pixels.rows - 1; y >= 0; --y) {
    const size_t start = out.size();
    for (int x = 0; x < pixels.cols; ++x) {
      const uchar* p = pixels.ptr(y) + x * channels;
      for (const int c : {2, 1, 0}) out.push_back(static_cast<std::byte>(p[c]));
      if (channels == 4) out.push_back(static_cast<std::byte>(p[3]));
    }
    out.resize(start + row_bytes);
  }
  return out;
}

namespace {

struct Entry {
  std::uint16_t tag, type;
  std::uint32_t count;
  Bytes value;
};

Entry ascii_entry(std::uint16_t tag, const std::string& text) {
  Entry entry{tag, 2, static_cast<std::uint32_t>(text.size() + 1), {}};
  append(entry.value, text.c_str(), text.size() + 1);
  return entry;
}

Entry number_entry(std::uint16_t tag, std::uint16_t type, std::uint64_t value, bool big) {
  Entry entry{tag, type, 1, {}};
  append_number(entry.value, value, type == 3 ? 2 : 4, big);
  return entry;
}

void append_directory(Bytes& out, const std::vector<Entry>& entries, bool big) {
  size_t data_at = out.size() + 2 + 12 * entries.size() + 4;
  Bytes data;
  append_number(out, entries.size(), 2, big);
  for (const Entry& entry : entries) {
    append_number(out, entry.tag, 2, big);
    append_number(out, entry.type, 2, big);
    append_number(out, entry.count, 4, big);
    Bytes value = entry.value;
    if (value.size() > 4) {
      append_number(out, data_at + data.size(), 4, big);
      append(data, value.data(), value.size());
      if (data.size() % 2) data.push_back(std::byte{0});
    } else {
      value.resize(4);
      append(out, value.data(), 4);
    }
  }
  append_number(out, 0, 4, big);
  append(out, data.data(), data.size());
}

std::vector<Entry> main_entries(const ExifWish& wish, size_t exif_at) {
  const bool big = wish.is_big_endian;
  std::vector<Entry> entries;
  if (!wish.make.empty()) entries.push_back(ascii_entry(0x010F, wish.make));
  if (!wish.model.empty()) entries.push_back(ascii_entry(0x0110, wish.model));
  entries.push_back(number_entry(0x0112, 3, static_cast<std::uint64_t>(wish.orientation), big));
  entries.push_back(number_entry(0x8769, 4, exif_at, big));
  return entries;
}

}  // namespace

Bytes exif_block(const ExifWish& wish) {
  const bool big = wish.is_big_endian;
  const auto block = [&](size_t exif_at, size_t interoperability_at, int parts) {
    Bytes out;
    append(out, std::string(big ? "MM" : "II"));
    append_number(out, 42, 2, big);
    append_number(out, 8, 4, big);
    append_directory(out, main_entries(wish, exif_at), big);
    if (parts < 2) return out;
    std::vector<Entry> exif;
    if (!wish.time.empty()) exif.push_back(ascii_entry(0x9003, wish.time));
    if (!wish.interoperability.empty())
      exif.push_back(number_entry(0xA005, 4, interoperability_at, big));
    append_directory(out, exif, big);
    if (parts < 3 || wish.interoperability.empty()) return out;
    append_directory(out, {ascii_entry(0x0001, wish.interoperability)}, big);
    return out;
  };
  const size_t exif_at = block(0, 0, 1).size();
  const size_t interoperability_at = block(exif_at, 0, 2).size();
  return block(exif_at, interoperability_at, 3);
}

Bytes debian_profile(const std::string& file_name) {
  return read_file("/usr/share/color/icc/" + file_name, 64 << 20);
}

}  // namespace verdigrid::testing
