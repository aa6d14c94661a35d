#include "photo/tiff_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstdarg>
#include <cstdio>
#include <cstring>
#include <vector>

#include "photo/container.h"

namespace verdigrid {

namespace {

constexpr int k_page_limit = 64;
constexpr std::uint16_t k_colour_filter_array = 32803;  // TIFF/EP, ISO 12234-2
constexpr std::uint16_t k_linear_raw = 34892;           // DNG 1.4
// Private compression codes that only camera raw files use: common practice, no source.
constexpr std::array<std::uint16_t, 6> k_raw_compressions{32767, 32769, 32770, 34713, 34892, 65535};

TiffFile::Stream& stream_of(thandle_t handle) { return *static_cast<TiffFile::Stream*>(handle); }

tmsize_t read_bytes(thandle_t handle, void* to, tmsize_t count) {
  TiffFile::Stream& stream = stream_of(handle);
  if (count <= 0 || stream.at >= stream.bytes.size()) return 0;
  const size_t left = stream.bytes.size() - static_cast<size_t>(stream.at);
  const size_t taken = std::min(left, static_cast<size_t>(count));
  std::memcpy(to, stream.bytes.data() + stream.at, taken);
  stream.at += taken;
  return static_cast<tmsize_t>(taken);
}

tmsize_t write_bytes(thandle_t, void*, tmsize_t) { return 0; }

toff_t seek_to(thandle_t handle, toff_t offset, int from) {
  TiffFile::Stream& stream = stream_of(handle);
  stream.at = from == SEEK_SET   ? offset
              : from == SEEK_CUR ? stream.at + offset
                                 : stream.bytes.size() + offset;
  return stream.at;
}

int close_nothing(thandle_t) { return 0; }
toff_t size_of(thandle_t handle) { return stream_of(handle).bytes.size(); }

void keep_message(void* user, const char* format, va_list values) {
  std::array<char, 400> text{};
  std::vsnprintf(text.data(), text.size(), format, values);
  static_cast<TiffFile::Stream*>(user)->message = text.data();
}

int on_error(TIFF*, void* user, const char*, const char* format, va_list values) {
  keep_message(user, format, values);
  return 1;
}

int on_warning(TIFF*, void* user, const char*, const char* format, va_list values) {
  keep_message(user, format, values);
  auto& stream = *static_cast<TiffFile::Stream*>(user);
  stream.has_warned = true;
  stream.is_cut = stream.is_cut || stream.message.starts_with("IO error during reading");
  return 1;
}

struct OpenOptions {
  TIFFOpenOptions* options = TIFFOpenOptionsAlloc();
  OpenOptions() = default;
  ~OpenOptions() { TIFFOpenOptionsFree(options); }
  OpenOptions(const OpenOptions&) = delete;
  OpenOptions& operator=(const OpenOptions&) = delete;
};

bool is_raw_directory(TIFF* tiff) {
  std::uint16_t photometric = 0, compression = COMPRESSION_NONE;
  TIFFGetField(tiff, TIFFTAG_PHOTOMETRIC, &photometric);
  TIFFGetFieldDefaulted(tiff, TIFFTAG_COMPRESSION, &compression);
  const std::uint8_t* version = nullptr;
  return photometric == k_colour_filter_array || photometric == k_linear_raw ||
         TIFFGetField(tiff, TIFFTAG_DNGVERSION, &version) ||
         std::find(k_raw_compressions.begin(), k_raw_compressions.end(), compression) !=
             k_raw_compressions.end();
}

std::vector<toff_t> sub_directories(TIFF* tiff) {
  std::uint16_t count = 0;
  toff_t* offsets = nullptr;
  if (!TIFFGetField(tiff, TIFFTAG_SUBIFD, &count, &offsets)) return {};
  return {offsets, offsets + std::min<int>(count, k_page_limit)};
}

bool is_full_size(TIFF* tiff) {
  std::uint32_t kind = 0;
  if (TIFFGetField(tiff, TIFFTAG_SUBFILETYPE, &kind))
    return (kind & (FILETYPE_REDUCEDIMAGE | FILETYPE_MASK)) == 0;
  std::uint16_t old_kind = OFILETYPE_IMAGE;
  return !TIFFGetField(tiff, TIFFTAG_OSUBFILETYPE, &old_kind) || old_kind != OFILETYPE_REDUCEDIMAGE;
}

[[noreturn]] void fault_raw() {
  throw ContainerFault(
      "is a camera raw file, which is not read. Export it as JPEG or 16-bit TIFF.");
}

}  // namespace

TiffFile::TiffFile(std::span<const std::byte> bytes, double limit_mp)
    : stream_(std::make_unique<Stream>()) {
  stream_->bytes = bytes;
  const OpenOptions open;
  // The largest honest block is the whole picture with 16 bits and alpha.
  TIFFOpenOptionsSetMaxSingleMemAlloc(
      open.options, static_cast<tmsize_t>(limit_mp * 1e6 * 8 + static_cast<double>(64 << 20)));
  TIFFOpenOptionsSetErrorHandlerExtR(open.options, on_error, stream_.get());
  TIFFOpenOptionsSetWarningHandlerExtR(open.options, on_warning, stream_.get());
  tiff_ = TIFFClientOpenExt("photo", "rm", stream_.get(), read_bytes, write_bytes, seek_to,
                            close_nothing, size_of, nullptr, nullptr, open.options);
  if (!tiff_) fault_cut_short(fmt::format("TIFF without its directory: {}", stream_->message));
}

TiffFile::~TiffFile() {
  if (tiff_) TIFFClose(tiff_);
}

void TiffFile::choose_picture() const {
  int chosen = -1, full_size = 0, page = 0;
  std::vector<toff_t> subs;
  do {
    if (is_raw_directory(tiff_)) fault_raw();
    const auto more = sub_directories(tiff_);
    subs.insert(subs.end(), more.begin(), more.end());
    if (is_full_size(tiff_) && full_size++ == 0) chosen = page;
  } while (++page < k_page_limit && TIFFReadDirectory(tiff_));
  for (const toff_t offset : subs)
    if (TIFFSetSubDirectory(tiff_, offset) && is_raw_directory(tiff_)) fault_raw();
  if (full_size > 1)
    throw ContainerFault("is a TIFF with several pages. Export each page as its own file.");
  if (chosen < 0) fault_damaged("TIFF without a full-size picture");
  if (!TIFFSetDirectory(tiff_, static_cast<tdir_t>(chosen)))
    fault_damaged(fmt::format("TIFF directory: {}", stream_->message));
  stream_->has_warned = false;
}

}  // namespace verdigrid
