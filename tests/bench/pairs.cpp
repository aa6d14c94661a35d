// How the registration core does on real pairs: reads a table of photo pairs with corresponding
// points, registers each pair, prints one line per pair and a summary.
//
//   pairs PAIRS.json PHOTO_DIR [OUTLINES.json] [NAME]
//
// PAIRS.json: {"same": [{"a", "b", "points": [[ax, ay, bx, by]...]}], "different": [{"a", "b",
// "expect": "refuse" | "other-side" | "revision"}]}. OUTLINES.json: {"photo": {"outline": [[x,
// y]...], "rect_px", "rect_mm"}}; a photo without one is taken whole. A check point is good
// within 1.5 mm, or 1 % of the second photo's long side where no size is known. "aligned" is what a
// comparison of before and after would use, on the same points.
#include <fmt/format.h>

#include <chrono>
#include <fstream>
#include <nlohmann/json.hpp>

#include "base/files.h"
#include "compare/alignment.h"
#include "compare/point_map.h"
#include "photo/decode.h"
#include "tests/bench/bench_main.h"

using namespace verdigrid;
using nlohmann::json;

namespace {

json read_json(const std::string& path) {
  std::ifstream in(path);
  return json::parse(in);
}

BoardPhoto board_photo(const std::string& folder, const std::string& name, const json& outlines) {
  BoardPhoto out;
  out.bgr = load_photo(folder + "/" + name).bgr;
  if (outlines.contains(name))
    for (const json& p : outlines[name]["outline"])
      out.board_px.outer.emplace_back(p[0].get<double>(), p[1].get<double>());
  return out;
}

// px of the second photo per mm, from its measured rectangle; 0: not known.
double px_per_mm(const json& outlines, const std::string& name) {
  if (!outlines.contains(name) || outlines[name]["rect_mm"].is_null()) return 0;
  const json &px = outlines[name]["rect_px"], &mm = outlines[name]["rect_mm"];
  const cv::Point2d a(px[0][0], px[0][1]), b(px[1][0], px[1][1]), c(px[2][0], px[2][1]);
  return (cv::norm(b - a) + cv::norm(c - b)) / (mm[0].get<double>() + mm[1].get<double>());
}

// The board frame by the measured rectangle; without one the photo's own px.
Rectification plain_rectification(const BoardPhoto& photo, const json& outlines,
                                  const std::string& name) {
  Rectification r;
  r.photo_size_px = photo.bgr.size();
  r.outline_px = photo.board_px;
  if (outlines.contains(name) && !outlines[name]["rect_mm"].is_null()) {
    const json &px = outlines[name]["rect_px"], &mm = outlines[name]["rect_mm"];
    std::vector<cv::Point2d> quad;
    for (const json& p : px) quad.emplace_back(p[0].get<double>(), p[1].get<double>());
    const double w = mm[0], h = mm[1];
    if (const auto board = homography_from_quad(quad, {{0, 0}, {w, 0}, {w, h}, {0, h}}))
      r.board_from_photo_px = *board;
  }
  r.outline_board = mapped(r.board_from_photo_px, r.outline_px);
  if (r.outline_px.empty()) r.outline_is_frame = true;
  return r;
}

struct Worst {
  double px = 0, mean_px = 0;
};

// `there` takes a to b.
Worst worst_of(const PointMap& there, const json& points) {
  Worst worst;
  for (const json& p : points) {
    const cv::Point2d a(p[0], p[1]), b(p[2], p[3]);
    const double off = cv::norm(there(a) - b);
    worst.px = std::max(worst.px, off);
    worst.mean_px += off / static_cast<double>(points.size());
  }
  return worst;
}

int run(int argc, char** argv) {
  if (argc < 3)
    throw Error(ErrorKind::wrong_use,
                "Two names are needed: the table of pairs and the folder of their photos.");
  const json pairs = read_json(argv[1]);
  const json outlines = argc > 3 ? read_json(argv[3]) : json::object();
  const std::string only = argc > 4 ? argv[4] : "";
  int placed = 0, wrong = 0, refused = 0, right = 0, aligned_right = 0;
  for (const char* kind : {"same", "different"})
    for (const json& pair : pairs[kind]) {
      std::string a = pair["a"], b = pair["b"];
      if (!only.empty() && a != only) continue;
      // The photo whose outline is known is the reference.
      const bool is_swapped = !outlines.contains(a) && outlines.contains(b);
      const BoardPhoto pa = board_photo(argv[2], a, outlines),
                       pb = board_photo(argv[2], b, outlines);
      const auto start = std::chrono::steady_clock::now();
      const Registration r = is_swapped ? registered(pb, pa) : registered(pa, pb);
      const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
      std::string verdict;
      std::vector<std::string> remarks = r.remarks;
      if (std::string(kind) == "same") {
        const double scale = px_per_mm(outlines, b);
        const double limit = scale > 0 ? 1.5 * scale : 0.01 * std::max(pb.bgr.cols, pb.bgr.rows);
        if (!r.is_placed()) {
          ++refused;
          verdict = "REFUSED";
        } else {
          const Worst worst =
              worst_of(is_swapped ? PointMap([&](cv::Point2d p) { return unwarped(r.warp, p); })
                                  : PointMap(r.warp),
                       pair["points"]);
          const bool good = worst.px <= limit;
          ++(good ? placed : wrong);
          verdict = fmt::format("{} worst {:.1f} mean {:.1f} of {:.1f} px", good ? "ok" : "WRONG",
                                worst.px, worst.mean_px, limit);
          const BoardPhoto &first = is_swapped ? pb : pa, &second = is_swapped ? pa : pb;
          const Alignment aligned =
              alignment_of(first, plain_rectification(first, outlines, is_swapped ? b : a), second);
          const PlaneMap& map = aligned.after_from_before;
          const Worst fine =
              worst_of(is_swapped ? PointMap(inverted(map)) : PointMap(map), pair["points"]);
          aligned_right += fine.px <= limit;
          remarks = aligned.remarks;
          verdict += fmt::format(", aligned worst {:.1f} mean {:.1f} px, said {:.2f} px", fine.px,
                                 fine.mean_px, aligned.rms_after_px.value);
        }
      } else {
        const std::string expect = pair["expect"];
        const bool good = expect == "refuse" ? !r.is_placed()
                          : expect == "other-side"
                              ? r.match == Match::other_side
                              : r.match == Match::revision || r.match == Match::differs;
        right += good;
        verdict = fmt::format("{} (expect {})", good ? "ok" : "NOT AS EXPECTED", expect);
      }
      fmt::print(
          "{} {} {}: {} | {} inliers {} patches {} share {:.3f} coverage {:.2f} rms {:.2f} px "
          "worst "
          "block {:.2f} px turn {:.0f} scale {:.2f}{} {:.1f} s\n",
          kind, a, b, verdict, name(r.match), r.feature_inliers, r.agreement.patches,
          r.agreement.share, r.agreement.coverage, r.rms_px.value, r.worst_px, r.turn_deg, r.scale,
          r.warp.is_bent() ? " bent" : "", took.count());
      for (const std::string& remark : remarks) fmt::print("    {}\n", remark);
      std::fflush(stdout);
    }
  fmt::print(
      "same: {} placed right, {} wrong, {} refused, {} aligned right; different: {} as expected\n",
      placed, wrong, refused, aligned_right, right);
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  return bench_main([&] { return run(argc, argv); });
}
