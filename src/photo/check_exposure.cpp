// Clipping and glare: what the sensor or a reflection has wiped out.
#include <fmt/format.h>

#include <algorithm>
#include <opencv2/imgproc.hpp>

#include "photo/check_items.h"

namespace verdigrid {

namespace {

constexpr const char* k_practice = "common practice, no source";
// Decoded JPEGs swing a level or two around the end of the scale.
constexpr int k_clipped_from = 253, k_clipped_to = 2;
// Area means of a washed-out place stay next to white in every channel.
constexpr int k_washed_out_from = 248;

struct Clipped {
  double bright_share = 0, dark_share = 0;  // of the judged px
};

// Every eighth photo row (every one of a small photo), every px in it.
Clipped clipped_shares(const CheckView& view) {
  const cv::Mat& bgr = view.photo.bgr;
  const int row_step = bgr.rows >= 1000 ? 8 : 1;
  std::int64_t bright = 0, dark = 0, judged = 0;
  for (int y = 0; y < view.judged.rows * view.reduction; y += row_step) {
    const uchar* px = bgr.ptr(y);
    const uchar* is_judged = view.judged.ptr(y / view.reduction);
    for (int small_x = 0; small_x < view.judged.cols; ++small_x) {
      if (!is_judged[small_x]) {
        px += 3 * view.reduction;
        continue;
      }
      judged += view.reduction;
      for (int i = 0; i < view.reduction; ++i, px += 3) {
        const int high = std::max({px[0], px[1], px[2]});
        bright += high >= k_clipped_from;
        dark += high <= k_clipped_to;
      }
    }
  }
  const double all = static_cast<double>(std::max<std::int64_t>(1, judged));
  return {static_cast<double>(bright) / all, static_cast<double>(dark) / all};
}

std::string clipping_sentence(const CheckItem& item, const Clipped& clipped) {
  if (item.verdict == Verdict::good)
    return fmt::format("{:.1f} % of it is clipped: colours are kept nearly everywhere.",
                       item.figure);
  if (clipped.bright_share >= clipped.dark_share)
    return fmt::format(
        "{:.1f} % of it is overexposed in at least one colour: expose one stop less, or soften the "
        "lamps.",
        item.figure);
  return fmt::format("{:.1f} % of it is black without detail: expose longer, or add light.",
                     item.figure);
}

struct Blob {
  double area_px = 0;
  cv::Point2d middle;
};

// Removes blobs that are smaller than a reflection: silkscreen, glints on single joints.
Blob keep_large_blobs(cv::Mat& washed_out, double least_px) {
  cv::Mat ids, stats, middles;
  const int count = cv::connectedComponentsWithStats(washed_out, ids, stats, middles, 8);
  std::vector<uchar> is_kept(static_cast<size_t>(count), 0);
  Blob largest;
  for (int i = 1; i < count; ++i) {
    const double area_px = stats.at<int>(i, cv::CC_STAT_AREA);
    if (area_px < least_px) continue;
    is_kept[static_cast<size_t>(i)] = 255;
    if (area_px > largest.area_px)
      largest = {area_px, {middles.at<double>(i, 0), middles.at<double>(i, 1)}};
  }
  if (count > 1)
    for (int y = 0; y < ids.rows; ++y)
      for (int x = 0; x < ids.cols; ++x)
        washed_out.at<uchar>(y, x) = is_kept[static_cast<size_t>(ids.at<int>(y, x))];
  return largest;
}

}  // namespace

CheckItem clipping_item(const CheckView& view) {
  CheckItem item{.id = "clipping",
                 .unit = "% of area",
                 .good_limit = 1,
                 .usable_limit = 10,
                 .source = k_practice};
  const Clipped clipped = clipped_shares(view);
  item.figure = 100 * (clipped.bright_share + clipped.dark_share);
  item.verdict = verdict_below(item.figure, item.good_limit, item.usable_limit);
  item.sentence = clipping_sentence(item, clipped);
  return item;
}

GlareResult glare_item(const CheckView& view) {
  GlareResult out;
  cv::inRange(view.bgr, cv::Scalar::all(k_washed_out_from), cv::Scalar::all(255), out.washed_out);
  out.washed_out &= view.judged;
  // A reflection covers at least a ten-thousandth of the board, and a few px.
  const Blob largest = keep_large_blobs(out.washed_out, std::max(9.0, 1e-4 * view.judged_px));
  out.item = {.id = "glare",
              .unit = "% of area",
              .good_limit = 0.5,
              .usable_limit = 2,
              .source = k_practice};
  out.item.figure = 100 * cv::countNonZero(out.washed_out) / view.judged_px;
  out.item.verdict = verdict_below(out.item.figure, out.item.good_limit, out.item.usable_limit);
  if (largest.area_px == 0) {
    out.item.sentence = "No place is washed out by a reflection.";
    return out;
  }
  const std::string where = place_in_frame(largest.middle, cv::Size2d(view.bgr.size()));
  const std::string seen = fmt::format("{:.1f} % of it is washed out, the largest place at the {}",
                                       out.item.figure, where);
  out.item.sentence =
      out.item.verdict == Verdict::good
          ? seen + "; nothing can be found there."
          : seen +
                "; move the lamps to 45 degrees on both sides, soften them, or cross polarising "
                "filters.";
  return out;
}

}  // namespace verdigrid
