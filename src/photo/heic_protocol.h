// What the main program and its helper verdigrid-heic say to each other.
//
// The helper is started with the pixel limit in megapixels as its only argument and the HEIC file
// as standard input. It answers on standard output with one HeicAnswer, then text_bytes of UTF-8
// (the reason, only when refused), then icc_bytes, exif_bytes, and rows of samples without gaps in
// RGB or RGBA order. Both run on the same machine, so numbers stand as in memory.
#pragma once

#include <array>
#include <cstdint>
#include <type_traits>

namespace verdigrid {

inline constexpr std::array<char, 8> k_heic_magic{'V', 'G', 'H', 'E', 'I', 'C', '0', '1'};

enum class HeicStatus : std::uint32_t { decoded = 0, refused = 1 };

struct HeicAnswer {
  std::array<char, 8> magic = k_heic_magic;
  HeicStatus status = HeicStatus::refused;
  std::uint32_t width_px = 0, height_px = 0;
  std::uint32_t channels = 3;     // 3, or 4 with alpha
  std::uint32_t sample_bits = 8;  // of the samples sent: 8, or 16 with 65535 as the top
  std::uint32_t file_bits = 8;    // of the file
  std::uint32_t primaries = 2;    // ITU-T H.273 table 2; 2 = not said
  std::uint32_t transfer = 2;     // ITU-T H.273 table 3; 2 = not said
  std::uint64_t text_bytes = 0, icc_bytes = 0, exif_bytes = 0;
};
static_assert(std::is_trivially_copyable_v<HeicAnswer>);

}  // namespace verdigrid
