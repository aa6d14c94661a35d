// From the bytes of a photo file to a Photo, strictly: what is cut short, damaged or absurdly large
// is refused, never half read.
//
// The format is found by content, whatever the name says. Throws Error{bad_input} with one sentence
// that starts with the file's name. May be called from any thread. Cost: about 0.3 s for a
// 24-megapixel JPEG on one core.
#pragma once

#include <cstddef>
#include <filesystem>
#include <span>
#include <string>

#include "photo/photo.h"

namespace verdigrid {

struct DecodeOptions {
  double pixel_limit_mp = 200;  // megapixels; refused above it before any pixel memory is taken
  std::uintmax_t file_limit_bytes = std::uintmax_t{2} << 30;
  std::filesystem::path
      heic_helper;  // the verdigrid-heic program; empty: looked for beside the running program

  void check() const;  // throws Error{wrong_use} that names the wrong field
};

Photo load_photo(const std::filesystem::path& path, const DecodeOptions& options = {});

// `name` is used in messages and kept in meta.name.
Photo decode_photo(std::span<const std::byte> bytes, const std::string& name,
                   const DecodeOptions& options = {});

}  // namespace verdigrid
