// Time of a comparison against one decode: a rendered pair, its JPEG bytes decoded and the decoded
// photos compared, surveys apart.
//
//   compare_speed [WIDTHxHEIGHT [RUNS]]      default 6000x4000 3
#include <fmt/format.h>

#include <cstdio>
#include <string>

#include "photo/decode.h"
#include "photo/encode.h"
#include "tests/bench/bench_main.h"
#include "tests/compare/rendered_change.h"

using namespace verdigrid;

int main(int argc, char** argv) {
  cv::Size size{6000, 4000};
  if (argc > 1) std::sscanf(argv[1], "%dx%d", &size.width, &size.height);
  const int runs = argc > 2 ? std::stoi(argv[2]) : 3;
  const RenderedChange pair = rendered_change(7, size);
  const Bytes jpeg = jpeg_bytes(pair.before.bgr, 92);
  const double decode = median_ms(5, [&] { (void)decode_photo(jpeg, "before.jpg"); });
  const Photo before = photo_of(pair.before), after = photo_of(pair.after);
  const Survey sb = true_survey(pair.before, 1), sa = true_survey(pair.after, 2);
  Comparison c;
  const double whole = median_ms(runs, [&] { c = comparison_of({before, sb}, {after, sa}, {}); });
  const BoardPhoto pb{before.bgr, sb.rectification.outline_px},
      pa{after.bgr, sa.rectification.outline_px};
  const double core = median_ms(runs, [&] { (void)registered(pb, pa); });
  const double align =
      median_ms(runs, [&] { (void)alignment_of(pb, sb.rectification, pa, AlignmentOptions{}); });
  fmt::print(
      "{}x{}: decode {:.0f} ms, registration {:.0f} ms, alignment {:.0f} ms, comparison {:.0f} "
      "ms: {:.1f} x decode; rms {:.2f} px\n",
      size.width, size.height, decode, core, align, whole, whole / decode,
      error_of(c.alignment, pair).rms_px);
  return 0;
}
