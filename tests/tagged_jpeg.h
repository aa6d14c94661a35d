// A JPEG with private metadata as cameras and phones write it: who, which camera body, where.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "base/files.h"
#include "photo/encode.h"

namespace verdigrid::test {

// Every private text in it begins with this word; the time it was taken is not private.
inline constexpr const char* k_private_word = "Secret";
inline constexpr const char* k_tagged_time = "2031:05:06 07:08:09";

namespace tagged {

using Octets = std::string;

inline void put16(Octets& to, unsigned v) {
  to += static_cast<char>(v & 0xFF);
  to += static_cast<char>(v >> 8);
}
inline void put32(Octets& to, unsigned v) {
  put16(to, v & 0xFFFF);
  put16(to, v >> 16);
}

struct Entry {
  unsigned tag, type, count;
  Octets value;  // more than four bytes go behind the directory
};

inline Entry text(unsigned tag, const std::string& value) {
  return {tag, 2, static_cast<unsigned>(value.size() + 1), value + '\0'};
}
inline Entry number(unsigned tag, unsigned value) {
  Entry e{tag, 4, 1, {}};
  put32(e.value, value);
  return e;
}

// Image file directory of TIFF 6.0 at `offset` from the TIFF header, little endian.
inline Octets directory(const std::vector<Entry>& entries, unsigned offset) {
  Octets head, behind;
  const auto behind_at = offset + 2 + 12 * static_cast<unsigned>(entries.size()) + 4;
  put16(head, static_cast<unsigned>(entries.size()));
  for (const Entry& e : entries) {
    put16(head, e.tag);
    put16(head, e.type);
    put32(head, e.count);
    if (e.value.size() <= 4) {
      head += e.value + Octets(4 - e.value.size(), '\0');
    } else {
      put32(head, behind_at + static_cast<unsigned>(behind.size()));
      behind += e.value;
    }
  }
  put32(head, 0);
  return head + behind;
}

}  // namespace tagged

// Tags of Exif 2.32 (CIPA DC-008): artist and copyright, owner and serial number of the camera
// body, a GPS latitude.
inline Bytes tagged_jpeg(const cv::Mat& bgr) {
  using namespace tagged;
  const std::string word = k_private_word;
  constexpr unsigned k_first = 8;
  std::vector<Entry> main{text(0x013B, word + "-artist"), text(0x8298, word + "-copyright"),
                          number(0x8769, 0), number(0x8825, 0)};
  const auto main_size = static_cast<unsigned>(directory(main, k_first).size());
  const unsigned exif_at = k_first + main_size;
  const Octets exif = directory({text(0x9003, k_tagged_time), text(0xA430, word + "-camera-owner"),
                                 text(0xA431, word + "-body-serial")},
                                exif_at);
  const unsigned gps_at = exif_at + static_cast<unsigned>(exif.size());
  Octets latitude;
  for (const unsigned v : {52U, 1U, 31U, 1U, 12U, 1U}) put32(latitude, v);
  const Octets gps = directory(
      {text(0x0001, "N"), {0x0002, 5, 3, latitude}, text(0x001B, word + "-place")}, gps_at);
  main[2] = number(0x8769, exif_at);
  main[3] = number(0x8825, gps_at);
  Octets tiff = "II";
  put16(tiff, 42);
  put32(tiff, k_first);
  const Octets body = "Exif" + Octets(2, '\0') + tiff + directory(main, k_first) + exif + gps;
  Octets segment = "\xFF\xE1";
  segment += static_cast<char>((body.size() + 2) >> 8);
  segment += static_cast<char>((body.size() + 2) & 0xFF);
  segment += body;
  Bytes jpeg = jpeg_bytes(bgr, 92);
  const auto* first = reinterpret_cast<const std::byte*>(segment.data());
  jpeg.insert(jpeg.begin() + 2, first, first + segment.size());
  return jpeg;
}

}  // namespace verdigrid::test
