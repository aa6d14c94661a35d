// How long each step of a survey takes, as a ratio to decoding the photo, and how much memory it
// needs.
//
//   speed [PHOTO] [--runs N]
//
// Without a photo it makes a 24-megapixel JPEG of a drawn board. Median of N runs (5), same run,
// all cores. Peak memory is the process's peak during a survey less what it held before, per pixel.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <fstream>
#include <functional>
#include <iostream>
#include <map>
#include <string>
#include <vector>

#include "base/error.h"
#include "base/files.h"
#include "detect/detector.h"
#include "detect/findings.h"
#include "measure/survey.h"
#include "measure/zone_table.h"
#include "photo/check.h"
#include "photo/decode.h"
#include "rectify/rectify.h"
#include "tests/bench/bench_main.h"
#include "tests/bench/drawn_jpeg.h"

using namespace verdigrid;

namespace {

class Steps {
 public:
  void time(const std::string& step, const std::function<void()>& work) {
    if (!ms_.contains(step)) order_.push_back(step);
    ms_[step].push_back(ms_of(work));
  }
  double ms(const std::string& step) const { return median(ms_.at(step)); }
  const std::vector<std::string>& order() const { return order_; }

  std::size_t findings = 0;  // of the last run

 private:
  std::vector<std::string> order_;
  std::map<std::string, std::vector<double>> ms_;
};

// A value of /proc/self/status in bytes.
double status_bytes(const std::string& field) {
  std::ifstream file("/proc/self/status");
  for (std::string line; std::getline(file, line);)
    if (line.starts_with(field + ":")) return 1024 * std::stod(line.substr(field.size() + 1));
  throw Error(ErrorKind::internal, "/proc/self/status has no " + field + ".");
}

void start_new_peak() { std::ofstream("/proc/self/clear_refs") << "5"; }

void run_steps(const Bytes& bytes, const Detector& detector, Steps& steps) {
  Photo photo;
  Rectification r;
  PhotoCheck check;
  ResidueMap map;
  Findings findings;
  steps.time("decode", [&] { photo = decode_photo(bytes, "speed.jpg"); });
  steps.time("rectification", [&] { r = rectify(photo, {}); });
  PhotoCheckOptions check_options;
  if (!r.outline_is_frame) check_options.board_px = r.outline_px;
  steps.time("check", [&] { check = photo_check(photo, check_options); });
  steps.time("survey", [&] { map = detector.residue_map(photo, r, {}, {}); });
  steps.time("findings", [&] { findings = findings_of(photo, r, map, {}); });
  steps.findings = findings.findings.size();
  steps.time("measure", [&] {
    (void)zone_table({map.labels, findings.finding_of_px, check.hidden, check.hidden_scale}, r, {});
  });
}

double peak_bytes_per_px(const Bytes& bytes, const Detector& detector) {
  start_new_peak();
  const double before = status_bytes("VmRSS");
  const Photo photo = decode_photo(bytes, "speed.jpg");
  const Survey survey = survey_of(photo, rectify(photo, {}), detector, {});
  return (status_bytes("VmHWM") - before) / static_cast<double>(survey.photo_size_px.area());
}

int run(int argc, char** argv) {
  int runs = 5;
  std::string path;
  for (int i = 1; i < argc; ++i) {
    const std::string word = argv[i];
    if (word == "--runs" && i + 1 < argc)
      runs = std::max(1, std::stoi(argv[++i]));
    else
      path = word;
  }
  const Bytes bytes = path.empty() ? drawn_jpeg() : read_file(path, std::uintmax_t{1} << 31);
  const auto detector = first_method();
  const double peak = peak_bytes_per_px(bytes, *detector);
  Steps steps;
  for (int i = 0; i < runs; ++i) run_steps(bytes, *detector, steps);
  const double decode = steps.ms("decode");
  for (const auto& step : steps.order())
    std::cout << fmt::format("{:14} {:7.1f} ms  {:5.2f} x decode\n", step, steps.ms(step),
                             steps.ms(step) / decode);
  const double together = steps.ms("survey") + steps.ms("findings") + steps.ms("measure");
  std::cout << fmt::format("survey, findings and measure together {:.2f} x decode\n",
                           together / decode);
  std::cout << fmt::format("{} findings\n", steps.findings);
  std::cout << fmt::format("peak memory of decode, rectification and survey: {:.1f} bytes a px\n",
                           peak);
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  return bench_main([&] { return run(argc, argv); });
}
