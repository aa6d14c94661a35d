#include "compare/light_layers.h"

#include <fmt/format.h>

#include <cmath>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "base/json_parts.h"
#include "compare/comparison_visit.h"
#include "compare/features.h"
#include "measure/survey.h"
#include "photo/check.h"

namespace verdigrid {

namespace {

constexpr int k_version = 1;
constexpr int k_glare_bit = 1;
constexpr int k_speck_px = 3, k_wall_px = 9;  // reduced px: narrower things are no glare

// 255 where the photo's check sees glare in it alone: so much that no colour is left. Full size.
cv::Mat washed_out(const Photo& photo, const Polygon& board_px, const Work& work) {
  PhotoCheckOptions options;
  options.board_px = board_px;
  const PhotoCheck check = photo_check(photo, options, work);
  cv::Mat glare = cv::Mat::zeros(photo.bgr.size(), CV_8UC1);
  if (!check.hidden.empty())
    cv::resize((check.hidden & k_glare_bit) != 0, glare, glare.size(), 0, 0, cv::INTER_NEAREST);
  return glare;
}

cv::Mat opened(const cv::Mat& on, int side_px) {
  cv::Mat out;
  cv::morphologyEx(on, out, cv::MORPH_OPEN,
                   cv::getStructuringElement(cv::MORPH_ELLIPSE, {side_px, side_px}));
  return out;
}

// 255 where the plain photo is brighter than the other one, in its light, is anywhere near:
// mirrored light adds and never takes away.
cv::Mat mirrored_light(const LookChange& look, const Alignment& alignment, double least_levels,
                       cv::Size full) {
  cv::Mat plain, cross, brightest;
  cv::cvtColor(look.before, plain, cv::COLOR_BGR2GRAY);
  cv::cvtColor(look.after, cross, cv::COLOR_BGR2GRAY);
  cv::dilate(cross, brightest, cv::getStructuringElement(cv::MORPH_ELLIPSE, {5, 5}));
  cv::Mat more;
  cv::subtract(plain, brightest, more);  // saturates at 0
  const cv::Mat brighter = (more >= least_levels) & look.in_both,
                tall = tall_places(alignment, plain.size(), look.scale);
  // A wall that one of them sees is a narrow strip, mirrored light on a part's top is wide.
  cv::Mat on = opened(brighter & ~tall, k_speck_px) | opened(brighter, k_wall_px);
  cv::resize(on, on, full, 0, 0, cv::INTER_NEAREST);
  return on;
}

cv::Mat grown(const cv::Mat& on, double reach_px) {
  const int r = static_cast<int>(std::lround(reach_px));
  if (r == 0) return on;
  cv::Mat out;
  cv::dilate(on, out, cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * r + 1, 2 * r + 1}));
  return out;
}

// `over` where `where` is 255, mixed over the width given.
cv::Mat mixed(const cv::Mat& under, const cv::Mat& over, const cv::Mat& where, double feather_px) {
  cv::Mat weight = where;
  if (feather_px > 0) cv::GaussianBlur(where, weight, {}, feather_px / 2);
  cv::Mat out(under.size(), CV_8UC3);
  cv::parallel_for_(cv::Range(0, out.rows), [&](const cv::Range& rows) {
    for (int y = rows.start; y < rows.end; ++y)
      for (int x = 0; x < out.cols; ++x) {
        const int w = weight.at<uchar>(y, x);
        const auto &a = under.at<cv::Vec3b>(y, x), &b = over.at<cv::Vec3b>(y, x);
        auto& to = out.at<cv::Vec3b>(y, x);
        for (int c = 0; c < 3; ++c)
          to[c] = static_cast<uchar>((a[c] * (255 - w) + b[c] * w + 127) / 255);
      }
  });
  return out;
}

double percent_of(const cv::Mat& on, const cv::Mat& board) {
  const int all = cv::countNonZero(board);
  return all == 0 ? 0 : 100.0 * cv::countNonZero(on & board) / all;
}

struct LayerName {
  std::string name, sha256;
};

template <class F>
void visit(F& f, LayerName& v) {
  f.text("name", v.name);
  f.text("sha256", v.sha256);
}

LayerName layer_of(const Photo& photo) { return {photo.meta.name, photo.meta.sha256}; }

}  // namespace

void LightLayerOptions::check() const {
  alignment.check();
  look.check();
  const auto refuse = [](const char* what) {
    throw Error(ErrorKind::wrong_use, fmt::format("Layers: {}.", what));
  };
  if (!(reach_px >= 0 && reach_px <= 200)) refuse("reach_px must be 0 to 200");
  if (!(least_levels >= 1 && least_levels <= 255)) refuse("least_levels must be 1 to 255");
  if (!(feather_px >= 0 && feather_px <= 100)) refuse("feather_px must be 0 to 100");
}

LightLayers light_layers(const Photo& plain, const Rectification& r, const Photo& cross,
                         const LightLayerOptions& options, const Work& work) {
  options.check();
  const Polygon outline = r.outline_is_frame ? Polygon{} : r.outline_px;
  LightLayers out;
  out.alignment =
      alignment_of({plain.bgr, outline}, r, {cross.bgr, {}}, options.alignment, work.part(0, 0.5));
  const cv::Size size = plain.bgr.size();
  const cv::Mat washed = washed_out(plain, outline, work.part(0.5, 0.6)),
                washed_there = seen_through(washed_out(cross, {}, work.part(0.6, 0.7)), size,
                                            out.alignment.after_from_before, cv::INTER_NEAREST,
                                            cv::Scalar(255));
  cv::Mat board = region_picture(size, outline);
  if (board.empty()) board = cv::Mat(size, CV_8UC1, cv::Scalar(255));
  const LookChange look =
      look_change(plain.bgr, cross.bgr, out.alignment, washed | washed_there | ~board, options.look,
                  work.part(0.7, 0.8));
  out.harmony = look.harmony;
  const cv::Mat glare =
      (washed | mirrored_light(look, out.alignment, options.least_levels, size)) & board;
  out.cross_polarised = aligned_after(cross.bgr, out.alignment, size, nullptr);
  out.from_cross = grown(glare, options.reach_px) & ~washed_there;
  out.without_glare = mixed(plain.bgr, aligned_after(cross.bgr, out.alignment, size, &out.harmony),
                            out.from_cross, options.feather_px);
  out.glare_percent = percent_of(glare, board);
  out.left_percent = percent_of(glare & washed_there, board);
  work.report(1);
  return out;
}

std::string layers_json(const LightLayers& layers, const Photo& plain, const Photo& cross) {
  LightLayers l = layers;  // a visitor may write
  LayerName one = layer_of(plain), other = layer_of(cross);
  JsonWriter writer;
  writer.json()["format"] = "verdigrid-layers";
  writer.json()["version"] = k_version;
  writer.json()["program_version"] = program_version();
  writer.object("plain", one);
  writer.object("cross_polarised", other);
  writer.object("cross_polarised_from_plain", l.alignment.after_from_before);
  writer.object("rms_px", l.alignment.rms_after_px);
  writer.number("agreeing_share", l.alignment.agreeing_share);
  writer.number("glare_percent", l.glare_percent);
  writer.number("left_percent", l.left_percent);
  return json_lines(writer.json());
}

}  // namespace verdigrid
