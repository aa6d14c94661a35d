// SHA-256 (FIPS 180-4) as 64 lower-case hex digits: the name of every stored photo and picture.
#pragma once

#include <cstddef>
#include <span>
#include <string>

namespace verdigrid {

std::string sha256_hex(std::span<const std::byte> bytes);

}  // namespace verdigrid
