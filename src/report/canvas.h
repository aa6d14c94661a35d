// A picture to draw on with lines, hatches and text, for the documents that are looked at.
//
// Units: canvas px, origin at the top-left corner of the first pixel (so pixel (0,0) has its centre
// at (0.5, 0.5)), y down. Text is UTF-8; bytes that are not are replaced, never an error. Colours
// are sRGB 0..1 with opacity. A canvas belongs to one thread at a time.
#pragma once

#include <memory>
#include <opencv2/core.hpp>
#include <string>
#include <string_view>
#include <vector>

#include "base/geometry.h"

namespace verdigrid {

struct Ink {
  double r = 0, g = 0, b = 0, opacity = 1;
};
Ink ink_from_bgr(const cv::Scalar& bgr_0_255, double opacity = 1);
Ink with_opacity(Ink ink, double opacity);
// Black or white, whichever stands out more on `ground` (relative luminance, IEC 61966-2-1).
Ink ink_on(const Ink& ground);

enum class Weight { regular, bold };
enum class Anchor { left, centre, right };

struct TextStyle {
  double size_px = 16;  // height of the letters' em
  Weight weight = Weight::regular;
  Ink ink{0.1, 0.1, 0.1, 1};
  double width_px = 0;    // wrapped to this width; 0: one line
  int lines_at_most = 1;  // what does not fit ends in an ellipsis; only with width_px
};

// A pattern that tells classes apart without colour.
enum class Hatching { rising, level, dots, crossed, upright, squares, falling, pluses };

class Canvas {
 public:
  // Filled with `paper`; throws Error{no_result} for more than 32767 px a side (a limit of Cairo).
  Canvas(cv::Size size_px, const Ink& paper);
  ~Canvas();
  Canvas(const Canvas&) = delete;
  Canvas& operator=(const Canvas&) = delete;

  cv::Size size_px() const { return pixels_.size(); }
  cv::Mat bgr() const;  // a copy, CV_8UC3

  // `bgr` CV_8UC3, must fit (require).
  void put_picture(const cv::Mat& bgr, cv::Point top_left);

  // Everything until release() is cut at the path. Rings are closed; holes are even-odd.
  void clip_to(const cv::Rect2d& box);
  void clip_to(const std::vector<Polygon>& area);
  void release();

  void fill(const cv::Rect2d& box, const Ink& ink, double corner_px = 0);
  void fill(const std::vector<Polygon>& area, const Ink& ink);
  void hatch(const std::vector<Polygon>& area, Hatching hatch, const Ink& ink, double spacing_px);
  void hatch(const cv::Rect2d& box, Hatching hatch, const Ink& ink, double spacing_px);
  void line(const Ring& points, const Ink& ink, double width_px);
  void outline(const std::vector<Polygon>& area, const Ink& ink, double width_px);
  void outline(const cv::Rect2d& box, const Ink& ink, double width_px, double corner_px = 0);
  void disc(cv::Point2d centre, double radius_px, const Ink& ink);
  void ring(cv::Point2d centre, double radius_px, const Ink& ink, double width_px);

  cv::Size2d text_size(std::string_view text, const TextStyle& style) const;
  // `at`: top of the text; x is its left end, middle or right end.
  void text(std::string_view text, cv::Point2d at, const TextStyle& style,
            Anchor anchor = Anchor::left);
  // The middle of the text's ink lies at `middle`.
  void text_in_middle(std::string_view text, cv::Point2d middle, const TextStyle& style);

 private:
  struct Drawing;   // what the drawing library holds
  cv::Mat pixels_;  // CV_8UC4 BGRx
  std::unique_ptr<Drawing> drawing_;
};

}  // namespace verdigrid
