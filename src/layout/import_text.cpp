#include <fmt/format.h>

#include <array>
#include <cstdint>

#include "base/error.h"
#include "layout/import.h"

namespace verdigrid {

namespace {

void append_utf8(std::string& out, std::uint32_t c) {
  const auto put = [&](std::uint32_t byte) { out += static_cast<char>(byte); };
  if (c < 0x80) {
    put(c);
  } else if (c < 0x800) {
    put(0xC0 | (c >> 6));
    put(0x80 | (c & 0x3F));
  } else if (c < 0x10000) {
    put(0xE0 | (c >> 12));
    put(0x80 | ((c >> 6) & 0x3F));
    put(0x80 | (c & 0x3F));
  } else {
    put(0xF0 | (c >> 18));
    put(0x80 | ((c >> 12) & 0x3F));
    put(0x80 | ((c >> 6) & 0x3F));
    put(0x80 | (c & 0x3F));
  }
}

enum class Order { little, big };

// Unpaired surrogates become U+FFFD, an odd last byte is dropped.
std::string from_utf16(const Bytes& bytes, size_t start, Order order) {
  std::string out;
  const auto unit = [&](size_t i) {
    const auto a = std::to_integer<std::uint32_t>(bytes[i]),
               b = std::to_integer<std::uint32_t>(bytes[i + 1]);
    return order == Order::little ? a | (b << 8) : (a << 8) | b;
  };
  for (size_t i = start; i + 1 < bytes.size(); i += 2) {
    std::uint32_t c = unit(i);
    if (c >= 0xD800 && c < 0xDC00 && i + 3 < bytes.size()) {
      const std::uint32_t low = unit(i + 2);
      if (low >= 0xDC00 && low < 0xE000) {
        c = 0x10000 + ((c - 0xD800) << 10) + (low - 0xDC00);
        i += 2;
      }
    }
    append_utf8(out, c >= 0xD800 && c < 0xE000 ? 0xFFFD : c);
  }
  return out;
}

bool is_utf8(std::string_view text) {
  for (size_t i = 0; i < text.size();) {
    const auto c = static_cast<unsigned char>(text[i]);
    const size_t more = c < 0x80   ? 0
                        : c < 0xC2 ? 9
                        : c < 0xE0 ? 1
                        : c < 0xF0 ? 2
                        : c < 0xF5 ? 3
                                   : 9;
    if (more == 9 || i + more >= text.size()) return false;
    std::uint32_t value = more == 0 ? c : c & (0x3F >> more);
    for (size_t k = 1; k <= more; ++k) {
      const auto d = static_cast<unsigned char>(text[i + k]);
      if ((d & 0xC0) != 0x80) return false;
      value = (value << 6) | (d & 0x3F);
    }
    if ((more == 2 && value < 0x800) || (more == 3 && (value < 0x10000 || value > 0x10FFFF)) ||
        (value >= 0xD800 && value < 0xE000))
      return false;
    i += more + 1;
  }
  return true;
}

// Windows-1252, 0x80 to 0x9F; the rest is Latin-1 (WHATWG Encoding Standard, index windows-1252).
constexpr std::array<std::uint16_t, 32> k_windows_1252{
    0x20AC, 0x81,   0x201A, 0x0192, 0x201E, 0x2026, 0x2020, 0x2021, 0x02C6, 0x2030, 0x0160,
    0x2039, 0x0152, 0x8D,   0x017D, 0x8F,   0x90,   0x2018, 0x2019, 0x201C, 0x201D, 0x2022,
    0x2013, 0x2014, 0x02DC, 0x2122, 0x0161, 0x203A, 0x0153, 0x9D,   0x017E, 0x0178};

std::string from_windows_1252(std::string_view text) {
  std::string out;
  for (char ch : text) {
    const auto c = static_cast<unsigned char>(ch);
    append_utf8(out, c >= 0x80 && c < 0xA0 ? k_windows_1252[c - 0x80] : c);
  }
  return out;
}

// UTF-16 without mark: nearly every second byte of Latin text is zero.
std::optional<Order> plain_utf16(const Bytes& bytes) {
  const size_t n = std::min<size_t>(bytes.size(), 4096) / 2 * 2;
  if (n < 8) return std::nullopt;
  size_t even = 0, odd = 0;
  for (size_t i = 0; i < n; ++i)
    if (bytes[i] == std::byte{0}) ++(i % 2 == 0 ? even : odd);
  const auto share = [n](size_t zeros) { return static_cast<double>(zeros) / (double(n) / 2); };
  if (share(odd) > 0.7 && share(even) < 0.1) return Order::little;
  if (share(even) > 0.7 && share(odd) < 0.1) return Order::big;
  return std::nullopt;
}

bool starts_with(const Bytes& bytes, std::initializer_list<unsigned> mark) {
  size_t i = 0;
  for (unsigned m : mark)
    if (i >= bytes.size() || std::to_integer<unsigned>(bytes[i++]) != m) return false;
  return true;
}

}  // namespace

std::string utf8_text(const Bytes& bytes, std::string_view where) {
  std::string text;
  if (starts_with(bytes, {0xFF, 0xFE})) {
    text = from_utf16(bytes, 2, Order::little);
  } else if (starts_with(bytes, {0xFE, 0xFF})) {
    text = from_utf16(bytes, 2, Order::big);
  } else if (const auto order = plain_utf16(bytes)) {
    text = from_utf16(bytes, 0, *order);
  } else {
    const size_t skip = starts_with(bytes, {0xEF, 0xBB, 0xBF}) ? 3 : 0;
    const std::string_view raw(reinterpret_cast<const char*>(bytes.data()) + skip,
                               bytes.size() - skip);
    text = is_utf8(raw) ? std::string(raw) : from_windows_1252(raw);
  }
  if (text.find('\0') != std::string::npos)
    throw Error(ErrorKind::bad_input,
                fmt::format("{}: not a text file; export the layout as text from the program that "
                            "made it.",
                            where));
  return text;
}

}  // namespace verdigrid
