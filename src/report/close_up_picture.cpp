#include "report/close_up_picture.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/error.h"
#include "report/photo_view.h"
#include "report/signs.h"

namespace verdigrid {

namespace {

constexpr Ink k_paper{1, 1, 1, 1};
constexpr Ink k_text{0.1, 0.1, 0.1, 1};
constexpr Ink k_frame{1, 0.85, 0, 1};
constexpr Ink k_halo{0, 0, 0, 0.75};

// The whole picture in a column of `width_px`, at most `height_px` high.
PhotoView column(cv::Size picture, int turn_deg, cv::Point top_left, cv::Size room) {
  PhotoView view;
  view.crop_px = cv::Rect({}, picture);
  view.turn_deg = turn_deg;
  const bool is_turned = turn_deg % 180 != 0;
  const double w = is_turned ? picture.height : picture.width,
               h = is_turned ? picture.width : picture.height;
  view.scale = std::min(room.width / w, room.height / h);
  view.top_left = top_left;
  return view;
}

void draw_ring(Canvas& canvas, const Ring& ring, double em) {
  canvas.outline({Polygon{ring, {}}}, k_halo, 0.36 * em);
  canvas.outline({Polygon{ring, {}}}, k_frame, 0.16 * em);
}

}  // namespace

void CloseUpPictureOptions::check() const {
  if (long_side_px < 400 || long_side_px > 20'000)
    throw Error(ErrorKind::wrong_use, "The picture's long side must be 400 to 20000 px.");
}

cv::Mat close_up_picture(const Photo& photo, int photo_turn_deg, const Photo& close_up,
                         const Survey& survey, const PlacedCloseUp& c,
                         const CloseUpPictureOptions& options) {
  options.check();
  require(photo.size_px() == c.photo.size_px && close_up.size_px() == c.close_up.size_px,
          "a close-up's picture is drawn of the photos that it was placed with");
  const double em = std::clamp(options.long_side_px / 110.0, 10.0, 40.0);
  const int gap = cvRound(em), text = cvRound(2.4 * em),
            width = (options.long_side_px - 3 * gap) / 2;
  const cv::Size room(width, width);
  const PhotoView left = column(photo.size_px(), photo_turn_deg, {gap, gap}, room);
  const PhotoView right =
      column(close_up.size_px(), survey.rectification.turn_deg, {2 * gap + width, gap}, room);
  const int height = std::max(left.shown_size().height, right.shown_size().height);
  Canvas canvas({options.long_side_px, height + 2 * gap + text}, k_paper);
  canvas.put_picture(shown_picture(photo.bgr, left), left.top_left);
  canvas.put_picture(shown_picture(close_up.bgr, right), right.top_left);
  canvas.clip_to(cv::Rect2d(left.shown_box()));
  draw_ring(canvas, on_canvas(left, c.place.outline_px), em);
  canvas.release();
  canvas.clip_to(cv::Rect2d(right.shown_box()));
  for (const Finding& f : survey.findings.findings)
    draw_finding(canvas, right, f, Cover::outline_only, em);
  canvas.release();
  canvas.outline(cv::Rect2d(right.shown_box()), k_frame, 0.2 * em);
  if (survey.rectification.px_per_mm)
    draw_scale_bar(
        canvas, survey.rectification.px_per_mm->value * right.scale, 0.3 * width,
        {right.top_left.x + 0.7 * em, right.top_left.y + right.shown_size().height - 0.7 * em},
        1.2 * em);
  const TextStyle style{0.95 * em, Weight::regular, k_text, double(width), 2};
  const double y = height + gap + 0.5 * em;
  canvas.text(fmt::format("{}, with the frame of the close-up", c.photo.name), {double(gap), y},
              style);
  canvas.text(fmt::format("{}: {:.1f} times as fine, {}", c.close_up.name, c.place.scale,
                          c.place.is_by_hand ? "placed by hand" : "placed by what both show"),
              {double(2 * gap + width), y}, style);
  return canvas.bgr();
}

}  // namespace verdigrid
