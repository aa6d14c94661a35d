// A photo file as it may leave the house: the same picture without place, serial number, owner or
// maker's notes.
//
// JPEG keeps its coded picture untouched (only marker segments go; orientation, ICC profile and
// Adobe marker stay); every other format becomes a PNG of the upright pixels. Throws
// Error{bad_input} as decoding does. Cost: a copy for JPEG, a decode and a PNG for the rest.
#pragma once

#include <span>
#include <string>

#include "base/files.h"
#include "photo/decode.h"

namespace verdigrid {

Bytes shareable_photo(std::span<const std::byte> bytes, const std::string& name,
                      const DecodeOptions& options = {});

}  // namespace verdigrid
