// How close-ups are placed on rendered photos of exact truth, 3 to 10 times finer than the photo;
// and close-ups of other boards, which must be refused.
//
//   close_ups [PAIRS [WRONG [WIDTHxHEIGHT [FIRST [FOLDER]]]]]      default 100 20 1600x1200 0
//   close_ups real PHOTO CLOSE-UP...          places real ones; writes nothing
//
// One line per pair, then the figures. FOLDER, an existing one: both pictures of each pair.
#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <string>

#include "base/files.h"
#include "photo/decode.h"
#include "photo/encode.h"
#include "tests/bench/bench_main.h"
#include "tests/compare/rendered_close_up.h"

using namespace verdigrid;

namespace {

constexpr double k_right_mm = 1, k_right_scale = 0.05;

struct Arguments {
  int pairs = 100, wrong = 20, first = 0;
  cv::Size photo_px{1600, 1200};
  std::string folder;
};

Arguments arguments_of(int argc, char** argv) {
  Arguments a;
  if (argc > 1) a.pairs = std::stoi(argv[1]);
  if (argc > 2) a.wrong = std::stoi(argv[2]);
  if (argc > 3) std::sscanf(argv[3], "%dx%d", &a.photo_px.width, &a.photo_px.height);
  if (argc > 4) a.first = std::stoi(argv[4]);
  if (argc > 5) a.folder = argv[5];
  return a;
}

int rendered(const Arguments& a) {
  int right = 0, wrong = 0, refused = 0, accepted = 0, right_by_all = 0, silent = 0;
  int scale_right = 0, scale_held = 0, placed = 0;
  std::vector<double> errors_mm;
  for (int i = 0; i < a.pairs; ++i) {
    const RenderedCloseUp pair = rendered_close_up(a.first + i, a.photo_px);
    if (!a.folder.empty()) {
      write_file(fmt::format("{}/{}-photo.jpg", a.folder, a.first + i), jpeg_bytes(pair.photo.bgr));
      write_file(fmt::format("{}/{}-close.jpg", a.folder, a.first + i),
                 jpeg_bytes(pair.close_up.bgr));
    }
    CloseUpAnswer answer;
    const double ms = ms_of([&] { answer = placed_close_up(pair.photo.bgr, pair.close_up.bgr); });
    const CloseUpError error =
        answer.place ? error_of(answer.place->photo_from_close_up, pair) : CloseUpError{};
    if (!answer.place)
      ++refused;
    else if (error.median_mm <= k_right_mm)
      ++right;
    else
      ++wrong, silent += answer.remarks.empty();
    right_by_all += answer.place && error.median_of_all_mm <= k_right_mm;
    fmt::print("{} {:.1f} x: ", a.first + i, pair.scale);
    if (answer.place) {
      errors_mm.push_back(error.median_mm);
      ++placed;
      scale_right += std::abs(answer.place->scale / pair.scale - 1) <= k_right_scale;
      scale_held += answer.place->scale_range->contains(pair.scale);
      fmt::print(
          "off {:.3f} mm, worst {:.2f} mm{}, by all it shows {:.3f} mm, {:.1f} x ({:.1f} to "
          "{:.1f}), turn "
          "{:.0f}, rms {:.2f} px{}, ",
          error.median_mm, error.worst_mm,
          error.median_mm <= k_right_mm ? ""
          : answer.remarks.empty()      ? " WRONG"
                                        : " WRONG, with a remark",
          error.median_of_all_mm, answer.place->scale, answer.place->scale_range->low,
          answer.place->scale_range->high, answer.place->turn_deg, answer.place->rms_px.value,
          answer.remarks.empty() ? "" : ", with a remark");
    } else {
      fmt::print("REFUSED {} ", answer.remarks.empty() ? "" : answer.remarks[0]);
    }
    fmt::print("strength {:.2f} next {:.2f}, {:.0f} ms\n", answer.strength, answer.next_strength,
               ms);
    std::fflush(stdout);
  }
  for (int i = 0; i < a.wrong; ++i) {
    const RenderedCloseUp one = rendered_close_up(a.first + i, a.photo_px),
                          other = rendered_close_up(a.first + i + 5000, a.photo_px);
    const CloseUpAnswer answer = placed_close_up(one.photo.bgr, other.close_up.bgr);
    accepted += answer.place.has_value();
    fmt::print("other board {}: {} strength {:.2f} next {:.2f}\n", i,
               answer.place ? "ACCEPTED" : "refused", answer.strength, answer.next_strength);
    std::fflush(stdout);
  }
  std::sort(errors_mm.begin(), errors_mm.end());
  fmt::print(
      "{} of {} placed within {} mm (median over what it shows of the board; half below {:.3f} mm; "
      "{} within by all it shows), {} placed wrong ({} without a remark), {} refused; scale "
      "within 5 % in {} of {}, within the range that is told in {}; "
      "{} of {} close-ups of other boards accepted\n",
      right, a.pairs, k_right_mm, errors_mm.empty() ? 0 : median(errors_mm), right_by_all, wrong,
      silent, refused, scale_right, placed, scale_held, accepted, a.wrong);
  return 0;
}

int real(int argc, char** argv) {
  const Photo photo = load_photo(argv[2], {});
  for (int i = 3; i < argc; ++i) {
    const Photo close_up = load_photo(argv[i], {});
    const CloseUpAnswer answer = placed_close_up(photo.bgr, close_up.bgr);
    fmt::print("{} on {}: ", close_up.meta.name, photo.meta.name);
    if (answer.place) {
      fmt::print("{:.2f} x, turn {:.0f}, outline", answer.place->scale, answer.place->turn_deg);
      for (const cv::Point2d& p : answer.place->outline_px) fmt::print(" {:.0f},{:.0f}", p.x, p.y);
    } else {
      fmt::print("refused:");
      for (const std::string& remark : answer.remarks) fmt::print(" {}", remark);
    }
    fmt::print(" strength {:.2f} next {:.2f}\n", answer.strength, answer.next_strength);
  }
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  return bench_main([&] {
    if (argc > 3 && std::string(argv[1]) == "real") return real(argc, argv);
    return rendered(arguments_of(argc, argv));
  });
}
