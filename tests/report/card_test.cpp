#include "report/card.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <opencv2/imgproc.hpp>
#include <sstream>

#include "rectify/card_reader.h"
#include "tests/process.h"

using namespace verdigrid;
using namespace verdigrid::test;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

namespace {

constexpr double k_dpi = 600;
constexpr double k_exact_mm = 0.05;  // what the card promises
constexpr double k_px_per_mm = k_dpi / 25.4;

// The page as another program draws it: grey, CV_8UC1.
cv::Mat rasterised(Paper paper, const TemporaryFolder& folder) {
  const auto pdf = folder.path() / "card.pdf";
  write_file(pdf, card_pdf(paper));
  const Outcome o = run({"pdftoppm", "-r", "600", "-gray", "-singlefile", pdf.string(),
                         (folder.path() / "page").string()});
  REQUIRE(o.code == 0);
  std::ifstream file(folder.path() / "page.pgm", std::ios::binary);
  std::string magic;
  int width = 0, height = 0, most = 0;
  file >> magic >> width >> height >> most;
  file.get();
  REQUIRE(magic == "P5");
  cv::Mat page(height, width, CV_8UC1);
  file.read(reinterpret_cast<char*>(page.data), static_cast<std::streamsize>(page.total()));
  REQUIRE(file);
  return page;
}

// Distance of a point on the page from the left or top paper edge, in mm.
double mm_of(double px) { return (px + 0.5) / k_px_per_mm; }

// Where a row of pixels turns from white to black between two places, to sub-pixel: the grey of the
// edge pixels counts as covered share.
double edge_mm(const cv::Mat& page, double y_mm, double from_mm, double to_mm) {
  const int y = static_cast<int>(y_mm * k_px_per_mm);
  const int from = static_cast<int>(from_mm * k_px_per_mm),
            to = static_cast<int>(to_mm * k_px_per_mm);
  double black = 0;
  for (int x = from; x < to; ++x) black += 1 - page.at<uchar>(y, x) / 255.0;
  const bool enters = page.at<uchar>(y, from) > 128;
  return enters ? (to - black) / k_px_per_mm : (from + black) / k_px_per_mm;
}

}  // namespace

TEST_CASE("bar and markers are exact to 0.05 mm when rasterised at 600 dpi") {
  const Paper paper = GENERATE(Paper::a4, Paper::letter);
  INFO(name(paper));
  const TemporaryFolder folder;
  const cv::Mat page = rasterised(paper, folder);
  CHECK_THAT(page.cols / k_px_per_mm, WithinAbs(paper_size_mm(paper).width, 0.05));
  CHECK_THAT(page.rows / k_px_per_mm, WithinAbs(paper_size_mm(paper).height, 0.05));

  const CardLayout card = card_layout();
  const cv::Point2d at = card_place_mm(paper), bar = at + card.bar_start_mm;
  const double quarter = card.bar_height_mm / 4;
  const double start = edge_mm(page, bar.y + quarter, bar.x - 3, bar.x + 3);
  const double end =
      edge_mm(page, bar.y + 3 * quarter, bar.x + card.bar_mm - 3, bar.x + card.bar_mm + 3);
  CHECK_THAT(start, WithinAbs(bar.x, k_exact_mm));
  CHECK_THAT(end - start, WithinAbs(100.0, k_exact_mm));
  for (int i = 1; i < 10; ++i) {
    const double x = bar.x + 10 * i;
    CHECK_THAT(edge_mm(page, bar.y + quarter, x - 3, x + 3), WithinAbs(x, k_exact_mm));
  }

  Photo photo;
  cv::cvtColor(page, photo.bgr, cv::COLOR_GRAY2BGR);
  const auto seen = find_card(photo);
  REQUIRE(seen);
  REQUIRE(seen->ids.size() == 4);
  for (size_t i = 0; i < seen->corners_px.size(); ++i) {
    CHECK_THAT(mm_of(seen->corners_px[i].x), WithinAbs(at.x + seen->corners_mm[i].x, k_exact_mm));
    CHECK_THAT(mm_of(seen->corners_px[i].y), WithinAbs(at.y + seen->corners_mm[i].y, k_exact_mm));
  }
  for (const CardMarker& m : card.markers) {  // by the pixels themselves
    const double y = at.y + m.square_mm.y + 1, x = at.x + m.square_mm.x;
    CHECK_THAT(edge_mm(page, y, x - 2, x + 2), WithinAbs(x, k_exact_mm));
    const double right = x + m.square_mm.width;
    CHECK_THAT(edge_mm(page, y, right - 2, right + 2), WithinAbs(right, k_exact_mm));
  }
}

TEST_CASE("the card is one page, says what it must, and its fonts are embedded") {
  const Paper paper = GENERATE(Paper::a4, Paper::letter);
  const TemporaryFolder folder;
  const auto pdf = folder.path() / "card.pdf";
  write_file(pdf, card_pdf(paper));
  CHECK_THAT(run({"pdfinfo", pdf.string()}).out, Contains("Pages:           1"));
  const std::string text = run({"pdftotext", pdf.string(), "-"}).out;
  for (const char* said :
       {"100 %", "no colour", "--card-bar-mm", "--card-height-mm", "5 % of area", "millimetres"})
    CHECK_THAT(text, Contains(said));
  const Outcome fonts = run({"pdffonts", pdf.string()});
  std::istringstream lines(fonts.out);
  std::string line;
  int count = 0;
  std::getline(lines, line);
  const auto column = line.find("emb");
  REQUIRE(column != std::string::npos);
  std::getline(lines, line);
  while (std::getline(lines, line)) {
    CHECK(line.substr(column, 3) == "yes");
    ++count;
  }
  CHECK(count > 0);
}

TEST_CASE("the card lies whole on the paper, clear of a printer's margins") {
  for (const Paper paper : {Paper::a4, Paper::letter}) {
    const cv::Point2d at = card_place_mm(paper);
    const cv::Size2d size = card_layout().size_mm, sheet = paper_size_mm(paper);
    constexpr double k_margin_mm = 6.35;  // a quarter inch; common practice, no source
    CHECK(at.x >= k_margin_mm);
    CHECK(at.y >= k_margin_mm);
    CHECK(at.x + size.width <= sheet.width - k_margin_mm);
    CHECK(at.y + size.height <= sheet.height - k_margin_mm);
  }
}
