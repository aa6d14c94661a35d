#include "photo/encode.h"

#include <jpeglib.h>
#include <png.h>

#include <csetjmp>
#include <cstdio>
#include <cstdlib>
#include <memory>
#include <opencv2/imgproc.hpp>

#include "base/error.h"

namespace verdigrid {

namespace {

cv::Mat rgb_or_grey(const cv::Mat& pixels) {
  require(!pixels.empty() && (pixels.type() == CV_8UC1 || pixels.type() == CV_8UC3),
          "only 8-bit grey or BGR pictures are written");
  if (pixels.channels() == 1) return pixels;
  cv::Mat rgb;
  cv::cvtColor(pixels, rgb, cv::COLOR_BGR2RGB);
  return rgb;
}

struct JpegFault {
  jpeg_error_mgr base;
  std::jmp_buf leave;
};

void leave_on_fault(j_common_ptr info) {
  std::longjmp(reinterpret_cast<JpegFault*>(info->err)->leave, 1);
}

}  // namespace

Bytes png_bytes(const cv::Mat& pixels) {
  const cv::Mat source = rgb_or_grey(pixels);
  png_image image{};
  image.version = PNG_IMAGE_VERSION;
  image.width = static_cast<png_uint_32>(source.cols);
  image.height = static_cast<png_uint_32>(source.rows);
  image.format = source.channels() == 1 ? PNG_FORMAT_GRAY : PNG_FORMAT_RGB;
  image.flags = PNG_IMAGE_FLAG_FAST;
  png_alloc_size_t size = PNG_IMAGE_PNG_SIZE_MAX(image);
  // The largest size there may be, of which only what is written costs memory.
  const auto room = std::make_unique_for_overwrite<std::byte[]>(size);
  const auto stride = static_cast<png_int_32>(source.step[0]);
  if (!png_image_write_to_memory(&image, room.get(), &size, 0, source.data, stride, nullptr))
    throw Error(ErrorKind::no_result, std::string("A PNG picture could not be made (") +
                                          image.message + "). Use a smaller photo.");
  return {room.get(), room.get() + size};
}

Bytes jpeg_bytes(const cv::Mat& pixels, int quality) {
  require(quality >= 1 && quality <= 100, "JPEG quality lies between 1 and 100");
  const cv::Mat source = rgb_or_grey(pixels);
  jpeg_compress_struct info{};
  JpegFault fault{};
  unsigned char* volatile buffer = nullptr;
  unsigned long size = 0;
  info.err = jpeg_std_error(&fault.base);
  fault.base.error_exit = leave_on_fault;
  if (setjmp(fault.leave) != 0) {
    jpeg_destroy_compress(&info);
    std::free(buffer);
    throw Error(ErrorKind::no_result,
                "A JPEG picture could not be made. Its sides must be at most 65500 pixels; use a "
                "smaller photo.");
  }
  jpeg_create_compress(&info);
  jpeg_mem_dest(&info, const_cast<unsigned char**>(&buffer), &size);
  info.image_width = static_cast<JDIMENSION>(source.cols);
  info.image_height = static_cast<JDIMENSION>(source.rows);
  info.input_components = source.channels();
  info.in_color_space = source.channels() == 1 ? JCS_GRAYSCALE : JCS_RGB;
  jpeg_set_defaults(&info);
  jpeg_set_quality(&info, quality, TRUE);
  if (source.channels() == 3 && quality >= 90)
    info.comp_info[0].h_samp_factor = info.comp_info[0].v_samp_factor = 1;
  jpeg_start_compress(&info, TRUE);
  while (info.next_scanline < info.image_height) {
    JSAMPROW row =
        const_cast<JSAMPROW>(source.ptr<unsigned char>(static_cast<int>(info.next_scanline)));
    jpeg_write_scanlines(&info, &row, 1);
  }
  jpeg_finish_compress(&info);
  jpeg_destroy_compress(&info);
  const std::unique_ptr<unsigned char, decltype(&std::free)> owner(buffer, &std::free);
  const auto* first = reinterpret_cast<const std::byte*>(buffer);
  return {first, first + size};
}

}  // namespace verdigrid
