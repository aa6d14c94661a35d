// Base64 of RFC 4648 section 4 (with padding, no line breaks).
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "base/files.h"

namespace verdigrid {

std::string base64(std::span<const std::byte> bytes);

// Empty for a character outside the alphabet or padding that is wrong.
std::optional<Bytes> from_base64(std::string_view text);

}  // namespace verdigrid
