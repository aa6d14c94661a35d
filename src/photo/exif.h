// What a photo says about itself in its EXIF block (EXIF 2.32, CIPA DC-008-2019).
//
// Inside src/photo only. A block that cannot be read gives the defaults: metadata never spoils a
// photo. May be called from any thread.
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>

namespace verdigrid {

enum class ColourSpace { srgb, dcf_optional };

struct ExifFacts {
  int orientation = 1;                     // 1..8, tag 0x0112; anything else reads as 1
  std::optional<std::string> captured_at;  // "YYYY-MM-DD hh:mm:ss" from tag 0x9003
  std::optional<std::string> camera;       // make and model, trimmed
  // DCF 2.0 (JEITA CP-3461B): interoperability index "R03" means the optional colour space.
  ColourSpace colour_space = ColourSpace::srgb;
};

// `tiff` is the block from its byte order mark on (without "Exif\0\0"); empty gives the defaults.
ExifFacts exif_facts(std::span<const std::byte> tiff);

// "2024:05:17 09:30:00" to "2024-05-17 09:30:00"; nothing for any other form.
std::optional<std::string> time_from_exif(const std::string& text);

// Make and model as one name, the make not repeated; nothing when both are empty.
std::optional<std::string> camera_name(const std::string& make, const std::string& model);

}  // namespace verdigrid
