#include "rectify/card_layout.h"

#include <opencv2/aruco.hpp>

#include "base/error.h"

namespace verdigrid {

CardLayout card_layout() {
  constexpr double k_inset_mm = 6;
  CardLayout card;
  const double m = card.marker_mm;
  const double right = card.size_mm.width - k_inset_mm - m;
  const double bottom = card.size_mm.height - k_inset_mm - m;
  card.markers = {CardMarker{0, {k_inset_mm, k_inset_mm, m, m}},
                  CardMarker{1, {right, k_inset_mm, m, m}}, CardMarker{2, {right, bottom, m, m}},
                  CardMarker{3, {k_inset_mm, bottom, m, m}}};
  card.bar_start_mm = {(card.size_mm.width - card.bar_mm) / 2, 20.5};
  return card;
}

std::vector<bool> marker_cells(int id) {
  require(id >= 0 && id < 4, "the card carries markers 0 to 3");
  const auto dictionary = cv::aruco::getPredefinedDictionary(cv::aruco::DICT_4X4_50);
  cv::Mat picture;
  cv::aruco::drawMarker(dictionary, id, k_marker_cells, picture, 1);
  std::vector<bool> black;
  for (int y = 0; y < k_marker_cells; ++y)
    for (int x = 0; x < k_marker_cells; ++x) black.push_back(picture.at<uchar>(y, x) == 0);
  return black;
}

}  // namespace verdigrid
