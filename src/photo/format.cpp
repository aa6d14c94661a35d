#include "photo/format.h"

#include <array>
#include <string_view>

#include "photo/byte_view.h"

namespace verdigrid {

namespace {

using namespace std::string_view_literals;

struct Mark {
  size_t offset;
  std::string_view text;
  FileKind kind;
  const char* what;
};

constexpr const char* k_raw = "a camera raw file";

// First bytes of each kind (the format's own specification, or what cameras write: common practice,
// no source). Order matters where one mark begins another.
constexpr std::array k_marks{
    Mark{0, "\xFF\xD8\xFF"sv, FileKind::jpeg, "a JPEG"},
    Mark{0, "\x89PNG\r\n\x1A\n"sv, FileKind::png, "a PNG"},
    Mark{8, "CR\x02\x00"sv, FileKind::camera_raw, k_raw},
    Mark{0, "II\x2A\0"sv, FileKind::tiff, "a TIFF"},
    Mark{0, "MM\0\x2A"sv, FileKind::tiff, "a TIFF"},
    Mark{0, "II\x2B\0"sv, FileKind::tiff, "a TIFF"},
    Mark{0, "MM\0\x2B"sv, FileKind::tiff, "a TIFF"},
    Mark{8, "CCD-RAW"sv, FileKind::camera_raw, k_raw},
    Mark{0, "IIRO"sv, FileKind::camera_raw, k_raw},
    Mark{0, "IIRS"sv, FileKind::camera_raw, k_raw},
    Mark{0, "MMOR"sv, FileKind::camera_raw, k_raw},
    Mark{0, "IIU\0"sv, FileKind::camera_raw, k_raw},
    Mark{0, "FOVb"sv, FileKind::camera_raw, k_raw},
    Mark{0, "\0MRM"sv, FileKind::camera_raw, k_raw},
    Mark{6, "HEAPCCDR"sv, FileKind::camera_raw, k_raw},
    Mark{0, "IIII"sv, FileKind::camera_raw, k_raw},
    Mark{4, "ftypcrx "sv, FileKind::camera_raw, k_raw},
    Mark{4, "ftypavi"sv, FileKind::other_picture, "an AVIF picture"},
    Mark{0, "GIF8"sv, FileKind::other_picture, "a GIF picture"},
    Mark{0, "%PDF"sv, FileKind::other_picture, "a PDF document"},
    Mark{0, "8BPS"sv, FileKind::other_picture, "a layered picture of an editor"},
    Mark{0, "\0\0\0\x0CjP  "sv, FileKind::other_picture, "a JPEG 2000 picture"},
    Mark{0, "\xFF\x4F\xFF\x51"sv, FileKind::other_picture, "a JPEG 2000 picture"},
    Mark{0, "\0\0\0\x0CJXL "sv, FileKind::other_picture, "a JPEG XL picture"},
    Mark{0, "\xFF\x0A"sv, FileKind::other_picture, "a JPEG XL picture"},
    Mark{0, "#?RADIANCE"sv, FileKind::other_picture, "an HDR picture"},
    Mark{0, "\x76\x2F\x31\x01"sv, FileKind::other_picture, "an OpenEXR picture"},
    Mark{0, "PK\x03\x04"sv, FileKind::other_picture, "a ZIP archive"},
    Mark{0, "BM"sv, FileKind::bmp, "a BMP"},
};

// Brands of ISO/IEC 23008-12 whose pictures are coded as HEVC, and the two general ones.
constexpr std::array k_heic_brands{"heic"sv, "heix"sv, "heim"sv, "heis"sv, "hevc"sv, "hevx"sv,
                                   "hevm"sv, "hevs"sv, "mif1"sv, "mif2"sv, "msf1"sv};

}  // namespace

FileFormat file_format(std::span<const std::byte> bytes) {
  const ByteView view(bytes);
  for (const Mark& mark : k_marks)
    if (view.has(mark.offset, mark.text)) return {mark.kind, mark.what};
  if (view.has(0, "RIFF") && view.has(8, "WEBP")) return {FileKind::webp, "a WebP"};
  if (view.has(4, "ftyp")) {
    for (const std::string_view brand : k_heic_brands)
      if (view.has(8, brand)) return {FileKind::heic, "a HEIC"};
    return {FileKind::other_picture, "a video or another picture in a film container"};
  }
  return {};
}

}  // namespace verdigrid
