// SHA-256 (FIPS 180-4) as 64 lower-case hex digits: the name of every stored photo and picture.
#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <string_view>

namespace verdigrid {

std::string sha256_hex(std::span<const std::byte> bytes);

// 64 lower-case hex digits?
bool is_sha256(std::string_view text);

}  // namespace verdigrid
