#include "compare/join.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "compare/join_parts.h"
#include "compare/point_map.h"

namespace verdigrid {

namespace {

constexpr double k_largest_growth = 12;  // of the first photo's side
constexpr int k_strip_rows = 256;
// Of what two photos both show. On rendered boards with tall parts, overlaps that are off by 0.7 px
// at most have 0.37 and more, one off by 2.8 px has 0.20, one placed wrongly 0.06.
constexpr double k_least_fitting_share = 0.25;

// The box that holds every photo, in the first photo's undistorted px.
cv::Rect2d box_of(const std::vector<Photo>& photos, const std::vector<PlaneMap>& maps) {
  Ring places;
  for (size_t i = 0; i < photos.size(); ++i) {
    const PlaneMap to_plane = inverted(maps[i]);
    const double w = photos[i].bgr.cols - 1, h = photos[i].bgr.rows - 1;
    for (int k = 0; k <= 8; ++k)
      for (const cv::Point2d p : {cv::Point2d(w * k / 8, 0), cv::Point2d(w * k / 8, h),
                                  cv::Point2d(0, h * k / 8), cv::Point2d(w, h * k / 8)})
        places.push_back(to_plane(p));
  }
  return bounding_box(places);
}

void check_size(const cv::Rect2d& box, cv::Size first, const JoinOptions& options) {
  const double longer = std::max(first.width, first.height);
  if (box.width > k_largest_growth * longer || box.height > k_largest_growth * longer)
    throw Error(ErrorKind::no_result,
                "The photos do not lie on one flat board as they were placed; take them straighter "
                "from above, overlapping by a third.");
  if (box.width * box.height > options.pixel_limit_mp * 1e6)
    throw Error(ErrorKind::bad_input,
                fmt::format("The joined picture would have {:.0f} megapixels, more than {:.0f}; "
                            "make the photos smaller or raise the limit.",
                            box.width * box.height / 1e6, options.pixel_limit_mp));
}

// The joined picture's px are the plane's, moved so that the box begins at 0.
std::vector<JoinedPhoto> placed_photos(const std::vector<Photo>& photos, const JoinFit& fit,
                                       cv::Point2d corner) {
  std::vector<JoinedPhoto> out;
  for (size_t i = 0; i < photos.size(); ++i) {
    JoinedPhoto p;
    p.name = photos[i].meta.name;
    p.photo_from_joined = fit.photo_from_plane[i];
    p.photo_from_joined.first.k = {};
    p.photo_from_joined.second_from_first = fit.photo_from_plane[i].second_from_first *
                                            cv::Matx33d(1, 0, corner.x, 0, 1, corner.y, 0, 0, 1);
    out.push_back(std::move(p));
  }
  return out;
}

// Full size: each photo's part, evened, mixed with its neighbours over the feather.
void compose(const std::vector<Photo>& photos, const JoinOptions& options, Joined& out,
             const Work& work) {
  const int strips = (out.bgr.rows + k_strip_rows - 1) / k_strip_rows;
  const int halo = cvCeil(3 * options.feather_px) + 1;
  for (int s = 0; s < strips; ++s) {
    work.check();
    work.report(static_cast<double>(s) / strips);
    const int first = s * k_strip_rows, end = std::min(first + k_strip_rows, out.bgr.rows);
    const cv::Rect strip(0, first, out.bgr.cols, end - first);
    const int above = std::max(0, first - halo), below = std::min(out.bgr.rows, end + halo);
    const cv::Mat source = out.source.rowRange(above, below);
    cv::Mat sum = cv::Mat::zeros(strip.size(), CV_32FC3),
            weights = cv::Mat::zeros(strip.size(), CV_32FC1);
    for (size_t i = 0; i < photos.size(); ++i) {
      cv::Mat weight = source == static_cast<double>(i + 1);
      if (cv::countNonZero(weight) == 0) continue;
      weight.convertTo(weight, CV_32F, 1.0 / 255);
      if (options.feather_px > 0) cv::GaussianBlur(weight, weight, {}, options.feather_px);
      weight = weight.rowRange(first - above, end - above);
      const cv::Mat map = dense_map(strip, PointMap(out.photos[i].photo_from_joined));
      cv::Mat seen, shown;
      cv::remap(photos[i].bgr, seen, map, cv::noArray(), cv::INTER_CUBIC, cv::BORDER_REPLICATE);
      cv::remap(cv::Mat(photos[i].bgr.size(), CV_8UC1, cv::Scalar(255)), shown, map, cv::noArray(),
                cv::INTER_NEAREST, cv::BORDER_CONSTANT, cv::Scalar(0));
      even_light(seen, map, photos[i].bgr.size(), out.photos[i]);
      for (int y = 0; y < strip.height; ++y)
        for (int x = 0; x < strip.width; ++x) {
          const float w = shown.at<uchar>(y, x) ? weight.at<float>(y, x) : 0;
          if (w <= 0) continue;
          sum.at<cv::Vec3f>(y, x) += cv::Vec3f(seen.at<cv::Vec3b>(y, x)) * w;
          weights.at<float>(y, x) += w;
        }
    }
    for (int y = 0; y < strip.height; ++y)
      for (int x = 0; x < strip.width; ++x) {
        const float w = weights.at<float>(y, x);
        if (w > 1e-4F)
          out.bgr.at<cv::Vec3b>(first + y, x) = cv::Vec3b(sum.at<cv::Vec3f>(y, x) * (1 / w));
      }
  }
}

void fill_quality(const JoinFit& fit, Joined& out) {
  std::vector<double> off = fit.off_px;
  std::sort(off.begin(), off.end());
  // Robust: what the fit left aside (a place on a part) is no measure of the seams.
  const size_t kept = off.size() - off.size() / 20;
  double squares = 0;
  for (size_t i = 0; i < kept; ++i) squares += off[i] * off[i];
  const double n = static_cast<double>(std::max<size_t>(kept, 1));
  const double rms = std::sqrt(squares / n), half = 1.96 / std::sqrt(2 * n);
  out.rms_px = {rms, rms * std::max(0.0, 1 - half), rms * (1 + half)};
  out.worst_px = kept == 0 ? 0 : off[kept - 1];
  for (size_t i = 0; i < out.photos.size(); ++i) {
    out.photos[i].share =
        static_cast<double>(cv::countNonZero(out.source == static_cast<double>(i + 1))) /
        static_cast<double>(out.source.total());
    if (out.photos[i].share == 0)
      out.remarks.push_back(
          fmt::format("{}: nothing of it was needed; other photos show the same "
                      "places better.",
                      out.photos[i].name));
  }
}

// A fit can close over photos that were placed wrongly on each other: what two photos show of one
// place says so.
void check_overlaps(const std::vector<Photo>& photos, const Joined& out, cv::Size size,
                    const Work& work) {
  for (const JoinLook& look : join_looks(photos, out.photos, size, work)) {
    if (look.fitting_share >= k_least_fitting_share) continue;
    throw Error(ErrorKind::no_result,
                fmt::format("{} and {} do not fit together: of what both show, only {:.0f} % lies "
                            "where it should. Take them again with more overlap, straight from "
                            "above, or leave one out.",
                            photos[look.a].meta.name, photos[look.b].meta.name,
                            std::floor(100 * look.fitting_share)));
  }
}

}  // namespace

void JoinOptions::check() const {
  const auto refuse = [](const char* what) {
    throw Error(ErrorKind::wrong_use, fmt::format("Joining: {}.", what));
  };
  registration.check();
  if (!(least_overlap > 0 && least_overlap < 1)) refuse("least_overlap must lie between 0 and 1");
  if (!(pixel_limit_mp > 0)) refuse("pixel_limit_mp must be above 0");
  if (seam_long_side_px < 100 || seam_long_side_px > 4000)
    refuse("seam_long_side_px must be 100 to 4000");
  if (!(feather_px >= 0 && feather_px <= 100)) refuse("feather_px must be 0 to 100");
}

Joined joined(const std::vector<Photo>& photos, const JoinOptions& options, const Work& work) {
  options.check();
  if (photos.size() < 2)
    throw Error(ErrorKind::bad_input,
                "Joining needs two photos or more, of one side of one board.");
  if (photos.size() > k_most_joined)
    throw Error(ErrorKind::bad_input, fmt::format("Joining takes {} photos at most; these are {}.",
                                                  k_most_joined, photos.size()));
  const JoinPlaces places = join_places(photos, options, work.part(0, 0.6));
  const JoinFit fit = join_fit(photos, places);
  const cv::Rect2d box = box_of(photos, fit.photo_from_plane);
  check_size(box, photos[0].bgr.size(), options);
  Joined out;
  const cv::Size size(cvCeil(box.width), cvCeil(box.height));
  out.photos = placed_photos(photos, fit, box.tl());
  check_overlaps(photos, out, size, work.part(0.6, 0.62));
  fit_light(photos, places.pairs, out.photos);
  const double scale = std::min(
      1.0, static_cast<double>(options.seam_long_side_px) / std::max(size.width, size.height));
  const cv::Size small(std::max(1, cvRound(size.width * scale)),
                       std::max(1, cvRound(size.height * scale)));
  const cv::Mat seams = join_sources(photos, out.photos, small, scale, work.part(0.6, 0.75));
  cv::resize(seams, out.source, size, 0, 0, cv::INTER_NEAREST);
  out.bgr = cv::Mat::zeros(size, CV_8UC3);
  compose(photos, options, out, work.part(0.75, 1));
  fill_quality(fit, out);
  work.report(1);
  return out;
}

}  // namespace verdigrid
