// places.jpg: a contact sheet of the places worth a look, worst first, each with its rank, square,
// class letter and the reason in words.
//
// Returns CV_8UC3 BGR. A survey without places gives a sheet that says so. May be called from any
// thread. Cost: about 50 ms.
#pragma once

#include <opencv2/core.hpp>
#include <string>

#include "base/work.h"
#include "measure/survey.h"
#include "photo/photo.h"

namespace verdigrid {

struct PlacesSheetOptions {
  int columns = 4;
  int crop_px = 420;  // side of one crop on the sheet

  void check() const;  // throws Error{wrong_use} that names the wrong field
};

// The crop widened to a square, as far as the photo goes.
cv::Rect squared(cv::Rect crop, cv::Size photo);

// The largest finding of the place; null when it names none.
const Finding* main_finding(const Survey& survey, const Place& place);

// Name of the square in which the place's largest finding lies, or "off the board".
std::string place_square(const Survey& survey, const Place& place);

// `survey` must be of `photo` (require: same size).
cv::Mat places_sheet(const Photo& photo, const Survey& survey,
                     const PlacesSheetOptions& options = {}, const Work& work = {});

}  // namespace verdigrid
