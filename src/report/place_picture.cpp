#include "report/place_picture.h"

#include <algorithm>

#include "base/error.h"
#include "report/photo_view.h"
#include "report/places_sheet.h"
#include "report/signs.h"

namespace verdigrid {

cv::Mat place_picture(const Photo& photo, const Survey& survey, const Place& place, int side_px) {
  require(photo.size_px() == survey.photo_size_px, "a place is cut from the photo of its survey");
  PhotoView view;
  view.crop_px = squared(place.crop_px, photo.size_px());
  view.turn_deg = survey.rectification.turn_deg;
  view.scale = double(side_px) / view.crop_px.width;
  Canvas canvas(view.shown_size(), {1, 1, 1, 1});
  canvas.put_picture(shown_picture(photo.bgr, view), {0, 0});
  const double em = side_px / 24.0;
  for (const Finding& f : survey.findings.findings)
    if (std::find(place.findings.begin(), place.findings.end(), f.id) != place.findings.end())
      draw_finding(canvas, view, f, Cover::outline_only, em);
  if (survey.rectification.px_per_mm)
    draw_scale_bar(canvas, survey.rectification.px_per_mm->value * view.scale, 0.35 * side_px,
                   {0.7 * em, side_px - 0.7 * em}, 1.3 * em);
  return canvas.bgr();
}

}  // namespace verdigrid
