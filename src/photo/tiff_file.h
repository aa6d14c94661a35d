// A TIFF in memory, opened by libtiff, with its messages kept instead of printed.
//
// Inside src/photo only. One thread per object.
#pragma once

#include <tiffio.h>

#include <cstddef>
#include <memory>
#include <span>
#include <string>

namespace verdigrid {

class TiffFile {
 public:
  // Throws ContainerFault when the header or the first directory cannot be read.
  TiffFile(std::span<const std::byte> bytes, double limit_mp);
  ~TiffFile();
  TiffFile(const TiffFile&) = delete;
  TiffFile& operator=(const TiffFile&) = delete;

  TIFF* get() const { return tiff_; }

  // Makes the one full-size picture current. Throws ContainerFault for camera raw, several pages,
  // none.
  void choose_picture() const;

  bool has_warned() const { return stream_->has_warned; }
  // Something that a directory points to lies beyond the end; libtiff goes on without it.
  bool is_cut() const { return stream_->is_cut; }
  const std::string& last_message() const { return stream_->message; }

  struct Stream {
    std::span<const std::byte> bytes;
    std::uint64_t at = 0;
    bool has_warned = false, is_cut = false;
    std::string message = "no reason given";
  };

 private:
  std::unique_ptr<Stream> stream_;
  TIFF* tiff_ = nullptr;
};

}  // namespace verdigrid
