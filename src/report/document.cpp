#include "report/document.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>
#include <set>

#include "base/error.h"
#include "photo/encode.h"

namespace verdigrid {

namespace {

constexpr int k_quality = 85;

struct Checked {
  void operator()(const Paragraph&) const {}
  void operator()(const Table& t) const {
    require(!t.head.empty(), "a table has columns");
    require(t.is_number.empty() || t.is_number.size() == t.head.size(),
            "a table's columns are numbers or not, each");
    for (const auto& row : t.rows)
      require(row.size() == t.head.size(), "a table's rows are as long as its head");
  }
  void operator()(const Picture& p) const {
    require(!p.jpeg.empty() && !p.size_px.empty() && !p.alt.empty(),
            "a picture has bytes, a size and words for who does not see it");
  }
  void operator()(const SwitchedPicture& l) const { check_two(l.plain, l.over); }
  void operator()(const Pair& p) const { check_two(p.before, p.after); }
  void operator()(const Gallery& g) const {
    for (const Picture& p : g.pictures) (*this)(p);
  }
  void operator()(const TickList& t) const {
    require(t.is_ticked.empty() || t.is_ticked.size() == t.items.size(),
            "a list's items are ticked or not, each");
  }

 private:
  void check_two(const Picture& a, const Picture& b) const {
    (*this)(a);
    (*this)(b);
    require(a.size_px == b.size_px, "pictures that lie over each other have one size");
  }
};

bool is_id(const std::string& id) {
  return !id.empty() && std::all_of(id.begin(), id.end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-';
  });
}

}  // namespace

void ReportDocument::check() const {
  std::set<std::string> ids;
  for (const Section& s : sections) {
    require(is_id(s.id) && ids.insert(s.id).second, "a section's id is unique and plain");
    for (const Block& block : s.blocks) std::visit(Checked{}, block);
  }
}

Picture picture_of(const cv::Mat& bgr, int long_side_px, std::string alt, std::string caption) {
  require(bgr.type() == CV_8UC3 && !bgr.empty() && long_side_px > 0, "a picture is BGR");
  const double scale =
      std::min(1.0, static_cast<double>(long_side_px) / std::max(bgr.cols, bgr.rows));
  cv::Mat small = bgr;
  if (scale < 1) cv::resize(bgr, small, {}, scale, scale, cv::INTER_AREA);
  return {jpeg_bytes(small, k_quality), small.size(), std::move(alt), std::move(caption)};
}

}  // namespace verdigrid
