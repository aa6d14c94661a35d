// WebP: RIFF chunks (RFC 9649) walked here, pictures decoded by libwebp.
#include <fmt/format.h>
#include <webp/decode.h>

#include "photo/byte_view.h"
#include "photo/container.h"
#include "photo/decoders.h"

namespace verdigrid {

namespace {

constexpr auto k_le = ByteOrder::little;
constexpr std::string_view k_exif_prefix{"Exif\0\0", 6};

void chunk(Container& out, const std::string& type, std::span<const std::byte> body) {
  if (type == "ANIM" || type == "ANMF")
    fault_unsupported("is an animated WebP with several pictures");
  if (type == "ICCP") out.icc.assign(body.begin(), body.end());
  if (type == "EXIF") {
    const bool is_prefixed = ByteView(body).has(0, k_exif_prefix);
    const auto from = body.begin() + (is_prefixed ? static_cast<long>(k_exif_prefix.size()) : 0);
    out.exif.assign(from, body.end());
  }
}

Container walked(const ByteView& view) {
  Container out;
  const size_t end = size_t{8} + view.u32(4, k_le);
  if (end > view.size())
    fault_cut_short(fmt::format("WebP of {} bytes of which {} are there", end, view.size()));
  size_t at = 12;
  int pictures = 0;
  while (at + 8 <= end) {
    const size_t length = view.u32(at + 4, k_le);
    const auto name = view.part(at, 4);
    const std::string type(reinterpret_cast<const char*>(name.data()), 4);
    if (length > end - at - 8) fault_damaged("WebP chunk that reaches beyond the file's end");
    chunk(out, type, view.part(at + 8, length));
    if (type == "VP8 " || type == "VP8L") ++pictures;
    at += 8 + length + length % 2;
  }
  if (pictures != 1) fault_damaged("WebP without exactly one picture");
  WebPBitstreamFeatures features{};
  if (WebPGetFeatures(view.data(), view.size(), &features) != VP8_STATUS_OK)
    fault_damaged("WebP picture header");
  out.width_px = features.width;
  out.height_px = features.height;
  out.channels = features.has_alpha ? 4 : 3;
  return out;
}

}  // namespace

Container webp_container(std::span<const std::byte> bytes) {
  try {
    return walked(ByteView(bytes));
  } catch (const std::out_of_range&) {
    fault_cut_short("WebP that ends inside a chunk");
  }
}

Raster webp_raster(std::span<const std::byte> bytes, const Container& container) {
  Raster raster;
  raster.icc = container.icc;
  raster.order = SampleOrder::bgr;
  cv::Mat& to = raster.samples;
  to.create(static_cast<int>(container.height_px), static_cast<int>(container.width_px),
            CV_8UC(container.channels));
  const auto* data = reinterpret_cast<const std::uint8_t*>(bytes.data());
  const auto decode = container.channels == 4 ? WebPDecodeBGRAInto : WebPDecodeBGRInto;
  if (!decode(data, bytes.size(), to.data, to.total() * to.elemSize(),
              static_cast<int>(to.step[0])))
    fault_damaged("WebP picture data");
  return raster;
}

}  // namespace verdigrid
