#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>
#include <queue>

#include "compare/join_parts.h"
#include "compare/point_map.h"

namespace verdigrid {

namespace {

constexpr double k_edge_weight = 1.5;  // distance from the photo's border against sharpness
constexpr double k_glare_level = 246;  // all channels above: no colour left
constexpr double k_seed_share = 0.05;  // of the longer side: how far seeds stay from a change
constexpr double k_least_cost = 0.02;  // of crossing a place where photos differ most

// What one photo shows, reduced, in the place of the joined picture.
struct View {
  cv::Mat grey;   // CV_32FC1
  cv::Mat shown;  // CV_8UC1
  cv::Mat worth;  // CV_32FC1, higher is better
};

View view_of(const Photo& photo, const JoinedPhoto& placed, cv::Size size, double scale) {
  const double back = 1 / scale;
  const PointMap map = [back, m = placed.photo_from_joined](cv::Point2d p) {
    return m({(p.x + 0.5) * back - 0.5, (p.y + 0.5) * back - 0.5});
  };
  View v;
  // Sharpness is judged at full size and then reduced.
  cv::Mat grey, detail, glare;
  cv::cvtColor(photo.bgr, grey, cv::COLOR_BGR2GRAY);
  cv::Laplacian(grey, detail, CV_16S, 3);
  detail = cv::abs(detail);
  cv::Mat small_detail, small_grey, small_glare;
  cv::threshold(grey, glare, k_glare_level, 255, cv::THRESH_BINARY);
  const cv::Size small(std::max(1, cvRound(grey.cols * scale)),
                       std::max(1, cvRound(grey.rows * scale)));
  detail.convertTo(detail, CV_32F);
  cv::resize(detail, small_detail, small, 0, 0, cv::INTER_AREA);
  cv::resize(grey, small_grey, small, 0, 0, cv::INTER_AREA);
  cv::resize(glare, small_glare, small, 0, 0, cv::INTER_AREA);
  const double sx = static_cast<double>(small.width) / grey.cols,
               sy = static_cast<double>(small.height) / grey.rows;
  const PointMap reduced = [=](cv::Point2d p) {
    const cv::Point2d q = map(p);
    return cv::Point2d{(q.x + 0.5) * sx - 0.5, (q.y + 0.5) * sy - 0.5};
  };
  v.shown = seen_through(cv::Mat(small, CV_8UC1, cv::Scalar(255)), size, reduced, cv::INTER_NEAREST,
                         cv::Scalar(0));
  cv::Mat sharp = seen_through(small_detail, size, reduced, cv::INTER_LINEAR, cv::Scalar(0)),
          bright = seen_through(small_glare, size, reduced, cv::INTER_LINEAR, cv::Scalar(0));
  seen_through(small_grey, size, reduced, cv::INTER_LINEAR, cv::Scalar(0))
      .convertTo(v.grey, CV_32F);
  cv::GaussianBlur(sharp, sharp, {}, 6);
  cv::Mat distance, framed;
  cv::copyMakeBorder(v.shown, framed, 1, 1, 1, 1, cv::BORDER_CONSTANT, cv::Scalar(0));
  cv::distanceTransform(framed, distance, cv::DIST_L2, 3);
  distance = distance(cv::Rect(1, 1, size.width, size.height)).clone();
  bright.convertTo(bright, CV_32F);
  cv::GaussianBlur(bright, bright, {}, 2);
  // Logarithms: a photo twice as sharp is worth a border e^(ln 2 / weight) times as far.
  cv::Mat log_sharp, log_edge;
  cv::log(sharp + 1, log_sharp);
  cv::log(distance + 4, log_edge);
  v.worth = log_sharp + k_edge_weight * log_edge - bright / 64;
  v.worth.setTo(-1e9F, ~v.shown);
  return v;
}

cv::Mat best_of(const std::vector<View>& views, cv::Size size) {
  cv::Mat best = cv::Mat::zeros(size, CV_8UC1), worth(size, CV_32FC1, cv::Scalar(-1e8));
  for (size_t i = 0; i < views.size(); ++i) {
    const cv::Mat better = views[i].worth > worth;
    best.setTo(static_cast<double>(i + 1), better);
    views[i].worth.copyTo(worth, better);
  }
  return best;
}

// Largest difference between the photos that show a place, their mean levels made alike.
cv::Mat disagreement(const std::vector<View>& views, cv::Size size) {
  cv::Mat low(size, CV_32FC1, cv::Scalar(1e9)), high(size, CV_32FC1, cv::Scalar(-1e9));
  for (const View& v : views) {
    cv::Mat blurred, detail;
    cv::blur(v.grey, blurred, {25, 25});
    detail = v.grey - blurred;
    cv::Mat l = cv::min(low, detail), h = cv::max(high, detail);
    l.copyTo(low, v.shown);
    h.copyTo(high, v.shown);
  }
  cv::Mat out = high - low;
  out.setTo(0, out < 0);
  cv::GaussianBlur(out, out, {}, 1.5);
  return out;
}

struct Front {
  float cost = 0;
  cv::Point at;
  bool operator<(const Front& other) const { return cost > other.cost; }
};

}  // namespace

// Every photo keeps the places where it is best well inside; between them fronts run out from it,
// fast over places where the photos differ (parts seen shifted) and slowly where they agree, so
// that they meet where they agree.
cv::Mat join_sources(const std::vector<Photo>& photos, const std::vector<JoinedPhoto>& placed,
                     cv::Size size, double scale, const Work& work) {
  std::vector<View> views;
  for (size_t i = 0; i < photos.size(); ++i) {
    views.push_back(view_of(photos[i], placed[i], size, scale));
    work.check();
    work.report(static_cast<double>(i + 1) / static_cast<double>(photos.size()));
  }
  const cv::Mat best = best_of(views, size), differs = disagreement(views, size);
  const int reach = std::max(2, cvRound(k_seed_share * std::max(size.width, size.height)));
  const cv::Mat disc = cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * reach + 1, 2 * reach + 1});
  cv::Mat low, high;
  cv::erode(best, low, disc);
  cv::dilate(best, high, disc);
  cv::Mat source = cv::Mat::zeros(size, CV_8UC1), cost(size, CV_32FC1, cv::Scalar(1e30));
  std::priority_queue<Front> fronts;
  for (int y = 0; y < size.height; ++y)
    for (int x = 0; x < size.width; ++x)
      if (best.at<uchar>(y, x) != 0 && low.at<uchar>(y, x) == high.at<uchar>(y, x)) {
        source.at<uchar>(y, x) = best.at<uchar>(y, x);
        cost.at<float>(y, x) = 0;
        fronts.push({0, {x, y}});
      }
  double mean = std::max(cv::mean(differs)[0], 1e-3);
  while (!fronts.empty()) {
    const Front f = fronts.top();
    fronts.pop();
    if (f.cost > cost.at<float>(f.at)) continue;
    const uchar from = source.at<uchar>(f.at);
    for (const cv::Point step : {cv::Point(1, 0), {-1, 0}, {0, 1}, {0, -1}}) {
      const cv::Point to = f.at + step;
      if (!cv::Rect({}, size).contains(to) || !views[from - 1].shown.at<uchar>(to)) continue;
      const double slow = 1 / (1 + differs.at<float>(to) / mean);
      const float there = f.cost + static_cast<float>(std::max(k_least_cost, slow));
      if (there >= cost.at<float>(to)) continue;
      cost.at<float>(to) = there;
      source.at<uchar>(to) = from;
      fronts.push({there, to});
    }
  }
  // Places that no front reached are best where they are.
  best.copyTo(source, source == 0);
  return source;
}

}  // namespace verdigrid
