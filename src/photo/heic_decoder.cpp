#include <fmt/format.h>

#include <memory>

#include "photo/byte_view.h"
#include "photo/decoders.h"
#include "photo/heic_process.h"

namespace verdigrid {

namespace {

constexpr auto k_be = ByteOrder::big;

void walk_boxes(const ByteView& view) {
  bool has_meta = false;
  size_t at = 0;
  while (at < view.size()) {
    std::uint64_t length = view.u32(at, k_be);
    if (length == 1) length = view.u64(at + 8, k_be);
    if (length == 0) length = view.size() - at;
    if (length < 8) fault_damaged("HEIC box without a length");
    if (length > view.size() - at) fault_cut_short("HEIC box that reaches beyond the file's end");
    has_meta = has_meta || view.has(at + 4, "meta");
    at += static_cast<size_t>(length);
  }
  if (!has_meta) fault_cut_short("HEIC without its description of pictures");
}

// ITU-T H.273 table 2 and 3: primaries 1 BT.709, 9 BT.2020, 12 P3 D65; transfer 16 PQ, 18 HLG.
ColourMeaning meaning_of(const HeicAnswer& answer) {
  if (answer.transfer == 16 || answer.transfer == 18)
    fault_unsupported("is a HEIC in a high dynamic range coding");
  switch (answer.primaries) {
    case 9:
      return ColourMeaning::bt2020;
    case 12:
      return ColourMeaning::display_p3;
    default:
      return ColourMeaning::srgb;
  }
}

}  // namespace

void check_heic_boxes(std::span<const std::byte> bytes) {
  try {
    walk_boxes(ByteView(bytes));
  } catch (const std::out_of_range&) {
    fault_cut_short("HEIC that ends inside a box");
  }
}

Decoded heic_decoded(std::span<const std::byte> bytes, double limit_mp,
                     const std::filesystem::path& helper) {
  check_heic_boxes(bytes);
  const auto reply = std::make_shared<HeicReply>(
      heic_reply(bytes, {.helper = heic_helper_path(helper), .limit_mp = limit_mp}));
  const HeicAnswer& answer = reply->answer;
  Decoded out;
  out.stored_size_px = {static_cast<int>(answer.width_px), static_cast<int>(answer.height_px)};
  out.bits_per_channel = static_cast<int>(answer.file_bits);
  out.facts = exif_facts(reply->exif);
  // ISO/IEC 23008-12 section 6.5.10: turning is a property of the picture, already applied by its
  // decoder, and the tag in the EXIF block is to be ignored.
  out.facts.orientation = 1;
  out.raster.icc = reply->icc;
  if (reply->icc.empty()) out.raster.meaning = meaning_of(answer);
  out.raster.samples = cv::Mat(
      out.stored_size_px.height, out.stored_size_px.width,
      CV_MAKETYPE(answer.sample_bits == 16 ? CV_16U : CV_8U, static_cast<int>(answer.channels)),
      reply->samples.data());
  out.raster.owner = reply;
  return out;
}

}  // namespace verdigrid
