#include "photo/colour_profile.h"

#include <fmt/format.h>
#include <lcms2.h>

#include <algorithm>
#include <array>
#include <cstdlib>
#include <memory>
#include <opencv2/imgproc.hpp>
#include <vector>

#include "photo/container.h"

namespace verdigrid {

namespace {

using Profile = std::unique_ptr<void, decltype(&cmsCloseProfile)>;
using Transform = std::unique_ptr<void, decltype(&cmsDeleteTransform)>;
using Curve = std::unique_ptr<cmsToneCurve, decltype(&cmsFreeToneCurve)>;

Profile owned(cmsHPROFILE profile) { return {profile, &cmsCloseProfile}; }

// IEC 61966-2-1 as lcms writes parametric curve type 4.
Curve srgb_curve() {
  constexpr std::array k_parameters{2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045};
  return {cmsBuildParametricToneCurve(nullptr, 4, k_parameters.data()), &cmsFreeToneCurve};
}

Profile rgb_profile(const cmsCIExyYTRIPLE& primaries, const Curve& curve) {
  const cmsCIExyY d65{0.3127, 0.3290, 1};
  const std::array curves{curve.get(), curve.get(), curve.get()};
  return owned(cmsCreateRGBProfile(&d65, &primaries, curves.data()));
}

struct Source {
  Profile profile;
  std::string name;
};

// Primaries: DCF optional colour space from JEITA CP-3461B (gamma 2.2 as 563/256), Display P3 from
// SMPTE EG 432-1 with the sRGB curve, BT.2020 from ITU-R BT.2020-2.
Source source_from_meaning(ColourMeaning meaning) {
  switch (meaning) {
    case ColourMeaning::dcf_optional:
      return {rgb_profile({{0.64, 0.33, 1}, {0.21, 0.71, 1}, {0.15, 0.06, 1}},
                          {cmsBuildGamma(nullptr, 563.0 / 256), &cmsFreeToneCurve}),
              "DCF optional colour space (by EXIF)"};
    case ColourMeaning::display_p3:
      return {rgb_profile({{0.680, 0.320, 1}, {0.265, 0.690, 1}, {0.150, 0.060, 1}}, srgb_curve()),
              "P3 primaries with sRGB curve (by coding parameters)"};
    case ColourMeaning::bt2020:
      return {rgb_profile({{0.708, 0.292, 1}, {0.170, 0.797, 1}, {0.131, 0.046, 1}}, srgb_curve()),
              "BT.2020 primaries with sRGB curve (by coding parameters)"};
    case ColourMeaning::srgb:
      break;
  }
  return {owned(cmsCreate_sRGBProfile()), "sRGB"};
}

std::string description(cmsHPROFILE profile) {
  std::array<char, 256> text{};
  cmsGetProfileInfoASCII(profile, cmsInfoDescription, "en", "US", text.data(),
                         static_cast<cmsUInt32Number>(text.size()));
  std::string name(text.data());
  std::erase_if(name, [](unsigned char c) { return c < 32 || c == 127; });
  return name.empty() ? "unnamed" : name;
}

Source source_of(const Raster& raster) {
  if (raster.icc.empty()) return source_from_meaning(raster.meaning);
  Profile profile = owned(
      cmsOpenProfileFromMem(raster.icc.data(), static_cast<cmsUInt32Number>(raster.icc.size())));
  if (!profile)
    throw ContainerFault(
        "has a colour profile that cannot be read. Export the photo again as sRGB.");
  std::string name = description(profile.get());
  return {std::move(profile), std::move(name)};
}

bool is_grey_profile(cmsHPROFILE profile) { return cmsGetColorSpace(profile) == cmsSigGrayData; }

// Same layout for one pixel as for the picture: `channels` samples of `bytes` each.
cmsUInt32Number input_format(int space, int channels, int bytes, SampleOrder order) {
  const int colours = channels >= 3 ? 3 : 1;
  const int swap = order == SampleOrder::bgr ? 1 : 0;
  return static_cast<cmsUInt32Number>(COLORSPACE_SH(space) | CHANNELS_SH(colours) |
                                      EXTRA_SH(channels - colours) | BYTES_SH(bytes) |
                                      DOSWAP_SH(swap) | SWAPFIRST_SH(swap & (channels - colours)));
}

cmsUInt32Number output_format(int extra) {
  return static_cast<cmsUInt32Number>(COLORSPACE_SH(PT_RGB) | CHANNELS_SH(3) | EXTRA_SH(extra) |
                                      BYTES_SH(1) | DOSWAP_SH(1) | SWAPFIRST_SH(extra));
}

Transform transform_to_srgb(cmsHPROFILE from, cmsUInt32Number in, cmsUInt32Number out) {
  const Profile srgb = owned(cmsCreate_sRGBProfile());
  const auto flags = cmsFLAGS_NOCACHE | (T_EXTRA(in) > 0 ? cmsFLAGS_COPY_ALPHA : 0);
  Transform transform(
      cmsCreateTransform(from, in, srgb.get(), out, INTENT_RELATIVE_COLORIMETRIC, flags),
      &cmsDeleteTransform);
  if (!transform)
    throw ContainerFault(
        "has a colour profile that does not fit its pixels. Export the photo as sRGB.");
  return transform;
}

// Sampled on 9 x 9 x 9 colours.
bool moves_nothing(cmsHPROFILE profile) {
  constexpr int k_steps = 9;
  std::vector<std::array<unsigned char, 3>> in, out;
  for (int i = 0; i < k_steps * k_steps * k_steps; ++i) {
    const auto level = [](int step) {
      return static_cast<unsigned char>(step * 255 / (k_steps - 1));
    };
    in.push_back({level(i % k_steps), level(i / k_steps % k_steps), level(i / k_steps / k_steps)});
  }
  out.resize(in.size());
  const Transform transform = transform_to_srgb(profile, TYPE_RGB_8, TYPE_RGB_8);
  cmsDoTransform(transform.get(), in.data(), out.data(), static_cast<cmsUInt32Number>(in.size()));
  for (size_t i = 0; i < in.size(); ++i)
    for (size_t c = 0; c < 3; ++c)
      if (std::abs(in[i][c] - out[i][c]) > 1) return false;
  return true;
}

cv::Mat transformed(const cv::Mat& samples, cmsHTRANSFORM transform, int out_channels) {
  cv::Mat out(samples.size(), CV_8UC(out_channels));
  cv::parallel_for_(cv::Range(0, samples.rows), [&](const cv::Range& rows) {
    for (int y = rows.start; y < rows.end; ++y)
      cmsDoTransform(transform, samples.ptr(y), out.ptr(y),
                     static_cast<cmsUInt32Number>(samples.cols));
  });
  return out;
}

// Grey pixels with an RGB profile: some editors embed their working space whatever the pixels are.
cv::Mat spread_to_colour(const cv::Mat& samples) {
  cv::Mat out(samples.size(), CV_MAKETYPE(samples.depth(), samples.channels() + 2));
  const std::array<int, 8> grey{0, 0, 0, 1, 0, 2, 1, 3};
  cv::mixChannels(&samples, 1, &out, 1, grey.data(), static_cast<size_t>(out.channels()));
  return out;
}

}  // namespace

bool is_profiled(const Raster& raster) {
  return !raster.icc.empty() || raster.meaning != ColourMeaning::srgb;
}

SrgbPixels srgb_from_profiled(const Raster& raster) {
  const Source source = source_of(raster);
  const bool is_grey = is_grey_profile(source.profile.get());
  if (!is_grey && cmsGetColorSpace(source.profile.get()) != cmsSigRgbData)
    throw ContainerFault(
        fmt::format("has a colour profile for other colours than RGB (\"{}\"). Export the "
                    "photo as sRGB.",
                    source.name));
  if (is_grey && raster.samples.channels() >= 3)
    throw ContainerFault(fmt::format(
        "has colour pixels and a grey profile (\"{}\"). Export the photo as sRGB.", source.name));
  cv::Mat samples = raster.samples;
  if (!is_grey && samples.channels() < 3) samples = spread_to_colour(samples);
  const int extra = samples.channels() % 2 == 0 ? 1 : 0;
  const int bytes = samples.depth() == CV_16U ? 2 : 1;
  if (!is_grey && bytes == 1 && moves_nothing(source.profile.get())) return {{}, source.name};
  const auto in = input_format(is_grey ? PT_GRAY : PT_RGB, samples.channels(), bytes, raster.order);
  const Transform transform = transform_to_srgb(source.profile.get(), in, output_format(extra));
  return {transformed(samples, transform.get(), 3 + extra), source.name};
}

}  // namespace verdigrid
