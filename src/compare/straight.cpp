#include "compare/straight.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "compare/point_map.h"
#include "measure/photo_outline.h"

namespace verdigrid {

void StraightOptions::check() const {
  if (!(margin_share >= 0 && margin_share <= 1))
    throw Error(ErrorKind::wrong_use, "margin_share of a straight picture must be 0 to 1.");
  if (!(pixel_limit_mp > 0))
    throw Error(ErrorKind::wrong_use, "pixel_limit_mp of a straight picture must be above 0.");
}

Straight straightened(const Photo& photo, const Rectification& r, const StraightOptions& options,
                      const Work& work) {
  options.check();
  const Polygon outline = measured_outline(r);
  const cv::Rect2d box = bounding_box(outline.outer);
  const double margin = options.margin_share * std::max(box.width, box.height);
  const cv::Point2d middle = (box.tl() + box.br()) / 2;
  const double scale = 1 / std::sqrt(pixel_area_board(r, photo_point(r, middle)));
  const cv::Size size(cvCeil((box.width + 2 * margin) * scale),
                      cvCeil((box.height + 2 * margin) * scale));
  if (size.width * (size.height * 1e-6) > options.pixel_limit_mp)
    throw Error(ErrorKind::bad_input,
                fmt::format("The straight picture would have {:.0f} megapixels, more than {:.0f}.",
                            size.width * (size.height * 1e-6), options.pixel_limit_mp));
  // The back is seen mirrored: board x runs from right to left.
  const double sign = r.side == Side::back ? -1 : 1;
  const double left = r.side == Side::back ? box.x + box.width + margin : box.x - margin;
  const cv::Matx33d board_from_px(sign / scale, 0, left + 0.5 * sign / scale, 0, 1 / scale,
                                  box.y - margin + 0.5 / scale, 0, 0, 1);
  Straight out;
  work.check();
  out.bgr = seen_through(
      photo.bgr, size, [&](cv::Point2d p) { return photo_point(r, mapped(board_from_px, p)); },
      cv::INTER_CUBIC, cv::Scalar::all(0));
  work.report(1);
  out.rectification = r;
  out.rectification.lens.reset();
  out.rectification.turn_deg = 0;
  out.rectification.photo_size_px = size;
  out.rectification.board_from_photo_px = board_from_px;
  out.rectification.tilt_deg = 0;
  out.rectification.outline_px = mapped(board_from_px.inv(), outline);
  out.rectification.outline_px.outer = clockwise(std::move(out.rectification.outline_px.outer));
  out.rectification.outline_board = outline;
  return out;
}

}  // namespace verdigrid
