#include "compare/close_up_survey.h"

#include "base/error.h"
#include "layout/layout.h"

namespace verdigrid {

SurveyedCloseUp surveyed_close_up(const SurveyedPhoto& photo, const Photo& close_up,
                                  const CloseUpAnswer& answer, const Detector& detector,
                                  const SurveyOptions& options, const Work& work) {
  require(answer.place.has_value(), "a close-up is surveyed only where it was placed");
  const Rectification& of_photo = photo.survey.rectification;
  // The board's own squares, not a grid of the close-up's frame.
  const Layout board = layout_over(of_photo.outline_board, of_photo.has_scale());
  SurveyedCloseUp out;
  out.survey = survey_of(close_up, close_up_rectification(*answer.place, of_photo), board, detector,
                         options, work);
  out.placed = close_up_of(photo, {close_up, out.survey}, answer);
  return out;
}

}  // namespace verdigrid
