// A PDF page in millimetres, for documents that are printed.
//
// Origin at the paper's top-left corner, y down, mm; colours are sRGB. Text is UTF-8 in DejaVu
// Sans, embedded. A page belongs to one thread.
#pragma once

#include <memory>
#include <opencv2/core.hpp>
#include <string>
#include <string_view>
#include <vector>

#include "base/files.h"
#include "report/canvas.h"

namespace verdigrid {

struct PageText {
  double size_mm = 3;  // height of the letters' em
  Weight weight = Weight::regular;
  Ink ink{0.1, 0.1, 0.1, 1};
  double width_mm = 0;  // wrapped to this width; 0: one line
  Anchor anchor = Anchor::left;
};

class Page {
 public:
  Page(cv::Size2d size_mm, const std::string& title);
  ~Page();
  Page(const Page&) = delete;
  Page& operator=(const Page&) = delete;

  void fill(const cv::Rect2d& box_mm, const Ink& ink);
  void outline(const cv::Rect2d& box_mm, const Ink& ink, double width_mm);
  void line(const std::vector<cv::Point2d>& points_mm, const Ink& ink, double width_mm);
  void dashed(const std::vector<cv::Point2d>& points_mm, const Ink& ink, double width_mm,
              double dash_mm);
  // `at_mm`: top of the text, at its left end, middle or right end. Height of what was written.
  double text(std::string_view text, cv::Point2d at_mm, const PageText& style);
  double text_height(std::string_view text, const PageText& style) const;  // without writing it

  // An entry of the document's outline that leads to this page.
  void heading(const std::string& title, double y_mm);

  // `bgr` CV_8UC3, filling `box_mm`; kept in the file as the JPEG it is given as.
  void picture(const cv::Mat& bgr, const cv::Rect2d& box_mm);
  // The same from JPEG bytes of `size_px`, which are kept as they are.
  void picture(const Bytes& jpeg, cv::Size size_px, const cv::Rect2d& box_mm);
  void next();  // a new page of the same size
  Bytes pdf();  // finishes the page; once

 private:
  struct Drawing;  // what the drawing library holds
  Bytes bytes_;
  int number_ = 1;                    // of the page being drawn
  std::unique_ptr<Drawing> drawing_;  // gone once finished
};

}  // namespace verdigrid
