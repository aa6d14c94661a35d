#include "photo/decode.h"

#include <fmt/format.h>

#include <new>

#include "base/error.h"
#include "base/sha256.h"
#include "photo/container.h"
#include "photo/decoders.h"
#include "photo/exif.h"
#include "photo/format.h"
#include "photo/raster.h"

namespace verdigrid {

namespace {

// cv::Mat counts rows in int, and nobody's camera gives a hundredth of it.
constexpr double k_largest_limit_mp = 2000;

[[noreturn]] void refuse_kind(const FileFormat& format) {
  switch (format.kind) {
    case FileKind::camera_raw:
      throw ContainerFault(
          "is a camera raw file, which is not read. Export it as JPEG or 16-bit TIFF.");
    case FileKind::other_picture:
      throw ContainerFault(
          fmt::format("is {}, which is not read. Export it as JPEG or 16-bit TIFF.", format.what));
    default:
      throw ContainerFault(
          "is not a picture that is read here. Give a JPEG, PNG, BMP, TIFF, WebP or HEIC photo.");
  }
}

Container walked(FileKind kind, std::span<const std::byte> bytes) {
  switch (kind) {
    case FileKind::jpeg:
      return jpeg_container(bytes);
    case FileKind::png:
      return png_container(bytes);
    case FileKind::webp:
      return webp_container(bytes);
    default:
      return bmp_container(bytes);
  }
}

ColourMeaning meaning_of(const ExifFacts& facts) {
  return facts.colour_space == ColourSpace::dcf_optional ? ColourMeaning::dcf_optional
                                                         : ColourMeaning::srgb;
}

Decoded walked_and_decoded(FileKind kind, std::span<const std::byte> bytes,
                           const DecodeOptions& options) {
  const Container container = walked(kind, bytes);
  check_picture_size(container, bytes.size(), options.pixel_limit_mp);
  Decoded out;
  out.facts = exif_facts(container.exif);
  out.stored_size_px = {static_cast<int>(container.width_px),
                        static_cast<int>(container.height_px)};
  out.bits_per_channel = container.bits_per_channel;
  out.raster =
      kind == FileKind::webp ? webp_raster(bytes, container) : stb_raster(bytes, container);
  out.raster.meaning = meaning_of(out.facts);
  return out;
}

const char* format_name(FileKind kind) {
  switch (kind) {
    case FileKind::jpeg:
      return "JPEG";
    case FileKind::png:
      return "PNG";
    case FileKind::bmp:
      return "BMP";
    case FileKind::tiff:
      return "TIFF";
    case FileKind::webp:
      return "WebP";
    default:
      return "HEIC";
  }
}

Decoded decoded(const FileFormat& format, std::span<const std::byte> bytes,
                const DecodeOptions& options) {
  switch (format.kind) {
    case FileKind::jpeg:
    case FileKind::png:
    case FileKind::bmp:
    case FileKind::webp:
      return walked_and_decoded(format.kind, bytes, options);
    case FileKind::tiff:
      return tiff_decoded(bytes, options.pixel_limit_mp);
    case FileKind::heic:
      return heic_decoded(bytes, options.pixel_limit_mp, options.heic_helper);
    default:
      refuse_kind(format);
  }
}

Photo photo_from(std::span<const std::byte> bytes, const std::string& name,
                 const DecodeOptions& options) {
  if (bytes.empty()) throw ContainerFault("is empty. Copy it again from the camera.");
  const FileFormat format = file_format(bytes);
  Decoded in = decoded(format, bytes, options);
  Photo photo;
  photo.meta.name = name;
  photo.meta.sha256 = sha256_hex(bytes);
  photo.meta.format = format_name(format.kind);
  photo.meta.stored_size_px = in.stored_size_px;
  photo.meta.exif_orientation = in.facts.orientation;
  photo.meta.bits_per_channel = in.bits_per_channel;
  photo.meta.captured_at = in.facts.captured_at;
  photo.meta.camera = in.facts.camera;
  Upright upright = upright_srgb(std::move(in.raster), in.facts.orientation);
  photo.meta.icc_profile = upright.profile_name;
  photo.bgr = upright.bgr;
  return photo;
}

}  // namespace

void DecodeOptions::check() const {
  if (!(pixel_limit_mp > 0 && pixel_limit_mp <= k_largest_limit_mp))
    throw Error(ErrorKind::wrong_use,
                fmt::format("The pixel limit must lie between 0 and {:g} megapixels, not {:g}.",
                            k_largest_limit_mp, pixel_limit_mp));
  if (file_limit_bytes == 0)
    throw Error(ErrorKind::wrong_use, "The file limit must be at least one byte.");
}

Photo load_photo(const std::filesystem::path& path, const DecodeOptions& options) {
  options.check();
  const Bytes bytes = read_file(path, options.file_limit_bytes);
  return decode_photo(bytes, path.filename().string(), options);
}

Photo decode_photo(std::span<const std::byte> bytes, const std::string& name,
                   const DecodeOptions& options) {
  options.check();
  try {
    return photo_from(bytes, name, options);
  } catch (const ContainerFault& fault) {
    throw Error(ErrorKind::bad_input, fmt::format("{}: {}", name, fault.what()));
  } catch (const std::bad_alloc&) {
    throw Error(
        ErrorKind::bad_input,
        fmt::format("{}: does not fit into memory. Close other programs, or reduce it.", name));
  } catch (const cv::Exception& fault) {
    // OpenCV reports failed allocation by its own exception.
    if (fault.code != cv::Error::StsNoMem) throw;
    throw Error(
        ErrorKind::bad_input,
        fmt::format("{}: does not fit into memory. Close other programs, or reduce it.", name));
  }
}

}  // namespace verdigrid
