// The arguments by which a photo is read, straightened and scaled; every subcommand that takes a
// photo of a board has the same ones.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "base/work.h"
#include "photo/decode.h"
#include "photo/photo.h"
#include "rectify/rectification.h"
#include "rectify/rectify.h"

namespace CLI {
class App;
}

namespace verdigrid {

struct PhotoArguments {
  std::filesystem::path path;
  DecodeOptions decode;
  RectifyOptions rectify;
  std::filesystem::path lens_file;           // empty: none
  std::filesystem::path rectification_file;  // reuse this one; empty: none
  std::filesystem::path keep_rectification;  // write the one made; empty: not
};

// Only PHOTO and --pixel-limit.
void add_photo_argument(CLI::App& arguments, PhotoArguments& into);

// The ways to straighten and scale.
void add_scale_arguments(CLI::App& arguments, PhotoArguments& into);

// By --rectification, or by the best of the ways that were given. Throws Error.
Rectification rectification_by(const PhotoArguments& arguments, const Photo& photo,
                               const Work& work);

}  // namespace verdigrid
