// Header of BMP: BITMAPFILEHEADER, BITMAPCOREHEADER, BITMAPINFOHEADER, BITMAPV4HEADER and
// BITMAPV5HEADER (wingdi.h documentation).
#include <fmt/format.h>

#include <algorithm>

#include "photo/byte_view.h"
#include "photo/container.h"

namespace verdigrid {

namespace {

constexpr auto k_le = ByteOrder::little;
constexpr std::uint32_t k_profile_embedded = 0x4D424544;  // 'MBED'

struct BmpHeader {
  size_t length = 0, pixels_at = 0, bits_per_pixel = 0, row_bytes = 0;
  std::uint32_t packing = 0;
  std::int64_t width_px = 0, height_px = 0;
};

BmpHeader header(const ByteView& view) {
  BmpHeader h;
  h.pixels_at = view.u32(10, k_le);
  h.length = view.u32(14, k_le);
  if (h.length == 12) {
    h.width_px = view.u16(18, k_le);
    h.height_px = view.u16(20, k_le);
    h.bits_per_pixel = view.u16(24, k_le);
  } else if (h.length >= 40 && h.length <= 124) {
    h.width_px = static_cast<std::int32_t>(view.u32(18, k_le));
    h.height_px = static_cast<std::int32_t>(view.u32(22, k_le));
    h.bits_per_pixel = view.u16(28, k_le);
    h.packing = view.u32(30, k_le);
  } else {
    fault_damaged(fmt::format("BMP header of {} bytes", h.length));
  }
  h.height_px = std::abs(h.height_px);
  return h;
}

void check_kind(const BmpHeader& h) {
  if (h.packing == 1 || h.packing == 2)
    fault_unsupported("is a BMP packed by run lengths, which is not read");
  if (h.packing != 0 && h.packing != 3)
    fault_unsupported(
        fmt::format("is a BMP of a kind that is not read (compression {})", h.packing));
  const size_t bits = h.bits_per_pixel;
  if (bits != 1 && bits != 4 && bits != 8 && bits != 16 && bits != 24 && bits != 32)
    fault_damaged(fmt::format("BMP with {} bits per pixel", bits));
}

size_t palette_entries(const BmpHeader& h) {
  const size_t entry = h.length == 12 ? 3 : 4;
  const size_t from = 14 + h.length;
  if (h.pixels_at < from + entry) fault_damaged("BMP without its palette");
  return std::min<size_t>((h.pixels_at - from) / entry, 256);
}

size_t colour_at(const unsigned char* row, size_t x, size_t bits) {
  const size_t bit = x * bits;
  return row[bit / 8] >> (8 - bits - bit % 8) & ((1U << bits) - 1);
}

// The decoder takes a colour beyond the palette's end from memory that nobody wrote.
void check_palette_use(const ByteView& view, const BmpHeader& h) {
  const size_t entries = palette_entries(h);
  if (entries >= size_t{1} << h.bits_per_pixel) return;
  const auto height = static_cast<size_t>(h.height_px), width = static_cast<size_t>(h.width_px);
  for (size_t y = 0; y < height; ++y) {
    const unsigned char* row = view.data() + h.pixels_at + y * h.row_bytes;
    for (size_t x = 0; x < width; ++x)
      if (colour_at(row, x, h.bits_per_pixel) >= entries)
        fault_damaged("BMP pixel with a colour beyond the palette");
  }
}

Bytes embedded_profile(const ByteView& view, const BmpHeader& h) {
  if (h.length != 124 || view.u32(14 + 56, k_le) != k_profile_embedded) return {};
  const size_t offset = view.u32(14 + 112, k_le), count = view.u32(14 + 116, k_le);
  if (count > k_metadata_limit_bytes) fault_damaged("BMP colour profile");
  const auto part = view.part(14 + offset, count);
  return {part.begin(), part.end()};
}

Container walked(const ByteView& view) {
  BmpHeader h = header(view);
  check_kind(h);
  Container out;
  out.width_px = h.width_px;
  out.height_px = h.height_px;
  out.channels = h.bits_per_pixel == 32 ? 4 : 3;
  if (h.width_px <= 0 || h.height_px <= 0) return out;
  h.row_bytes = (static_cast<size_t>(h.width_px) * h.bits_per_pixel + 31) / 32 * 4;
  const size_t claimed = view.u32(2, k_le);
  if (claimed > view.size())
    fault_cut_short(fmt::format("BMP of {} bytes of which {} are there", claimed, view.size()));
  // Some writers leave out the padding of the last row.
  const size_t last_row = (static_cast<size_t>(h.width_px) * h.bits_per_pixel + 7) / 8;
  const size_t rows_between = static_cast<size_t>(h.height_px) - 1;
  if (h.pixels_at < 14 + h.length) fault_damaged("BMP pixels inside its header");
  const size_t available = view.size() - std::min(view.size(), h.pixels_at);
  if (rows_between > available / h.row_bytes || available - rows_between * h.row_bytes < last_row)
    fault_cut_short("BMP with fewer rows than its header says");
  if (h.bits_per_pixel <= 8) check_palette_use(view, h);
  out.icc = embedded_profile(view, h);
  return out;
}

}  // namespace

Container bmp_container(std::span<const std::byte> bytes) {
  try {
    return walked(ByteView(bytes));
  } catch (const std::out_of_range&) {
    fault_cut_short("BMP that ends inside its header");
  }
}

}  // namespace verdigrid
