#include "detect/look_features.h"

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "detect/patch.h"

namespace verdigrid {
namespace {

// Blur at reduced size where sigma allows.
cv::Mat blurred(const cv::Mat& m, double sigma) {
  const int reduction = std::max(1, static_cast<int>(sigma / 2));
  cv::Mat out;
  if (reduction == 1) {
    cv::GaussianBlur(m, out, {0, 0}, sigma);
    return out;
  }
  cv::resize(m, out, {std::max(1, m.cols / reduction), std::max(1, m.rows / reduction)}, 0, 0,
             cv::INTER_AREA);
  cv::GaussianBlur(out, out, {0, 0}, sigma / reduction);
  cv::resize(out, out, m.size(), 0, 0, cv::INTER_LINEAR);
  return out;
}

// Squared departure of the finer from the coarser picture: lightness, and a and b together.
cv::Mat detail2(const cv::Mat& fine, const cv::Mat& coarse) {
  cv::Mat out(fine.size(), CV_32FC2);
  cv::parallel_for_(cv::Range(0, fine.rows), [&](const cv::Range& rows) {
    for (int y = rows.start; y < rows.end; ++y)
      for (int x = 0; x < fine.cols; ++x) {
        const cv::Vec3f d = fine.at<cv::Vec3f>(y, x) - coarse.at<cv::Vec3f>(y, x);
        out.at<cv::Vec2f>(y, x) = {d[0] * d[0], d[1] * d[1] + d[2] * d[2]};
      }
  });
  return out;
}

// 1 where a pixel looks like bare or tinned metal: bright and neutral, or copper-coloured.
cv::Mat metal_likeness(const cv::Mat& lab) {
  cv::Mat out(lab.size(), CV_32FC1);
  for (int y = 0; y < lab.rows; ++y)
    for (int x = 0; x < lab.cols; ++x) {
      const auto& v = lab.at<cv::Vec3f>(y, x);
      const float c = std::hypot(v[1], v[2]);
      out.at<float>(y, x) =
          std::clamp((v[0] - 50) / 20, 0.F, 1.F) * std::clamp((14 - c) / 6, 0.F, 1.F);
    }
  return out;
}

class Table {
 public:
  Table(const Superpixels& s, int columns)
      : s_(s), rows_(s.count(), columns, CV_32FC1, cv::Scalar(0)) {}

  // Mean over each superpixel of every channel, into the next columns.
  void add_means(const cv::Mat& picture) {
    const int n = picture.channels();
    for (int y = 0; y < picture.rows; ++y) {
      const auto* index = s_.of_px.ptr<int>(y);
      const auto* v = picture.ptr<float>(y);
      for (int x = 0; x < picture.cols; ++x) {
        if (index[x] < 0) continue;
        auto* row = rows_.ptr<float>(index[x]) + next_;
        for (int c = 0; c < n; ++c) row[c] += v[x * n + c];
      }
    }
    for (int i = 0; i < s_.count(); ++i) {
      auto* row = rows_.ptr<float>(i) + next_;
      for (int c = 0; c < n; ++c)
        row[c] /= static_cast<float>(s_.area_px[static_cast<std::size_t>(i)]);
    }
    next_ += n;
  }
  void add_root_means(const cv::Mat& picture) {
    const int from = next_;
    add_means(picture);
    for (int i = 0; i < s_.count(); ++i)
      for (int c = from; c < next_; ++c) at(i, c) = std::sqrt(std::max(0.F, at(i, c)));
  }
  template <class F>
  void add(F value) {
    for (int i = 0; i < s_.count(); ++i) at(i, next_) = static_cast<float>(value(i));
    ++next_;
  }
  float& at(int i, int c) { return rows_.at<float>(i, c); }
  int next() const { return next_; }
  cv::Mat rows() const { return rows_; }

 private:
  const Superpixels& s_;
  cv::Mat rows_;
  int next_ = 0;
};

}  // namespace

std::vector<float> means_over(const cv::Mat& picture, const Superpixels& s) {
  if (s.count() == 0) return {};
  cv::Mat values;
  picture.convertTo(values, CV_32F);
  Table table(s, 1);
  table.add_means(values);
  const cv::Mat rows = table.rows();
  return {rows.ptr<float>(0), rows.ptr<float>(0) + rows.rows};
}

cv::Mat look_features(const WorkingImage& image, const Superpixels& s,
                      const cv::Mat& working_confidence) {
  if (s.count() == 0) return cv::Mat(0, k_look_feature_count, CV_32FC1);
  Table t(s, k_look_feature_count);
  const cv::Mat b1 = blurred(image.lab, 1.0), b4 = blurred(image.lab, 4),
                b12 = blurred(image.lab, 12);
  const OwnColours own(image);
  t.add_means(image.lab);  // 0 1 2
  const auto lab = [&](int i) { return cv::Vec3f(t.at(i, 0), t.at(i, 1), t.at(i, 2)); };
  t.add([&](int i) { return flattened_chroma(lab(i)).x; });  // 3
  t.add([&](int i) { return flattened_chroma(lab(i)).y; });  // 4
  const int around = t.next();
  t.add_means(b4);           // 5..7, made relative below
  t.add_means(b12);          // 8..10
  t.add_means(image.local);  // 11..13
  for (int i = 0; i < s.count(); ++i)
    for (int c = 0; c < 9; ++c) t.at(i, around + c) = t.at(i, c % 3) - t.at(i, around + c);
  t.add([&](int i) { return t.at(i, 0) - image.own_mask.L; });  // 14
  t.add([&](int i) { return t.at(i, 1) - image.own_mask.a; });  // 15
  t.add([&](int i) { return t.at(i, 2) - image.own_mask.b; });  // 16
  const cv::Mat fine = detail2(image.lab, b1), middle = detail2(b1, b4), coarse = detail2(b4, b12);
  t.add_root_means(fine);                                                                 // 17 18
  t.add_root_means(middle);                                                               // 19 20
  t.add_root_means(coarse);                                                               // 21 22
  t.add_root_means(blurred(fine, 6));                                                     // 23 24
  t.add_root_means(blurred(middle, 6));                                                   // 25 26
  t.add([&](int i) { return std::log10(own.share(flattened_chroma(lab(i))) + 1e-4F); });  // 27
  const cv::Mat metal = metal_likeness(b1);
  t.add_means(metal);               // 28
  t.add_means(blurred(metal, 6));   // 29
  t.add_means(blurred(metal, 20));  // 30
  cv::Mat confidence;
  working_confidence.convertTo(confidence, CV_32F, 1.0 / 255);
  t.add_means(confidence);                                                 // 31
  t.add_means(blurred(confidence, 8));                                     // 32
  t.add_means(blurred(confidence, 40));                                    // 33
  t.add([&](int i) { return std::hypot(t.at(i, 3), t.at(i, 4)); });        // 34
  t.add([&](int i) { return -0.6F * t.at(i, 12) - 0.8F * t.at(i, 13); });  // 35 toward copper salt
  t.add([&](int i) { return 0.8F * t.at(i, 12) + 0.6F * t.at(i, 13); });   // 36 toward copper
  require(t.next() == k_look_feature_count, "every feature column is filled");
  return t.rows();
}

}  // namespace verdigrid
