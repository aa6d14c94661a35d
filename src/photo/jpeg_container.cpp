// Marker structure of ITU-T T.81 (ISO/IEC 10918-1) annex B.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstring>
#include <optional>
#include <string_view>
#include <vector>

#include "photo/byte_view.h"
#include "photo/container.h"

namespace verdigrid {

namespace {

using namespace std::string_view_literals;

constexpr auto k_exif_prefix = "Exif\0\0"sv;
constexpr auto k_icc_prefix = "ICC_PROFILE\0"sv;

struct Component {
  int id = 0, across = 1, down = 1;
  bool is_seen = false;
};

class JpegWalk {
 public:
  explicit JpegWalk(std::span<const std::byte> bytes) : view_(bytes) {}

  Container container() {
    for (bool more = true; more;) more = step();
    if (components_.empty()) fault_damaged("JPEG without a frame header");
    for (const Component& c : components_)
      if (!c.is_seen) fault_damaged("JPEG in which a colour channel is missing");
    join_icc();
    return std::move(out_);
  }

 private:
  // Reads one marker with its segment; false after the end marker.
  bool step() {
    const int marker = next_marker();
    if (marker == 0xD9) return false;
    if (marker == 0xD8 || marker == 0x01) return true;
    if (marker >= 0xD0 && marker <= 0xD7) fault_damaged("JPEG restart marker outside a scan");
    if (marker < 0xC0 || (marker >= 0xF0 && marker <= 0xFD))
      fault_damaged(fmt::format("unknown JPEG marker {:02X}", marker));
    const size_t length = view_.u16(at_, ByteOrder::big);
    if (length < 2) fault_damaged("JPEG segment without a length");
    const auto body = view_.part(at_ + 2, length - 2);
    at_ += length;
    segment(marker, body);
    return true;
  }

  int next_marker() {
    // Some cameras pad segments with zero bytes.
    while (view_.u8(at_) == 0) ++at_;
    if (view_.u8(at_) != 0xFF) fault_damaged("JPEG segment that does not end at a marker");
    while (view_.u8(at_) == 0xFF) ++at_;
    return view_.u8(at_++);
  }

  void segment(int marker, std::span<const std::byte> body) {
    const ByteView b(body);
    if (marker == 0xDA) return scan(b);
    if (marker == 0xDD) {
      restart_interval_ = b.u16(0, ByteOrder::big);
    } else if (marker == 0xE1 && b.has(0, k_exif_prefix) && out_.exif.empty()) {
      out_.exif.assign(body.begin() + k_exif_prefix.size(), body.end());
    } else if (marker == 0xE2 && b.has(0, k_icc_prefix) && body.size() >= 14) {
      icc_parts_.push_back({b.u8(12), b.u8(13), Bytes(body.begin() + 14, body.end())});
    } else if (marker >= 0xC0 && marker <= 0xCF && marker != 0xC4 && marker != 0xC8 &&
               marker != 0xCC) {
      frame(marker, b);
    }
  }

  void frame(int marker, const ByteView& b) {
    if (!components_.empty()) fault_damaged("JPEG with two frame headers");
    if (marker > 0xC2)
      fault_unsupported(fmt::format(
          "is a JPEG of a rare kind (lossless, hierarchical or arithmetic, frame type {})",
          marker - 0xC0));
    out_.bits_per_channel = b.u8(0);
    if (out_.bits_per_channel != 8)
      fault_unsupported(
          fmt::format("is a JPEG with {} bits per channel, not 8", out_.bits_per_channel));
    out_.height_px = b.u16(1, ByteOrder::big);
    out_.width_px = b.u16(3, ByteOrder::big);
    out_.channels = b.u8(5);
    if (out_.channels == 4) fault_unsupported("is a JPEG in print colours (CMYK)");
    if (out_.channels != 1 && out_.channels != 3)
      fault_unsupported(fmt::format("is a JPEG with {} colour channels", out_.channels));
    for (size_t i = 0; i < static_cast<size_t>(out_.channels); ++i) {
      const int sampling = b.u8(7 + 3 * i);
      const Component c{b.u8(6 + 3 * i), sampling >> 4, sampling & 15, false};
      if (c.across < 1 || c.across > 4 || c.down < 1 || c.down > 4)
        fault_damaged("JPEG with impossible sampling factors");
      components_.push_back(c);
    }
  }

  void scan(const ByteView& b) {
    if (components_.empty()) fault_damaged("JPEG scan before its frame header");
    const size_t count = b.u8(0);
    if (count < 1 || count > components_.size())
      fault_damaged("JPEG scan with impossible channels");
    const Component* only = nullptr;
    for (size_t i = 0; i < count; ++i) {
      const int id = b.u8(1 + 2 * i);
      const auto found = std::find_if(components_.begin(), components_.end(),
                                      [id](const Component& c) { return c.id == id; });
      if (found == components_.end()) fault_damaged("JPEG scan of an unknown colour channel");
      found->is_seen = true;
      only = &*found;
    }
    const std::int64_t restarts = skip_entropy_data();
    if (restart_interval_ == 0) return;
    const std::int64_t units = count == 1 ? blocks(*only) : interleaved_units();
    // One more than needed is written by some encoders and loses nothing.
    if (restarts < (units - 1) / restart_interval_)
      fault_damaged("JPEG with missing restart markers: part of the picture is lost");
  }

  // Stops before the marker that ends the scan; restart markers must come in order.
  std::int64_t skip_entropy_data() {
    std::int64_t restarts = 0;
    for (;;) {
      const unsigned char* from = view_.data() + at_;
      const void* found =
          at_ < view_.size() ? std::memchr(from, 0xFF, view_.size() - at_) : nullptr;
      if (!found) fault_cut_short("JPEG without its end marker");
      at_ += static_cast<size_t>(static_cast<const unsigned char*>(found) - from);
      const int code = view_.u8(at_ + 1);
      if (code == 0xFF) {
        ++at_;
      } else if (code == 0) {
        at_ += 2;
      } else if (code >= 0xD0 && code <= 0xD7) {
        if (code - 0xD0 != restarts % 8) fault_damaged("JPEG restart markers out of order");
        ++restarts;
        at_ += 2;
      } else {
        return restarts;
      }
    }
  }

  std::int64_t interleaved_units() const {
    const auto [across, down] = largest_sampling();
    return ((out_.width_px + 8 * across - 1) / (8 * across)) *
           ((out_.height_px + 8 * down - 1) / (8 * down));
  }

  // Blocks of one channel alone: T.81 section A.2.2.
  std::int64_t blocks(const Component& c) const {
    const auto [across, down] = largest_sampling();
    const std::int64_t width = (out_.width_px * c.across + across - 1) / across;
    const std::int64_t height = (out_.height_px * c.down + down - 1) / down;
    return ((width + 7) / 8) * ((height + 7) / 8);
  }

  std::pair<std::int64_t, std::int64_t> largest_sampling() const {
    std::int64_t across = 1, down = 1;
    for (const Component& c : components_) {
      across = std::max<std::int64_t>(across, c.across);
      down = std::max<std::int64_t>(down, c.down);
    }
    return {across, down};
  }

  // ICC.1:2010 annex B.4: numbered parts, all with the same count.
  void join_icc() {
    std::sort(icc_parts_.begin(), icc_parts_.end(),
              [](const IccPart& x, const IccPart& y) { return x.number < y.number; });
    for (size_t i = 0; i < icc_parts_.size(); ++i)
      if (icc_parts_[i].number != static_cast<int>(i) + 1 ||
          icc_parts_[i].count != static_cast<int>(icc_parts_.size()))
        fault_damaged("JPEG colour profile with a missing part");
    for (const IccPart& part : icc_parts_)
      out_.icc.insert(out_.icc.end(), part.bytes.begin(), part.bytes.end());
  }

  struct IccPart {
    int number, count;
    Bytes bytes;
  };

  ByteView view_;
  size_t at_ = 2;
  Container out_;
  std::vector<Component> components_;
  std::vector<IccPart> icc_parts_;
  std::int64_t restart_interval_ = 0;
};

}  // namespace

Container jpeg_container(std::span<const std::byte> bytes) {
  try {
    return JpegWalk(bytes).container();
  } catch (const std::out_of_range&) {
    fault_cut_short("JPEG without its end marker");
  }
}

}  // namespace verdigrid
