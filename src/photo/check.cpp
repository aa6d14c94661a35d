#include "photo/check.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "base/error.h"
#include "photo/check_items.h"

namespace verdigrid {

namespace {

constexpr const char* k_practice = "common practice, no source";

// Unknown counts as nothing; the order of the others is good, usable, reshoot.
Verdict worst(const std::vector<CheckItem>& items) {
  Verdict out = Verdict::unknown;
  for (const CheckItem& item : items) {
    if (item.id == "tilt" || item.verdict == Verdict::unknown) continue;
    if (out == Verdict::unknown || item.verdict > out) out = item.verdict;
  }
  return out;
}

cv::Mat hidden_bits(const CheckView& view, const cv::Mat& washed_out, const cv::Mat& blurred) {
  return ((washed_out & 1) | (blurred & 2)) & view.judged;
}

}  // namespace

const char* name(Verdict v) {
  constexpr std::array<const char*, 4> k_names{"good", "usable", "reshoot", "unknown"};
  return k_names[static_cast<size_t>(v)];
}

Verdict verdict_below(double figure, double good_limit, double usable_limit) {
  return figure <= good_limit     ? Verdict::good
         : figure <= usable_limit ? Verdict::usable
                                  : Verdict::reshoot;
}

Verdict verdict_above(double figure, double good_limit, double usable_limit) {
  return figure >= good_limit     ? Verdict::good
         : figure >= usable_limit ? Verdict::usable
                                  : Verdict::reshoot;
}

void PhotoCheckOptions::check() const {
  if (!(feature_mm > 0 && feature_mm <= 100))
    throw Error(
        ErrorKind::wrong_use,
        fmt::format("The smallest feature must lie between 0 and 100 mm, not {:g}.", feature_mm));
  if (px_per_mm && !(*px_per_mm > 0 && *px_per_mm <= 10'000))
    throw Error(
        ErrorKind::wrong_use,
        fmt::format("The scale must lie between 0 and 10000 px per mm, not {:g}.", *px_per_mm));
  if (tilt_deg && !(*tilt_deg >= 0 && *tilt_deg < 90))
    throw Error(ErrorKind::wrong_use,
                fmt::format("The tilt must lie between 0 and 90 degrees, not {:g}.", *tilt_deg));
}

// 5 px across the smallest feature to see its shape, 3 px to see that it is there.
CheckItem resolution_item(const PhotoCheckOptions& options) {
  CheckItem item{
      .id = "resolution", .unit = "px", .good_limit = 5, .usable_limit = 3, .source = k_practice};
  if (!options.px_per_mm) {
    item.sentence =
        "Without a scale nobody can say how small a mark this photo shows; give the board's size "
        "or "
        "lay the scale card beside it.";
    return item;
  }
  item.figure = options.feature_mm * *options.px_per_mm;
  item.verdict = verdict_above(item.figure, item.good_limit, item.usable_limit);
  const std::string seen =
      fmt::format("{:.1f} px lie across a mark of {:g} mm", item.figure, options.feature_mm);
  const double nearer = item.good_limit / item.figure;
  item.sentence =
      item.verdict == Verdict::good
          ? seen + ": enough to see its shape."
          : fmt::format(
                "{}; {} px are wanted: come {:.1f} times nearer, or photograph the board in "
                "parts.",
                seen, item.good_limit, nearer);
  return item;
}

// Tilt is straightened later, so it is noted and never a reason to reshoot.
CheckItem tilt_item(const PhotoCheckOptions& options) {
  CheckItem item{
      .id = "tilt", .unit = "deg", .good_limit = 1.5, .usable_limit = 90, .source = k_practice};
  if (!options.tilt_deg) {
    item.sentence = "Tilt is not known without the board's outline or the scale card.";
    return item;
  }
  item.figure = *options.tilt_deg;
  item.verdict = verdict_below(item.figure, item.good_limit, item.usable_limit);
  item.sentence =
      item.verdict == Verdict::good
          ? fmt::format("The camera looked straight down (tilt {:.1f} degrees).", item.figure)
          : fmt::format(
                "The camera was tilted by {:.1f} degrees; this is straightened, but tall "
                "parts hide more on one side: hold it level above the middle next time.",
                item.figure);
  return item;
}

PhotoCheck photo_check(const Photo& photo, const PhotoCheckOptions& options, const Work& work) {
  options.check();
  require(photo.bgr.type() == CV_8UC3 && !photo.bgr.empty(), "a photo is 8-bit BGR");
  const CheckView view = check_view(photo, options.board_px);
  work.check();
  work.report(0.3);
  FocusResult focus = focus_item(view, options, work.part(0.3, 0.7));
  GlareResult glare = glare_item(view);
  work.report(0.8);
  PhotoCheck out;
  out.hidden = hidden_bits(view, glare.washed_out, focus.blurred);
  out.hidden_scale = 1.0 / view.reduction;
  out.items = {std::move(focus.item), clipping_item(view),    std::move(glare.item),
               light_item(view),      colour_cast_item(view), resolution_item(options),
               tilt_item(options)};
  out.verdict = worst(out.items);
  work.report(1);
  return out;
}

}  // namespace verdigrid
