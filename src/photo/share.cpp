#include "photo/share.h"

#include <array>

#include "photo/container.h"
#include "photo/encode.h"
#include "photo/exif.h"
#include "photo/format.h"

namespace verdigrid {

namespace {

// ITU-T T.81 table B.1.
constexpr int k_rst0 = 0xd0, k_rst7 = 0xd7, k_eoi = 0xd9, k_sos = 0xda, k_app0 = 0xe0,
              k_app2 = 0xe2, k_app14 = 0xee, k_app15 = 0xef, k_com = 0xfe;

int at(std::span<const std::byte> b, size_t i) { return std::to_integer<int>(b[i]); }

bool is_kept(int marker) {
  if (marker == k_com) return false;
  return marker < k_app0 || marker > k_app15 || marker == k_app0 || marker == k_app2 ||
         marker == k_app14;
}

// An EXIF block that holds the orientation and nothing else (EXIF 2.32, tag 0x0112, SHORT, little
// endian).
void append_orientation(Bytes& out, int orientation) {
  const std::array<int, 36> segment{
      0xff, 0xe1, 0,    34, 'E', 'x', 'i', 'f', 0, 0, 'I',         'I', 42, 0, 8, 0, 0, 0,
      1,    0,    0x12, 1,  3,   0,   1,   0,   0, 0, orientation, 0,   0,  0, 0, 0, 0, 0};
  for (const int v : segment) out.push_back(static_cast<std::byte>(v));
}

// First byte after the coded data of a scan: the next marker that is neither stuffing nor a
// restart.
size_t end_of_scan(std::span<const std::byte> bytes, size_t from) {
  while (from + 1 < bytes.size()) {
    const int next = at(bytes, from + 1);
    if (at(bytes, from) == 0xff && next != 0 && next != 0xff && (next < k_rst0 || next > k_rst7))
      return from;
    ++from;
  }
  return bytes.size();
}

// The container walk has accepted the file before, so every length fits.
Bytes stripped_jpeg(std::span<const std::byte> bytes) {
  const int orientation = exif_facts(jpeg_container(bytes).exif).orientation;
  Bytes out(bytes.begin(), bytes.begin() + 2);
  if (orientation != 1) append_orientation(out, orientation);
  const auto copy = [&](size_t from, size_t to) {
    out.insert(out.end(), bytes.begin() + static_cast<std::ptrdiff_t>(from),
               bytes.begin() + static_cast<std::ptrdiff_t>(to));
  };
  size_t from = 2;
  while (from + 4 <= bytes.size()) {
    const int marker = at(bytes, from + 1);
    if (marker == 0xff || at(bytes, from) != 0xff) {  // fill byte
      ++from;
      continue;
    }
    if (marker == k_eoi) break;
    size_t end = from + 2 + static_cast<size_t>(at(bytes, from + 2) * 256 + at(bytes, from + 3));
    if (marker == k_sos) end = end_of_scan(bytes, end);
    if (is_kept(marker)) copy(from, end);
    from = end;
  }
  // What stands behind the end of the picture (a second picture, a clip) stays behind.
  out.insert(out.end(), {std::byte{0xff}, std::byte{k_eoi}});
  return out;
}

}  // namespace

Bytes shareable_photo(std::span<const std::byte> bytes, const std::string& name,
                      const DecodeOptions& options) {
  if (file_format(bytes).kind == FileKind::jpeg) {
    decode_photo(bytes, name, options);  // refuses what is damaged
    return stripped_jpeg(bytes);
  }
  return png_bytes(decode_photo(bytes, name, options).bgr);
}

}  // namespace verdigrid
