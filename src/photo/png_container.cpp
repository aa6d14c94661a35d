// Chunk structure of PNG: W3C Recommendation "Portable Network Graphics (PNG) Specification (Second
// Edition)", ISO/IEC 15948:2004, and its later eXIf chunk.
#include <fmt/format.h>
#include <zlib.h>

#include <algorithm>
#include <string_view>

#include "photo/byte_view.h"
#include "photo/container.h"

namespace verdigrid {

namespace {

using namespace std::string_view_literals;

Bytes inflated(std::span<const std::byte> packed) {
  Bytes out(64 * 1024);
  z_stream stream{};
  stream.next_in = reinterpret_cast<Bytef*>(const_cast<std::byte*>(packed.data()));
  stream.avail_in = static_cast<uInt>(packed.size());
  if (inflateInit(&stream) != Z_OK) fault_damaged("PNG colour profile");
  int code = Z_OK;
  while (code == Z_OK && stream.total_out < k_metadata_limit_bytes) {
    if (stream.total_out == out.size()) out.resize(2 * out.size());
    stream.next_out = reinterpret_cast<Bytef*>(out.data() + stream.total_out);
    stream.avail_out = static_cast<uInt>(out.size() - stream.total_out);
    code = inflate(&stream, Z_NO_FLUSH);
  }
  out.resize(stream.total_out);
  inflateEnd(&stream);
  if (code != Z_STREAM_END) fault_damaged("PNG colour profile");
  return out;
}

class PngWalk {
 public:
  explicit PngWalk(std::span<const std::byte> bytes) : view_(bytes) {}

  Container container() {
    for (bool more = true; more;) more = step();
    if (!has_data_) fault_damaged("PNG without picture data");
    return std::move(out_);
  }

 private:
  bool step() {
    const size_t length = view_.u32(at_, ByteOrder::big);
    const auto body = view_.part(at_ + 8, length);
    const std::uint32_t stored = view_.u32(at_ + 8 + length, ByteOrder::big);
    const auto covered = view_.part(at_ + 4, 4 + length);
    const std::string type(reinterpret_cast<const char*>(covered.data()), 4);
    const bool is_type = std::all_of(type.begin(), type.end(), [](unsigned char c) {
      return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
    });
    if (!is_type) fault_damaged("PNG chunk without a name");
    const auto* first = reinterpret_cast<const Bytef*>(covered.data());
    if (crc32_z(crc32_z(0, nullptr, 0), first, covered.size()) != stored)
      fault_damaged(fmt::format("PNG chunk {} does not match its checksum", type));
    if (is_first_ != (type == "IHDR")) fault_damaged("PNG without its header chunk in front");
    is_first_ = false;
    at_ += 12 + length;
    chunk(type, body);
    return type != "IEND";
  }

  void chunk(const std::string& type, std::span<const std::byte> body) {
    if (type == "IHDR") return header(ByteView(body));
    if (type == "acTL") fault_unsupported("is an animated PNG with several pictures");
    if (type == "CgBI") fault_unsupported("is a PNG in a phone maker's own variant");
    if (type == "IDAT") has_data_ = true;
    if (type == "tRNS") ++out_.channels;
    if (type == "eXIf") out_.exif.assign(body.begin(), body.end());
    if (type == "iCCP") {
      const auto end = std::find(body.begin(), body.end(), std::byte{0});
      const auto name_length = static_cast<size_t>(end - body.begin());
      if (name_length + 2 > body.size()) fault_damaged("PNG colour profile");
      out_.icc = inflated(body.subspan(name_length + 2));
    }
  }

  void header(const ByteView& b) {
    if (b.size() != 13) fault_damaged("PNG header of a wrong length");
    out_.width_px = b.u32(0, ByteOrder::big);
    out_.height_px = b.u32(4, ByteOrder::big);
    out_.bits_per_channel = b.u8(8);
    switch (b.u8(9)) {
      case 0:
        out_.channels = 1;
        break;
      case 2:
      case 3:
        out_.channels = 3;
        break;
      case 4:
        out_.channels = 2;
        break;
      case 6:
        out_.channels = 4;
        break;
      default:
        fault_damaged("PNG of an unknown colour type");
    }
  }

  ByteView view_;
  size_t at_ = 8;
  Container out_;
  bool is_first_ = true, has_data_ = false;
};

}  // namespace

Container png_container(std::span<const std::byte> bytes) {
  try {
    return PngWalk(bytes).container();
  } catch (const std::out_of_range&) {
    fault_cut_short("PNG without its end chunk");
  }
}

}  // namespace verdigrid
