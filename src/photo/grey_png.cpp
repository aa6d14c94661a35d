#include "photo/grey_png.h"

#include <png.h>

#include "base/error.h"

namespace verdigrid {

namespace {

constexpr const char* k_advice = " Make the survey again.";

[[noreturn]] void refuse(const std::string& name, const std::string& what) {
  throw Error(ErrorKind::bad_input, name + ": " + what + k_advice);
}

// Frees what libpng keeps between its two calls, also when an exception leaves.
struct Reader {
  png_image image{};
  ~Reader() { png_image_free(&image); }
};

}  // namespace

cv::Mat grey_png(std::span<const std::byte> bytes, cv::Size size_px, const std::string& name) {
  Reader reader;
  reader.image.version = PNG_IMAGE_VERSION;
  if (!png_image_begin_read_from_memory(&reader.image, bytes.data(), bytes.size()))
    refuse(name, std::string("is not a whole PNG picture (") + reader.image.message + ").");
  if (reader.image.format != PNG_FORMAT_GRAY) refuse(name, "is not an 8-bit grey picture.");
  const cv::Size given{static_cast<int>(reader.image.width), static_cast<int>(reader.image.height)};
  if (given != size_px)
    refuse(name, "has " + std::to_string(given.width) + "x" + std::to_string(given.height) +
                     " px where the photo has " + std::to_string(size_px.width) + "x" +
                     std::to_string(size_px.height) + " px.");
  cv::Mat grey(size_px, CV_8UC1);
  if (!png_image_finish_read(&reader.image, nullptr, grey.data,
                             static_cast<png_int_32>(grey.step[0]), nullptr))
    refuse(name, std::string("is damaged (") + reader.image.message + ").");
  return grey;
}

}  // namespace verdigrid
