#include "base/base64.h"

#include <sodium.h>

namespace verdigrid {

std::string base64(std::span<const std::byte> bytes) {
  std::string text(sodium_base64_ENCODED_LEN(bytes.size(), sodium_base64_VARIANT_ORIGINAL), '\0');
  sodium_bin2base64(text.data(), text.size(), reinterpret_cast<const unsigned char*>(bytes.data()),
                    bytes.size(), sodium_base64_VARIANT_ORIGINAL);
  text.pop_back();  // the terminating zero
  return text;
}

std::optional<Bytes> from_base64(std::string_view text) {
  if (text.empty()) return Bytes{};
  Bytes bytes(text.size());
  size_t length = 0;
  if (sodium_base642bin(reinterpret_cast<unsigned char*>(bytes.data()), bytes.size(), text.data(),
                        text.size(), nullptr, &length, nullptr,
                        sodium_base64_VARIANT_ORIGINAL) != 0)
    return std::nullopt;
  bytes.resize(length);
  return bytes;
}

}  // namespace verdigrid
