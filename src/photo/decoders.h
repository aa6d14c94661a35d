// One decoder per library behind the container walk.
//
// Inside src/photo only. Each takes bytes whose container was walked and whose size was accepted,
// and throws ContainerFault when the library refuses. May be called from any thread.
#pragma once

#include <cstddef>
#include <filesystem>
#include <span>

#include "photo/container.h"
#include "photo/exif.h"
#include "photo/raster.h"

namespace verdigrid {

// JPEG, PNG and BMP by stb_image.
Raster stb_raster(std::span<const std::byte> bytes, const Container& container);

Raster webp_raster(std::span<const std::byte> bytes, const Container& container);

// Formats whose structure only their library can walk answer everything at once.
struct Decoded {
  Raster raster;
  cv::Size stored_size_px;
  int bits_per_channel = 8;
  ExifFacts facts;
};

// Baseline, BigTIFF; strips and tiles; grey, RGB, palette, YCbCr. By libtiff.
Decoded tiff_decoded(std::span<const std::byte> bytes, double limit_mp);

// By the helper program (see heic_protocol.h).
Decoded heic_decoded(std::span<const std::byte> bytes, double limit_mp,
                     const std::filesystem::path& helper);

}  // namespace verdigrid
