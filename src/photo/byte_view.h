// Reading numbers out of file bytes, never past their end.
//
// Inside src/photo only. Offsets and counts are bytes. Every read checks its bounds and throws
// std::out_of_range, which the caller of a container walk turns into "is cut short".
#pragma once

#include <cstddef>
#include <cstdint>
#include <cstring>
#include <span>
#include <stdexcept>
#include <string_view>

namespace verdigrid {

enum class ByteOrder { little, big };

class ByteView {
 public:
  explicit ByteView(std::span<const std::byte> bytes) : bytes_(bytes) {}

  size_t size() const { return bytes_.size(); }
  const unsigned char* data() const {
    return reinterpret_cast<const unsigned char*>(bytes_.data());
  }

  // Written so that offset + count cannot wrap around.
  std::span<const std::byte> part(size_t offset, size_t count) const {
    if (offset > bytes_.size() || count > bytes_.size() - offset)
      throw std::out_of_range("read past the end of the file");
    return bytes_.subspan(offset, count);
  }

  std::uint8_t u8(size_t offset) const { return static_cast<std::uint8_t>(part(offset, 1)[0]); }

  std::uint16_t u16(size_t offset, ByteOrder order) const {
    return static_cast<std::uint16_t>(number(offset, 2, order));
  }
  std::uint32_t u32(size_t offset, ByteOrder order) const {
    return static_cast<std::uint32_t>(number(offset, 4, order));
  }
  std::uint64_t u64(size_t offset, ByteOrder order) const { return number(offset, 8, order); }

  // False, not an exception, when the file is too short to hold the text.
  bool has(size_t offset, std::string_view text) const {
    return offset <= bytes_.size() && text.size() <= bytes_.size() - offset &&
           std::memcmp(data() + offset, text.data(), text.size()) == 0;
  }

 private:
  std::uint64_t number(size_t offset, size_t count, ByteOrder order) const {
    const auto raw = part(offset, count);
    std::uint64_t value = 0;
    for (size_t i = 0; i < count; ++i) {
      const size_t at = order == ByteOrder::big ? i : count - 1 - i;
      value = value << 8 | static_cast<std::uint64_t>(raw[at]);
    }
    return value;
  }

  std::span<const std::byte> bytes_;
};

}  // namespace verdigrid
