#include "detect/findings.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numeric>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "detect/deposits.h"
#include "detect/places.h"
#include "detect/reason.h"
#include "detect/regions.h"
#include "detect/working_image.h"

namespace verdigrid {
namespace {

// Evidence is gathered on at most this many pixels a side of a finding's surroundings.
constexpr int k_evidence_side_px = 160;

double diagonal_px(const Rectification& r, cv::Size photo_px) {
  if (r.outline_px.empty()) return std::hypot(photo_px.width, photo_px.height);
  const auto box = bounding_box(r.outline_px.outer);
  return std::max(1.0, std::hypot(box.width, box.height));
}

double merge_px(const Rectification& r, cv::Size photo_px, const FindingOptions& options) {
  return r.px_per_mm ? options.merge_mm * r.px_per_mm->value
                     : options.merge_of_diagonal * diagonal_px(r, photo_px);
}

double least_area_px(const Rectification& r, const FindingOptions& options) {
  const auto least = static_cast<double>(options.least_area_px);
  if (!r.px_per_mm) return least;
  return std::max(least, options.least_area_mm2 * r.px_per_mm->value * r.px_per_mm->value);
}

bool is_metal(const Lab& lab) { return chroma(lab) < 9 && lab.L > 58; }

struct Crop {
  cv::Mat bgr, on;  // reduced alike
};

Crop evidence_crop(const Photo& photo, const Deposit& d) {
  const int margin = std::max({4, d.box_px.width / 4, d.box_px.height / 4});
  cv::Rect around(d.box_px.x - margin, d.box_px.y - margin, d.box_px.width + 2 * margin,
                  d.box_px.height + 2 * margin);
  around &= cv::Rect({0, 0}, photo.size_px());
  cv::Mat on(around.size(), CV_8UC1, cv::Scalar(0));
  picture_of(d).copyTo(on(d.box_px - around.tl()));
  const double scale = std::min(
      1.0, static_cast<double>(k_evidence_side_px) / std::max(around.width, around.height));
  Crop crop{photo.bgr(around), on};
  if (scale < 1) {
    cv::resize(photo.bgr(around), crop.bgr, {}, scale, scale, cv::INTER_AREA);
    cv::resize(on, crop.on, crop.bgr.size(), 0, 0, cv::INTER_AREA);
  }
  return crop;
}

Evidence evidence_of(const Photo& photo, const Deposit& d, const BoardColour& board) {
  const Crop crop = evidence_crop(photo, d);
  cv::Mat smooth;
  cv::GaussianBlur(crop.bgr, smooth, {5, 5}, 1.0);
  Lab sum;
  double n = 0, n_around = 0, L2 = 0, fine2 = 0, glossy = 0, metal = 0;
  for (int y = 0; y < crop.bgr.rows; ++y)
    for (int x = 0; x < crop.bgr.cols; ++x) {
      const auto lab_at = [&](const cv::Mat& m) {
        const auto& p = m.at<cv::Vec3b>(y, x);
        Lab lab = lab_from_srgb({p[2] / 255.0, p[1] / 255.0, p[0] / 255.0});
        return Lab{lab.L, lab.a - board.white_shift.a, lab.b - board.white_shift.b};
      };
      const Lab lab = lab_at(smooth);
      if (crop.on.at<uchar>(y, x) < 128) {
        n_around += 1;
        metal += is_metal(lab);
        continue;
      }
      const double fine = lab_at(crop.bgr).L - lab.L;
      sum = {sum.L + lab.L, sum.a + lab.a, sum.b + lab.b};
      n += 1;
      L2 += lab.L * lab.L;
      fine2 += fine * fine;
      glossy += lab.L > 95;
    }
  n = std::max(n, 1.0);
  Evidence e{{sum.L / n, sum.a / n, sum.b / n}, board.own_mask};
  e.fine_texture = std::sqrt(fine2 / n);
  e.lightness_sd = std::sqrt(std::max(0.0, L2 / n - e.lab.L * e.lab.L));
  e.glossy_share = glossy / n;
  e.metal_share = metal / std::max(n_around, 1.0);
  return e;
}

struct Judged {
  Deposit deposit;
  Residue residue;
  double worth;
};

std::vector<Judged> judged(std::vector<Deposit> deposits, double least_px, double board_px,
                           const FindingOptions& options) {
  std::vector<Judged> kept;
  for (auto& d : deposits) {
    if (static_cast<double>(d.area_px) < least_px) continue;
    const Residue residue = voted_class(d, options.tie);
    const double worth = worth_of(residue, d.confidence, static_cast<double>(d.area_px) / board_px);
    kept.push_back({std::move(d), residue, worth});
  }
  std::stable_sort(kept.begin(), kept.end(),
                   [](const Judged& a, const Judged& b) { return a.worth > b.worth; });
  if (kept.size() > k_findings_at_most) kept.resize(k_findings_at_most);
  return kept;
}

std::vector<Polygon> polygons_of(const Deposit& d) {
  return border_polygons(picture_of(d), d.box_px.tl());
}

cv::Mat ids_picture(const std::vector<Judged>& kept, cv::Size photo_px) {
  if (kept.empty()) return {};
  cv::Mat ids(photo_px, CV_16UC1, cv::Scalar(0));
  for (std::size_t i = 0; i < kept.size(); ++i)
    for (const auto& run : kept[i].deposit.runs)
      std::fill(ids.ptr<std::uint16_t>(run.y) + run.from, ids.ptr<std::uint16_t>(run.y) + run.to,
                static_cast<std::uint16_t>(i + 1));
  return ids;
}

}  // namespace

void FindingOptions::check() const {
  const auto refuse = [](const char* sentence) { throw Error(ErrorKind::wrong_use, sentence); };
  if (!(least_area_mm2 >= 0)) refuse("least_area_mm2 must be 0 or more square millimetres.");
  if (least_area_px < 1) refuse("least_area_px must be 1 or more.");
  if (!(merge_mm >= 0 && merge_mm <= 50)) refuse("merge_mm must lie between 0 and 50 mm.");
  if (!(merge_of_diagonal >= 0 && merge_of_diagonal <= 0.5))
    refuse("merge_of_diagonal must lie between 0 and 0.5.");
  if (!(tie > 0 && tie <= 1)) refuse("tie must lie above 0 and not above 1.");
  if (places_at_most < 0) refuse("places_at_most must be 0 or more.");
}

Findings findings_of(const Photo& photo, const Rectification& rectification, const ResidueMap& map,
                     const FindingOptions& options, const Work& work) {
  return findings_of(photo, rectification, map, options, Grouping{}, work);
}

Findings findings_of(const Photo& photo, const Rectification& rectification, const ResidueMap& map,
                     const FindingOptions& options, const Grouping& grouping, const Work& work) {
  options.check();
  require(map.labels.size() == photo.size_px() && map.confidence.size() == photo.size_px(),
          "a residue map has the size of its photo");
  const cv::Size size = photo.size_px();
  const double board_px = rectification.outline_px.empty()
                              ? static_cast<double>(size.area())
                              : std::max(1.0, area(rectification.outline_px));
  const auto kept = judged(
      regrouped(deposits_of(map, merge_px(rectification, size, options)), grouping, map.confidence),
      least_area_px(rectification, options), board_px, options);
  Findings result;
  if (kept.empty()) return result;
  const auto colour = board_colour(photo, rectification);
  std::vector<double> worths;
  std::vector<Lab> labs;
  for (const auto& k : kept) {
    work.check();
    const auto evidence = evidence_of(photo, k.deposit, colour);
    const auto& d = k.deposit;
    result.findings.push_back({static_cast<int>(result.findings.size()) + 1, k.residue,
                               polygons_of(d), d.box_px, d.centre_px, d.area_px, d.confidence,
                               reason_of(k.residue, evidence)});
    worths.push_back(k.worth);
    labs.push_back(evidence.lab);
  }
  result.places = places_of(result.findings, worths, labs, size, options.places_at_most);
  result.finding_of_px = ids_picture(kept, size);
  work.report(1);
  return result;
}

}  // namespace verdigrid
