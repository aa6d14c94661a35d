// Throughput and memory of `verdigrid batch`: with one, two and four photos at a time, against
// decoding the same photos one after the other; and the peak memory with few photos and with many.
//
//   batch_figures PROGRAM PHOTOS [COUNT [FEW MANY [LONG_SIDE_PX]]]     default 200 50 500 640
//
// PHOTOS: a folder of photos; small copies of these, each of another size, JPEG and PNG in turn,
// are surveyed. Figures are ratios besides the times; all runs share one machine at one time.
#include <fmt/format.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <opencv2/imgproc.hpp>
#include <string>

#include "base/files.h"
#include "photo/decode.h"
#include "photo/encode.h"
#include "tests/bench/bench_main.h"
#include "tests/process.h"

using namespace verdigrid;
namespace fs = std::filesystem;

namespace {

constexpr int k_step_px = 4;

std::vector<Photo> sources_in(const fs::path& folder) {
  std::vector<fs::path> paths;
  for (const auto& entry : fs::directory_iterator(folder))
    if (entry.path().extension() == ".jpg" || entry.path().extension() == ".png")
      paths.push_back(entry.path());
  std::sort(paths.begin(), paths.end());
  std::vector<Photo> photos;
  for (const fs::path& path : paths) photos.push_back(load_photo(path, {}));
  if (photos.empty())
    throw Error(ErrorKind::bad_input, folder.string() + ": holds no .jpg or .png photo.");
  return photos;
}

void write_copies(const std::vector<Photo>& sources, int count, int long_side_px,
                  const fs::path& folder) {
  fs::create_directories(folder);
  for (int i = 0; i < count; ++i) {
    const auto n = static_cast<int>(sources.size());
    const cv::Mat& bgr = sources[static_cast<size_t>(i % n)].bgr;
    const double scale =
        static_cast<double>(long_side_px + i / n * k_step_px) / std::max(bgr.cols, bgr.rows);
    cv::Mat copy;
    cv::resize(bgr, copy, {}, scale, scale, scale < 1 ? cv::INTER_AREA : cv::INTER_LINEAR);
    const bool is_jpeg = i % 2 == 0;
    write_file(folder / fmt::format("{:04}.{}", i, is_jpeg ? "jpg" : "png"),
               is_jpeg ? jpeg_bytes(copy, 92) : png_bytes(copy));
  }
}

double decode_s(const fs::path& folder) {
  return ms_of([&] {
           for (const auto& entry : fs::directory_iterator(folder))
             (void)load_photo(entry.path(), {});
         }) /
         1000;
}

struct Run {
  double wall_s = 0, processor_s = 0, peak_mib = 0;
};

double seconds(const timeval& t) {
  return static_cast<double>(t.tv_sec) + static_cast<double>(t.tv_usec) / 1e6;
}

Run batch(const std::string& program, const fs::path& folder, const fs::path& out, int jobs) {
  Run run;
  run.wall_s =
      ms_of([&] {
        const std::vector<std::string> words{program,      "batch",  folder.string(),     "-o",
                                             out.string(), "--jobs", std::to_string(jobs)};
        const pid_t child = ::fork();
        if (child == 0) {
          std::vector<char*> arguments;
          for (const std::string& w : words) arguments.push_back(const_cast<char*>(w.c_str()));
          arguments.push_back(nullptr);
          if (std::freopen("/dev/null", "w", stdout) == nullptr) ::_exit(126);
          ::execv(arguments[0], arguments.data());
          ::_exit(127);
        }
        int status = 0;
        rusage usage{};
        if (child < 0 || ::wait4(child, &status, 0, &usage) != child || !WIFEXITED(status) ||
            WEXITSTATUS(status) > 1)
          throw Error(ErrorKind::bad_input, program + ": batch did not run to its end.");
        run.processor_s = seconds(usage.ru_utime) + seconds(usage.ru_stime);
        run.peak_mib = static_cast<double>(usage.ru_maxrss) / 1024;
      }) /
      1000;
  return run;
}

int figures(int argc, char** argv) {
  if (argc < 3)
    throw Error(ErrorKind::wrong_use,
                "batch_figures PROGRAM PHOTOS [COUNT [FEW MANY [LONG_SIDE_PX]]]");
  const std::string program = fs::absolute(argv[1]).string();
  const int count = argc > 3 ? std::stoi(argv[3]) : 200, few = argc > 4 ? std::stoi(argv[4]) : 50,
            many = argc > 5 ? std::stoi(argv[5]) : 500, side = argc > 6 ? std::stoi(argv[6]) : 640;
  const test::TemporaryFolder place;
  const std::vector<Photo> sources = sources_in(argv[2]);
  const fs::path photos = place.path() / "photos";
  write_copies(sources, count, side, photos);
  const double decode = decode_s(photos);
  double one = 0;
  for (const int jobs : {1, 2, 4}) {
    const Run run = batch(program, photos, place.path() / fmt::format("out{}", jobs), jobs);
    if (jobs == 1) one = run.wall_s;
    fmt::print(
        "{} photos, {} at a time: {:.2f} photos a second, {:.2f} s of processor time each, {:.1f} "
        "x "
        "decode alone, {:.2f} x as fast as one at a time, peak {:.0f} MiB\n",
        count, jobs, count / run.wall_s, run.processor_s / count, run.wall_s / decode,
        one / run.wall_s, run.peak_mib);
    std::fflush(stdout);
  }
  double peak_few = 0;
  for (const int n : {few, many}) {
    const fs::path folder = place.path() / fmt::format("photos{}", n);
    write_copies(sources, n, side, folder);
    const Run run = batch(program, folder, place.path() / fmt::format("outm{}", n), 2);
    if (n == few) peak_few = run.peak_mib;
    fmt::print("{} photos, two at a time: peak {:.0f} MiB, {:.2f} x that of {} photos\n", n,
               run.peak_mib, run.peak_mib / peak_few, few);
    std::fflush(stdout);
  }
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  return bench_main([&] { return figures(argc, argv); });
}
