#include "base/sha256.h"

#include <sodium.h>

#include <array>

namespace verdigrid {

std::string sha256_hex(std::span<const std::byte> bytes) {
  std::array<unsigned char, crypto_hash_sha256_BYTES> digest{};
  crypto_hash_sha256(digest.data(), reinterpret_cast<const unsigned char*>(bytes.data()),
                     bytes.size());
  std::array<char, 2 * crypto_hash_sha256_BYTES + 1> hex{};
  sodium_bin2hex(hex.data(), hex.size(), digest.data(), digest.size());
  return {hex.data()};
}

bool is_sha256(std::string_view text) {
  return text.size() == std::size_t{2} * crypto_hash_sha256_BYTES &&
         text.find_first_not_of("0123456789abcdef") == std::string_view::npos;
}

}  // namespace verdigrid
