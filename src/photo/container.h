// The container walk in front of each decoder: is the file whole, how large is its picture, and
// what does it say about itself?
//
// Inside src/photo only. Each walk reads structure, never pixels, and takes no memory that depends
// on the size the file claims. A walk throws ContainerFault; decode_photo puts the file's name in
// front. May be called from any thread.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <stdexcept>
#include <string>

#include "base/files.h"

namespace verdigrid {

// Why a file is refused: the sentence without the file's name ("is cut short ... Copy it again.").
class ContainerFault : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

[[noreturn]] void fault_cut_short(const std::string& what);  // "the end marker is missing"
[[noreturn]] void fault_damaged(const std::string& what);
[[noreturn]] void fault_unsupported(const std::string& what);  // "... Export it as JPEG ..."

struct Container {
  std::int64_t width_px = 0, height_px = 0;
  int channels = 3;          // as stored, alpha included
  int bits_per_channel = 8;  // as stored
  Bytes icc;                 // embedded profile, empty for none
  Bytes exif;                // TIFF structure without the "Exif" prefix, empty for none
};

// What an embedded profile or EXIF block may hold at most, unpacked: 16 MB is three times the
// largest printing profile in use (common practice, no source).
inline constexpr size_t k_metadata_limit_bytes = size_t{16} << 20;

Container jpeg_container(std::span<const std::byte> bytes);
Container png_container(std::span<const std::byte> bytes);
Container bmp_container(std::span<const std::byte> bytes);
Container webp_container(std::span<const std::byte> bytes);

// Box structure of ISO/IEC 14496-12; size and metadata come from the helper program.
void check_heic_boxes(std::span<const std::byte> bytes);

// Throws ContainerFault for no pixels, more than `limit_mp`, or far more pixels than `packed_bytes`
// can honestly hold.
void check_picture_size(const Container& container, size_t packed_bytes, double limit_mp);

}  // namespace verdigrid
