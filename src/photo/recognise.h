// Whether bytes are a picture file of some kind, by their content. May be called from any thread.
#pragma once

#include <cstddef>
#include <span>

namespace verdigrid {

// Also true for kinds that load_photo refuses (camera raw, GIF): it then says why.
bool is_picture_file(std::span<const std::byte> bytes);

}  // namespace verdigrid
