// Photos drawn for the tests of the program: an invented green board of 160 x 100 mm on a grey
// desk, bare or with teal crusts on its pads.
#pragma once

#include <filesystem>
#include <opencv2/core.hpp>
#include <opencv2/imgproc.hpp>
#include <string>

#include "base/files.h"
#include "photo/encode.h"

namespace verdigrid::test {

inline constexpr double k_board_width_mm = 160, k_board_height_mm = 100;
inline constexpr const char* k_board_mm = "160x100";
inline constexpr double k_desk_mm = 12;  // seen around the board

enum class Crusts { none, some };

// `px_per_mm` 4 gives 736 x 496 px. Deterministic.
inline cv::Mat drawn_board(Crusts crusts, double px_per_mm) {
  const auto px = [px_per_mm](double mm) { return static_cast<int>(std::lround(mm * px_per_mm)); };
  cv::Mat photo(px(k_board_height_mm + 2 * k_desk_mm), px(k_board_width_mm + 2 * k_desk_mm),
                CV_8UC3, cv::Scalar(172, 170, 168));
  const cv::Rect board(px(k_desk_mm), px(k_desk_mm), px(k_board_width_mm), px(k_board_height_mm));
  cv::rectangle(photo, board, cv::Scalar(58, 92, 34), cv::FILLED);
  for (double y = 10; y < 95; y += 6)
    cv::line(photo, board.tl() + cv::Point(px(8), px(y)), board.tl() + cv::Point(px(150), px(y)),
             cv::Scalar(78, 122, 48), px(0.8));
  for (double x = 14; x < 150; x += 12)
    for (double y = 13; y < 95; y += 12)
      cv::circle(photo, board.tl() + cv::Point(px(x), px(y)), px(1.2), cv::Scalar(196, 200, 204),
                 cv::FILLED, cv::LINE_AA);
  cv::RNG random(7);
  if (crusts == Crusts::some)
    for (const cv::Point2d pad : {cv::Point2d(38, 37), {62, 49}, {86, 25}}) {
      for (int i = 0; i < 40; ++i) {
        const double x = pad.x + random.gaussian(1.1), y = pad.y + random.gaussian(1.1);
        const double blue = random.uniform(0.0, 1.0);  // from blue-green to green-blue
        cv::circle(photo, board.tl() + cv::Point(px(x), px(y)), px(random.uniform(0.5, 1.0)),
                   cv::Scalar(118 + 62 * blue, 158 - 6 * blue, 74 - 10 * blue), cv::FILLED,
                   cv::LINE_AA);
      }
      const cv::Rect around(board.tl() + cv::Point(px(pad.x - 5), px(pad.y - 5)),
                            cv::Size(px(10), px(10)));
      cv::Mat patch = photo(around);
      cv::GaussianBlur(patch, patch, {}, 0.25 * px_per_mm);
    }
  cv::Mat noise(photo.size(), CV_16SC3), noisy;
  random.fill(noise, cv::RNG::NORMAL, 0, 2.5);
  photo.convertTo(noisy, CV_16SC3);
  noisy += noise;
  noisy.convertTo(photo, CV_8UC3);
  return photo;
}

// Writes it as PNG.
inline std::filesystem::path write_board(const std::filesystem::path& path, Crusts crusts,
                                         double px_per_mm = 5) {
  write_file(path, png_bytes(drawn_board(crusts, px_per_mm)));
  return path;
}

}  // namespace verdigrid::test
