#include "photo/thumbnail.h"

#include <fmt/format.h>
// jpeglib.h needs size_t and FILE.
#include <cstdio>
// clang-format off
#include <jpeglib.h>
// clang-format on

#include <algorithm>
#include <csetjmp>
#include <opencv2/imgproc.hpp>
#include <optional>

#include "base/error.h"
#include "photo/container.h"
#include "photo/exif.h"
#include "photo/format.h"
#include "photo/raster.h"

namespace verdigrid {

namespace {

struct JpegReadFault {
  jpeg_error_mgr base;
  std::jmp_buf leave;
};

void leave_on_read_fault(j_common_ptr info) {
  std::longjmp(reinterpret_cast<JpegReadFault*>(info->err)->leave, 1);
}

void say_nothing(j_common_ptr) {}

// The largest eighth of the size that is not below `side_px`, 1/8 to 8/8.
unsigned eighths_for(cv::Size size, int side_px) {
  const int longest = std::max(size.width, size.height);
  for (unsigned n = 1; n < 8; ++n)
    if (longest * static_cast<int>(n) >= 8 * side_px) return n;
  return 8;
}

// False when libjpeg refuses, or when it would have to keep a large picture whole. `pixels` belongs
// to the caller: longjmp leaves no destructor to be run here.
bool read_scaled_jpeg(std::span<const std::byte> bytes, int side_px, double whole_limit_mp,
                      cv::Mat& pixels) {
  jpeg_decompress_struct info{};
  JpegReadFault fault{};
  info.err = jpeg_std_error(&fault.base);
  fault.base.error_exit = leave_on_read_fault;
  fault.base.output_message = say_nothing;
  if (setjmp(fault.leave) != 0) {
    jpeg_destroy_decompress(&info);
    return false;
  }
  jpeg_create_decompress(&info);
  jpeg_mem_src(&info, reinterpret_cast<const unsigned char*>(bytes.data()),
               static_cast<unsigned long>(bytes.size()));
  jpeg_read_header(&info, TRUE);
  const double megapixels = 1e-6 * info.image_width * info.image_height;
  if (jpeg_has_multiple_scans(&info) && megapixels > whole_limit_mp) {
    jpeg_destroy_decompress(&info);
    return false;
  }
  info.scale_num = eighths_for(
      {static_cast<int>(info.image_width), static_cast<int>(info.image_height)}, side_px);
  info.scale_denom = 8;
  info.out_color_space = JCS_RGB;
  info.dct_method = JDCT_IFAST;
  jpeg_start_decompress(&info);
  pixels.create(static_cast<int>(info.output_height), static_cast<int>(info.output_width), CV_8UC3);
  while (info.output_scanline < info.output_height) {
    JSAMPROW row = pixels.ptr<unsigned char>(static_cast<int>(info.output_scanline));
    jpeg_read_scanlines(&info, &row, 1);
  }
  jpeg_finish_decompress(&info);
  jpeg_destroy_decompress(&info);
  return true;
}

cv::Mat reduced(const cv::Mat& picture, int side_px) {
  const double k = static_cast<double>(side_px) / std::max(picture.cols, picture.rows);
  if (k >= 1) return picture;
  cv::Mat small;
  cv::resize(picture, small,
             {std::max(1, cvRound(k * picture.cols)), std::max(1, cvRound(k * picture.rows))}, 0, 0,
             cv::INTER_AREA);
  return small;
}

}  // namespace

void ThumbnailOptions::check() const {
  if (side_px < 1 || side_px > 4096)
    throw Error(ErrorKind::wrong_use, "A thumbnail's side_px lies between 1 and 4096.");
  if (!(whole_limit_mp > 0))
    throw Error(ErrorKind::wrong_use, "A thumbnail's whole_limit_mp must be above 0.");
  decode.check();
}

cv::Mat thumbnail(std::span<const std::byte> bytes, const std::string& name,
                  const ThumbnailOptions& options) {
  options.check();
  if (file_format(bytes).kind == FileKind::jpeg) {
    try {
      const Container container = jpeg_container(bytes);
      check_picture_size(container, bytes.size(), options.decode.pixel_limit_mp);
      cv::Mat rgb, bgr;
      if (read_scaled_jpeg(bytes, options.side_px, options.whole_limit_mp, rgb)) {
        cv::cvtColor(reduced(rgb, options.side_px), bgr, cv::COLOR_RGB2BGR);
        return oriented(bgr, exif_facts(container.exif).orientation);
      }
    } catch (const ContainerFault& fault) {
      throw Error(ErrorKind::bad_input, fmt::format("{}: {}", name, fault.what()));
    }
  }
  DecodeOptions whole = options.decode;
  whole.pixel_limit_mp = std::min(whole.pixel_limit_mp, options.whole_limit_mp);
  return reduced(decode_photo(bytes, name, whole).bgr, options.side_px);
}

}  // namespace verdigrid
