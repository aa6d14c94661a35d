#include "base/lab_picture.h"

#include <mutex>
#include <opencv2/imgproc.hpp>

namespace verdigrid {

cv::Mat lab_of_bgr(const cv::Mat& bgr) {
  static std::once_flag is_ready;
  std::call_once(is_ready, [] {
    const cv::Mat one(1, 1, CV_32FC3, cv::Scalar::all(0.5));
    cv::Mat lab;
    cv::cvtColor(one, lab, cv::COLOR_BGR2Lab);
  });
  cv::Mat unit, lab;
  bgr.convertTo(unit, CV_32FC3, 1 / 255.0);
  cv::cvtColor(unit, lab, cv::COLOR_BGR2Lab);
  return lab;
}

}  // namespace verdigrid
