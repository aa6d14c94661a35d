// Guided look: a person answers a few places of a photo, and each answer teaches the survey of this
// board at once.
//
// A look is a pure function of the automatic map and the ordered answers: dropping the last answer
// undoes it, replaying them gives the same map. All polygons are photo px. Cost on 1.5 megapixels
// of working image, two cores: look_base about 1 s, look_after below 300 ms. May be called from any
// thread.
#pragma once

#include <cstdint>
#include <opencv2/core.hpp>
#include <optional>
#include <string>
#include <vector>

#include "base/geometry.h"
#include "base/work.h"
#include "detect/residue.h"
#include "detect/superpixels.h"
#include "detect/working_image.h"
#include "photo/photo.h"
#include "rectify/rectification.h"

namespace verdigrid {

enum class AnswerKind { yes, no, not_sure };
const char* name(AnswerKind kind);  // "yes", "no", "not-sure"
enum class Asked { shown, pointed };
const char* name(Asked asked);  // "shown": the program proposed it; "pointed": the person did

struct Answer {
  std::vector<Polygon> region_px;
  AnswerKind kind = AnswerKind::not_sure;
  Asked asked = Asked::shown;
  std::optional<Residue> residue;  // of a yes, when the person said which
};

// One superpixel of an answer as it teaches other photos: its features and what it is.
struct Lesson {
  std::vector<float> features;  // k_look_feature_count of them
  Residue residue = Residue::none;
};

struct LookOptions {
  int places_at_most = 12;
  int least_shown = 3;               // so many places are shown before the look may end by itself
  double end_unproven_below = 0.24;  // and before any yes: nothing above this
  double end_below = 0.15;           // nothing left above this: the look ends
  double flag_from = 0.36;           // probability from which a superpixel is flagged
  std::uint64_t seed = 1;
  std::vector<Lesson> lessons;  // from reviews of other photos

  void check() const;  // throws Error{wrong_use} that names the wrong field
};

// Everything of one photo that does not change with the answers.
struct LookBase {
  WorkingImage image;
  Superpixels superpixels;
  cv::Mat features;             // CV_32FC1, see look_features.h
  std::vector<float> prior;     // P(any residue) of the automatic map, per superpixel
  std::vector<Residue> labels;  // of the automatic map, per superpixel
};

LookBase look_base(const Photo& photo, const Rectification& rectification,
                   const ResidueMap& automatic, const Work& work = {});

struct LookPlace {
  int rank = 0;  // 1 = worst
  std::vector<Polygon> region_px;
  cv::Rect crop_px;
  double confidence = 0;              // that there is residue
  Residue residue = Residue::unsure;  // the most likely class
};

struct Look {
  cv::Mat labels, confidence;  // CV_8UC1 at working size: as in ResidueMap
  std::vector<LookPlace> places;
  double nothing_left_above = 0;  // highest confidence of what was not asked
  bool is_finished = false;       // by itself: nothing is left above end_below
};

Look look_after(const LookBase& base, const std::vector<Answer>& answers,
                const LookOptions& options = {});

// The look's map at the size of the photo.
ResidueMap look_map(const LookBase& base, const Look& look);

// The region that a click or stroke (photo px, at least one point) means: the superpixels under it.
std::vector<Polygon> pointed_region(const LookBase& base,
                                    const std::vector<cv::Point2d>& stroke_px);

// What `answers` teach other photos.
std::vector<Lesson> lessons_of(const LookBase& base, const std::vector<Answer>& answers);

}  // namespace verdigrid
