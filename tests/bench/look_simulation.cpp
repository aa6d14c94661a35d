// A simulated person plays the guided look over a folder of photos with hand-drawn truth.
//
//   look_simulation FOLDER [--maps DIR] [--answers N] [--mode both|answers|pointing]
//                   [--only A,B,...] [--skip-clean] [--lines]
//
// FOLDER holds damaged/, clean/ and truth/. --maps DIR takes the automatic maps from
// DIR/labels/NAME.png and DIR/confidence/NAME.png (as survey_photos writes them); else the first
// method makes them. The person answers the first place: yes when at least 30 % of it is truth (and
// says the class), not sure when at least half of it is unscored, else no; every sixth answer
// points with one stroke at the largest miss. An early end counts as no further answers.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <iostream>
#include <map>
#include <numeric>
#include <opencv2/imgproc.hpp>
#include <set>
#include <string>
#include <vector>

#include "base/error.h"
#include "base/files.h"
#include "bench_score.h"
#include "detect/detector.h"
#include "detect/guided_look.h"
#include "detect/regions.h"
#include "photo/decode.h"
#include "rectify/rectify.h"
#include "tests/bench/bench_main.h"

using namespace verdigrid;
using namespace verdigrid::bench;
namespace fs = std::filesystem;

namespace {

enum class Mode { both, answers, pointing };

struct Options {
  fs::path folder, maps;
  int answers = 48;
  Mode mode = Mode::both;
  std::set<std::string> only;
  bool is_clean_skipped = false, is_frame = false, is_verbose = false;
};

const std::vector<int> k_checkpoints{0, 6, 12, 24, 48};

Options options_from(int argc, char** argv) {
  Options o;
  for (int i = 1; i < argc; ++i) {
    const std::string word = argv[i];
    const auto value = [&]() -> std::string {
      if (++i >= argc) throw Error(ErrorKind::wrong_use, word + " needs a value.");
      return argv[i];
    };
    if (word == "--maps")
      o.maps = value();
    else if (word == "--answers")
      o.answers = std::stoi(value());
    else if (word == "--mode") {
      const std::string mode = value();
      o.mode = mode == "answers" ? Mode::answers : mode == "pointing" ? Mode::pointing : Mode::both;
    } else if (word == "--only") {
      std::string rest = value(), item;
      for (std::stringstream words(rest); std::getline(words, item, ',');) o.only.insert(item);
    } else if (word == "--skip-clean")
      o.is_clean_skipped = true;
    else if (word == "--frame")
      o.is_frame = true;
    else if (word == "--lines")
      o.is_verbose = true;
    else if (word.starts_with("--"))
      throw Error(ErrorKind::wrong_use, "Unknown option " + word + ".");
    else
      o.folder = word;
  }
  if (o.folder.empty()) throw Error(ErrorKind::wrong_use, "Give the folder of the bench.");
  return o;
}

cv::Mat grey(const fs::path& path) {
  const Photo p = load_photo(path);
  cv::Mat first;
  cv::extractChannel(p.bgr, first, 0);
  return first;
}

// One stroke through the largest miss: from its innermost point as far as it runs straight inside.
std::vector<cv::Point2d> stroke_at_largest_miss(const Scorer& scorer, const cv::Mat& labels,
                                                const cv::Mat& pointed) {
  const cv::Mat& truth = scorer.truth();
  const cv::Mat missed = (truth > 0) & (truth != k_unscored) & (labels == 0) & ~pointed;
  cv::Mat ids, stats, centres;
  const int n = cv::connectedComponentsWithStats(missed, ids, stats, centres, 8);
  int best = 0;
  for (int id = 1; id < n; ++id)
    if (best == 0 || stats.at<int>(id, cv::CC_STAT_AREA) > stats.at<int>(best, cv::CC_STAT_AREA))
      best = id;
  if (best == 0 || stats.at<int>(best, cv::CC_STAT_AREA) < scorer.least_px()) return {};
  const cv::Mat on = ids == best;
  cv::Mat distance;
  cv::distanceTransform(on, distance, cv::DIST_L2, 5);
  cv::Point from;
  cv::minMaxLoc(distance, nullptr, nullptr, nullptr, &from);
  cv::Point to = from;
  for (int turn = 0; turn < 64; ++turn) {
    const double a = turn * CV_2PI / 64;
    cv::Point end = from;
    for (int r = 1;; ++r) {
      const cv::Point p(cvRound(from.x + r * std::cos(a)), cvRound(from.y + r * std::sin(a)));
      if (!cv::Rect({0, 0}, on.size()).contains(p) || !on.at<uchar>(p)) break;
      end = p;
    }
    if (cv::norm(end - from) > cv::norm(to - from)) to = end;
  }
  return {cv::Point2d(from), cv::Point2d(to)};
}

Answer answered(const Scorer& scorer, const LookPlace& place) {
  const cv::Mat inside = picture_of(place.region_px, scorer.truth().size(), 1);
  std::array<int, 256> count{};
  int all = 0;
  for (int y = 0; y < inside.rows; ++y)
    for (int x = 0; x < inside.cols; ++x)
      if (inside.at<uchar>(y, x)) {
        ++count[scorer.truth().at<uchar>(y, x)];
        ++all;
      }
  const int damaged = std::accumulate(count.begin() + 1, count.begin() + 7, 0);
  Answer a{place.region_px, AnswerKind::no, Asked::shown, {}};
  if (damaged >= 0.3 * all) {
    a.kind = AnswerKind::yes;
    a.residue = static_cast<Residue>(std::max_element(count.begin() + 1, count.begin() + 7) -
                                     count.begin());
  } else if (count[k_unscored] >= 0.5 * all) {
    a.kind = AnswerKind::not_sure;
  }
  return a;
}

struct Played {
  std::map<int, Score> at;  // score after so many answers
  Score last;
  int shown = 0, yes = 0, answers = 0;
  bool has_ended = false;
  double slowest_ms = 0, total_ms = 0;
  int looks = 0;
};

Look timed_look(const LookBase& base, const std::vector<Answer>& answers, Played& played) {
  const auto start = std::chrono::steady_clock::now();
  Look look = look_after(base, answers);
  const double ms =
      std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start).count();
  played.slowest_ms = std::max(played.slowest_ms, ms);
  played.total_ms += ms;
  ++played.looks;
  return look;
}

Played played_look(const LookBase& base, const Scorer& scorer, const Options& o,
                   const ResidueMap& automatic, const std::string& name) {
  Played played;
  std::vector<Answer> answers;
  played.last = played.at[0] = scorer.score(automatic.labels);
  Look look = timed_look(base, answers, played);
  cv::Mat labels = automatic.labels;
  cv::Mat pointed(scorer.truth().size(), CV_8UC1, cv::Scalar(0));
  while (static_cast<int>(answers.size()) < o.answers) {
    const int next = static_cast<int>(answers.size()) + 1;
    const bool is_finished = look.is_finished || look.places.empty();
    if (is_finished && o.mode != Mode::pointing) {
      played.has_ended = true;
      break;
    }
    Answer a;
    if (o.mode == Mode::pointing || (o.mode == Mode::both && next % 6 == 0)) {
      const auto stroke = stroke_at_largest_miss(scorer, labels, pointed);
      if (!stroke.empty()) {
        a = {pointed_region(base, stroke), AnswerKind::yes, Asked::pointed, {}};
        const cv::Point p(stroke[0]);
        a.residue = static_cast<Residue>(scorer.truth().at<uchar>(p));
        pointed |= picture_of(a.region_px, pointed.size(), 1);
      } else if (o.mode == Mode::pointing) {
        break;
      }
    }
    if (a.region_px.empty()) {
      a = answered(scorer, look.places[0]);
      ++played.shown;
    }
    played.yes += a.kind == AnswerKind::yes;
    answers.push_back(a);
    look = timed_look(base, answers, played);
    labels = look_map(base, look).labels;
    played.last = scorer.score(labels);
    for (const int c : k_checkpoints)
      if (c == next) played.at[c] = played.last;
    if (o.is_verbose)
      std::cout << fmt::format("  {} {:2} {} {} p {:.2f} IoU {:.3f} left {:.2f}\n", name, next,
                               verdigrid::name(a.asked), verdigrid::name(a.kind),
                               look.places.empty() ? 0 : look.places[0].confidence,
                               played.last.iou(), look.nothing_left_above);
  }
  played.answers = static_cast<int>(answers.size());
  for (const int c : k_checkpoints)
    if (!played.at.contains(c)) played.at[c] = played.last;
  return played;
}

struct Report {
  std::map<int, Score> at;
  int photos = 0, not_worse = 0, ended = 0;
  std::vector<int> shown_damaged, shown_clean;
  double slowest_ms = 0, total_ms = 0;
  int looks = 0;
  double base_ms = 0;
};

int median(std::vector<int> v) {
  if (v.empty()) return 0;
  std::nth_element(v.begin(), v.begin() + static_cast<long>(v.size() / 2), v.end());
  return v[v.size() / 2];
}

void play(const fs::path& path, const Options& o, const Detector& detector, Report& report) {
  const std::string name = path.stem().string();
  const Photo photo = load_photo(path);
  Rectification r;
  r.photo_size_px = photo.size_px();
  r.outline_is_frame = true;
  if (!o.is_frame) r = rectify(photo, {});
  ResidueMap map;
  if (o.maps.empty())
    map = detector.residue_map(photo, r, {}, {});
  else
    map = {grey(o.maps / "labels" / (name + ".png")),
           grey(o.maps / "confidence" / (name + ".png"))};
  const Scorer scorer(grey(o.folder / "truth" / (name + ".png")));
  const auto start = std::chrono::steady_clock::now();
  const auto base = look_base(photo, r, map);
  report.base_ms +=
      std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start).count();
  const cv::Mat& truth = scorer.truth();
  const bool is_damaged = cv::countNonZero((truth > 0) & (truth != k_unscored)) > 0;
  const Played p = played_look(base, scorer, o, map, name);
  ++report.photos;
  report.slowest_ms = std::max(report.slowest_ms, p.slowest_ms);
  report.total_ms += p.total_ms;
  report.looks += p.looks;
  if (!is_damaged) {
    report.shown_clean.push_back(p.shown);
    if (o.is_verbose) std::cout << fmt::format("{:6} clean: {} shown\n", name, p.shown);
    return;
  }
  report.shown_damaged.push_back(p.shown);
  report.ended += p.has_ended;
  report.not_worse += p.last.iou() >= p.at.at(0).iou() - 1e-9;
  std::string line;
  for (const int c : k_checkpoints) {
    report.at[c] += p.at.at(c);
    const auto& s = p.at.at(c);
    line += fmt::format(" | {:2}: {:.3f} {}/{}", c, s.iou(),
                        std::accumulate(s.found.begin(), s.found.end(), 0),
                        std::accumulate(s.truth.begin(), s.truth.end(), 0));
  }
  std::cout << fmt::format("{:6} {:2} answers, {:2} yes{}{}\n", name, p.answers, p.yes,
                           p.has_ended ? " ended" : "", line)
            << std::flush;
}

double share(int a, int b) { return b > 0 ? double(a) / b : 0; }

void print(const Report& report) {
  for (const auto& [n, s] : report.at) {
    std::string classes;
    for (std::size_t c = 1; c < s.truth.size(); ++c)
      if (s.truth[c] > 0)
        classes += fmt::format(" {} {}/{} = {:.2f}", name(static_cast<Residue>(c)), s.found[c],
                               s.truth[c], share(s.found[c], s.truth[c]));
    const int found = std::accumulate(s.found.begin(), s.found.end(), 0);
    const int truth = std::accumulate(s.truth.begin(), s.truth.end(), 0);
    std::cout << fmt::format(
        "after {:2}: IoU pool {:.3f} precision {:.3f} recall {:.3f} | found {:.2f} |{}\n", n,
        s.iou(), double(s.tp) / double(std::max(1L, s.tp + s.fp)),
        double(s.tp) / double(std::max(1L, s.tp + s.fn)), share(found, truth), classes);
  }
  std::cout << fmt::format(
      "damaged: {} photos, not worse than without answers {}, ended early {}, shown in the median "
      "{} | clean: {} photos, shown in the median {}, most {}\n",
      report.shown_damaged.size(), report.not_worse, report.ended, median(report.shown_damaged),
      report.shown_clean.size(), median(report.shown_clean),
      report.shown_clean.empty()
          ? 0
          : *std::max_element(report.shown_clean.begin(), report.shown_clean.end()));
  std::cout << fmt::format(
      "time: base {:.0f} ms a photo, look {:.0f} ms in the mean, {:.0f} most\n",
      report.base_ms / std::max(1, report.photos), report.total_ms / std::max(1, report.looks),
      report.slowest_ms);
}

int run(const Options& o) {
  const auto detector = first_method();
  std::vector<fs::path> photos;
  for (const char* part : {"damaged", "clean"}) {
    if (o.is_clean_skipped && std::string(part) == "clean") continue;
    for (const auto& entry : fs::directory_iterator(o.folder / part))
      if (o.only.empty() || o.only.contains(entry.path().stem().string()))
        photos.push_back(entry.path());
  }
  std::sort(photos.begin(), photos.end());
  Report report;
  for (const auto& path : photos) play(path, o, *detector, report);
  print(report);
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  return bench_main([&] { return run(options_from(argc, argv)); });
}
