#include "photo/exif.h"

#include <libexif/exif-data.h>

#include <algorithm>
#include <cctype>
#include <memory>
#include <string_view>

#include "base/files.h"

namespace verdigrid {

namespace {

// Longest block a JPEG segment holds; larger ones elsewhere are not EXIF of a camera.
constexpr size_t k_exif_limit_bytes = 1 << 20;

std::string trimmed(const std::string& text) {
  std::string out;
  for (const char c : text.substr(0, text.find('\0')))
    out += static_cast<unsigned char>(c) < 32 || c == 127 ? ' ' : c;
  const auto from = out.find_first_not_of(' ');
  if (from == std::string::npos) return {};
  return out.substr(from, out.find_last_not_of(' ') - from + 1);
}

std::string text_of(ExifData* data, ExifIfd ifd, ExifTag tag) {
  const ExifEntry* entry = exif_content_get_entry(data->ifd[ifd], tag);
  if (!entry || entry->format != EXIF_FORMAT_ASCII || !entry->data) return {};
  return trimmed({reinterpret_cast<const char*>(entry->data), entry->size});
}

int orientation_of(ExifData* data) {
  const ExifEntry* entry = exif_content_get_entry(data->ifd[EXIF_IFD_0], EXIF_TAG_ORIENTATION);
  if (!entry || entry->format != EXIF_FORMAT_SHORT || entry->components < 1 || entry->size < 2)
    return 1;
  const int value = exif_get_short(entry->data, exif_data_get_byte_order(data));
  return value >= 1 && value <= 8 ? value : 1;
}

}  // namespace

std::optional<std::string> time_from_exif(const std::string& text) {
  constexpr std::string_view k_form = "dddd:dd:dd dd:dd:dd";
  if (text.size() != k_form.size()) return {};
  for (size_t i = 0; i < text.size(); ++i) {
    const bool is_digit = std::isdigit(static_cast<unsigned char>(text[i])) != 0;
    if (k_form[i] == 'd' ? !is_digit : text[i] != k_form[i]) return {};
  }
  if (text.substr(5, 2) == "00") return {};  // an unset clock writes zeros
  std::string out = text;
  out[4] = out[7] = '-';
  return out;
}

std::optional<std::string> camera_name(const std::string& make, const std::string& model) {
  const std::string first = trimmed(make), second = trimmed(model);
  if (second.empty()) return first.empty() ? std::nullopt : std::optional(first);
  if (first.empty() || second.starts_with(first)) return second;
  return first + " " + second;
}

ExifFacts exif_facts(std::span<const std::byte> tiff) {
  ExifFacts facts;
  if (tiff.empty() || tiff.size() > k_exif_limit_bytes) return facts;
  constexpr std::string_view k_prefix{"Exif\0\0", 6};
  std::string block(k_prefix);
  block.append(reinterpret_cast<const char*>(tiff.data()), tiff.size());
  const std::unique_ptr<ExifData, decltype(&exif_data_unref)> data(exif_data_new(),
                                                                   &exif_data_unref);
  if (!data) return facts;
  exif_data_unset_option(data.get(), EXIF_DATA_OPTION_FOLLOW_SPECIFICATION);
  exif_data_load_data(data.get(), reinterpret_cast<const unsigned char*>(block.data()),
                      static_cast<unsigned>(block.size()));
  facts.orientation = orientation_of(data.get());
  facts.captured_at =
      time_from_exif(text_of(data.get(), EXIF_IFD_EXIF, EXIF_TAG_DATE_TIME_ORIGINAL));
  facts.camera = camera_name(text_of(data.get(), EXIF_IFD_0, EXIF_TAG_MAKE),
                             text_of(data.get(), EXIF_IFD_0, EXIF_TAG_MODEL));
  const std::string index =
      text_of(data.get(), EXIF_IFD_INTEROPERABILITY, EXIF_TAG_INTEROPERABILITY_INDEX);
  if (index == "R03") facts.colour_space = ColourSpace::dcf_optional;
  return facts;
}

}  // namespace verdigrid
