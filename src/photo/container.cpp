#include "photo/container.h"

#include <fmt/format.h>

namespace verdigrid {

namespace {

// A photo packs 3 to 100 times; an evenly filled frame of the best packing formats about 1,000
// times (deflate cannot exceed 1,032: RFC 1951 has at most 258 bytes per two bits). More than that,
// on a picture that would take real memory, is a file made to fill it.
constexpr double k_packing_limit = 1000;
constexpr int64_t k_small_picture_bytes = int64_t{16} << 20;

}  // namespace

void fault_cut_short(const std::string& what) {
  throw ContainerFault(fmt::format("is cut short ({}). Copy it again from the camera.", what));
}

void fault_damaged(const std::string& what) {
  throw ContainerFault(fmt::format("is damaged ({}). Copy it again from the camera.", what));
}

void fault_unsupported(const std::string& what) {
  throw ContainerFault(fmt::format("{}. Export it as JPEG or 16-bit TIFF in sRGB.", what));
}

void check_picture_size(const Container& container, size_t packed_bytes, double limit_mp) {
  const int64_t width = container.width_px, height = container.height_px;
  if (width <= 0 || height <= 0)
    throw ContainerFault(
        fmt::format("has no pixels ({} x {}). Take or export the photo again.", width, height));
  const double megapixels = static_cast<double>(width) * static_cast<double>(height) / 1e6;
  if (megapixels > limit_mp)
    throw ContainerFault(
        fmt::format("has {} x {} pixels, more than the limit of {:g} megapixels. Reduce it, or "
                    "raise the limit.",
                    width, height, limit_mp));
  const int64_t unpacked =
      width * height * container.channels * ((container.bits_per_channel + 7) / 8);
  if (unpacked > k_small_picture_bytes &&
      static_cast<double>(unpacked) > k_packing_limit * static_cast<double>(packed_bytes))
    throw ContainerFault(
        fmt::format("claims {} x {} pixels in only {} bytes, which no photo does. Export the photo "
                    "again from its source.",
                    width, height, packed_bytes));
}

}  // namespace verdigrid
