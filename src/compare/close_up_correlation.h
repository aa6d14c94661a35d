// A close-up searched for on a photo as a whole picture, at all scales and turns; used inside this
// folder.
//
// Both pictures are brought to local contrast and colour differences, so that light and shade do
// not count, and correlated (zero mean, normalised) over the disc that fits into the close-up, by
// Fourier transforms (Lewis, "Fast normalized cross-correlation", Vision Interface 1995).
#pragma once

#include <opencv2/core.hpp>
#include <vector>

#include "base/work.h"
#include "compare/close_up.h"

namespace verdigrid {

// A view with its correlation, -1..1.
struct CloseUpPeak {
  cv::Matx33d photo_from_close_up = cv::Matx33d::eye();
  double score = 0;
  // Of the close-up's cells, the share that lies far off this view: tall parts, or chance.
  double off_share = 0;
  double worth() const { return score * (1 - off_share); }
};

// Places that lie apart, best first, at most `count`. Pictures BGR; scales are of these.
std::vector<CloseUpPeak> close_up_peaks(const cv::Mat& photo, const cv::Mat& close_up,
                                        const CloseUpOptions& options, size_t count,
                                        const Work& work);

// The view near `start` that correlates best, moved, turned and scaled in ever smaller steps.
// `score` of the whole frame of the close-up as far as the photo shows it.
CloseUpPeak sharpened(const cv::Mat& photo, const cv::Mat& close_up, const cv::Matx33d& start);

// Whether two views put the close-up's corners at about the same places.
bool is_same_place(const cv::Matx33d& a, const cv::Matx33d& b, cv::Size close_up);

}  // namespace verdigrid
