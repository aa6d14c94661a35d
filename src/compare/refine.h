// From a coarse warp to a fine one, by patches; and how much of the board agrees with it.
#pragma once

#include "compare/registration.h"

namespace verdigrid {

// A photo made ready: grey, the board cut out with a margin, resized.
struct WorkingPhoto {
  cv::Mat grey;           // CV_8UC1
  Polygon board_px;       // in `grey`; empty: whole picture
  double scale = 1;       // grey px per photo px
  cv::Point2d corner_px;  // of the cut in photo px
};

WorkingPhoto working_photo(const BoardPhoto& photo, int long_side_px);
// Of the photo with the cut and scale given: the same picture at another size.
WorkingPhoto working_photo_at(const BoardPhoto& photo, const WorkingPhoto& like, double scale);

// The working picture at a smaller size; as it is when `by` is not below 1.
WorkingPhoto smaller_photo(const WorkingPhoto& work, double by);

// Made smaller by area means, halving first: many times faster than at once, and the same but for
// rounding. `scale` above 0; above 1 linear.
cv::Mat resized_photo(const cv::Mat& picture, double scale);

// Points of the photo in its working picture and back.
cv::Point2d working_px(const WorkingPhoto& work, cv::Point2d p_photo_px);
cv::Point2d photo_px(const WorkingPhoto& work, cv::Point2d p_working_px);

// Between warps of the photos and of their working pictures.
Warp to_working(const Warp& warp, const WorkingPhoto& first, const WorkingPhoto& second);
Warp from_working(const Warp& warp, const WorkingPhoto& first, const WorkingPhoto& second);

struct Refined {
  Warp warp;  // photo px
  Agreement agreement;
  std::vector<PatchMatch> matches;  // of the last look, working px of the first
  WorkingPhoto first, second;       // as the last look used them: at about one scale
};

Refined refined(const BoardPhoto& first, const BoardPhoto& second, const WorkingPhoto& first_work,
                const WorkingPhoto& second_work, const Warp& coarse, const Work& work);

// A patch agrees within this many working px, and at this score at least.
inline constexpr double k_agree_px = 2, k_agree_score = 0.4;

}  // namespace verdigrid
