#include <fmt/format.h>
#include <stb_image.h>

#include <climits>
#include <memory>

#include "base/error.h"
#include "photo/decoders.h"

namespace verdigrid {

Raster stb_raster(std::span<const std::byte> bytes, const Container& container) {
  if (bytes.size() > INT_MAX)
    throw ContainerFault("is larger than 2 GB. Export it as a smaller JPEG or as TIFF.");
  const auto* data = reinterpret_cast<const stbi_uc*>(bytes.data());
  const int length = static_cast<int>(bytes.size());
  int width = 0, height = 0, channels = 0;
  const bool is_deep = container.bits_per_channel == 16;
  void* samples = is_deep ? static_cast<void*>(stbi_load_16_from_memory(data, length, &width,
                                                                        &height, &channels, 0))
                          : stbi_load_from_memory(data, length, &width, &height, &channels, 0);
  const std::shared_ptr<void> owner(samples, &stbi_image_free);
  if (!samples) fault_damaged(fmt::format("the decoder says: {}", stbi_failure_reason()));
  require(width == container.width_px && height == container.height_px,
          "walk and decoder agree on the size");
  Raster raster;
  raster.icc = container.icc;
  raster.samples = cv::Mat(height, width, CV_MAKETYPE(is_deep ? CV_16U : CV_8U, channels), samples);
  raster.owner = owner;
  return raster;
}

}  // namespace verdigrid
