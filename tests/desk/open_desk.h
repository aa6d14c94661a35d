// A desk over a throw-away job book, and a photo of a rendered board to lay on it.
#pragma once

#include <filesystem>
#include <fstream>
#include <thread>

#include "desk/desk.h"
#include "tests/jobbook/scratch.h"

namespace verdigrid {

// What finish() must not meet.
inline void fail_on_message(const Desk& desk) {
  for (const Message& m : desk.messages())
    if (m.is_error) throw std::runtime_error(m.sentence);
}

// Flags the same two places on every photo, so that tests of the desk do not hang on how good a
// detector is.
class FixedDetector : public Detector {
 public:
  std::string id() const override { return "fixed 1"; }
  ResidueMap residue_map(const Photo& photo, const Rectification&, const DetectorOptions&,
                         const Work&) const override {
    ResidueMap map{cv::Mat::zeros(photo.size_px(), CV_8UC1),
                   cv::Mat::zeros(photo.size_px(), CV_8UC1)};
    for (const cv::Rect place : {cv::Rect(300, 200, 60, 40), cv::Rect(420, 300, 30, 50)}) {
      map.labels(place) = static_cast<int>(Residue::copper_salt);
      map.confidence(place) = 210;
    }
    return map;
  }
};

struct OpenDesk {
  Scratch scratch;
  Desk desk;

  explicit OpenDesk(
      std::shared_ptr<const Detector> detector = std::make_shared<const FixedDetector>())
      : desk(options(scratch.book(), std::move(detector))) {}

  static DeskOptions options(
      const std::filesystem::path& book,
      std::shared_ptr<const Detector> detector = std::make_shared<const FixedDetector>()) {
    DeskOptions o;
    o.job_book = book;
    o.book = fixed_options();
    o.detector = std::move(detector);
    return o;
  }

  // Applies jobs until none is left.
  void finish() {
    while (desk.is_busy()) {
      desk.tick();
      std::this_thread::yield();
    }
    fail_on_message(desk);
  }

  // The renderer's board 5 through its camera 5 at 640 x 480 px, kept so that no test waits for it.
  static std::filesystem::path photo_file() {
    return std::filesystem::path(VERDIGRID_SOURCE_DIR) / "tests" / "desk" / "board.jpg";
  }

  void photo() {
    desk.perform(OpenPhotoFile{photo_file()});
    finish();
  }
};

}  // namespace verdigrid
