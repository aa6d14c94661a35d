// The desk's recheck: the open photo laid over an earlier one of the same board and side.

#include <fmt/format.h>

#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "compare/registration.h"
#include "desk/desk.h"

namespace verdigrid {

namespace {

// The photo after as seen from the photo before; black where it does not reach.
cv::Mat laid_over(const cv::Mat& after, const Warp& warp, cv::Size before_size, const Work& work) {
  cv::Mat result(before_size, CV_8UC3);
  constexpr int k_rows = 256;  // at once: the map of a whole large photo would take eight times it
  for (int from = 0; from < before_size.height; from += k_rows) {
    work.check();
    work.report(static_cast<double>(from) / before_size.height);
    const int to = std::min(from + k_rows, before_size.height);
    cv::Mat map(to - from, before_size.width, CV_32FC2);
    cv::parallel_for_({from, to}, [&](const cv::Range& rows) {
      for (int y = rows.start; y < rows.end; ++y)
        for (int x = 0; x < before_size.width; ++x)
          map.at<cv::Vec2f>(y - from, x) = cv::Vec2f(cv::Point2f(warp(cv::Point2d(x, y))));
    });
    cv::Mat part = result.rowRange(from, to);
    cv::remap(after, part, map, cv::noArray(), cv::INTER_LINEAR, cv::BORDER_CONSTANT);
  }
  return result;
}

}  // namespace

void Desk::run(const CompareWith& a) {
  if (!document_) return;
  Document d = *document_;
  d.compared_with_sha256 = a.photo_sha256;
  change(std::move(d),
         a.photo_sha256.empty() ? "Compare with none" : "Compare with a photo before");
}

void Desk::start_comparison() {
  jobs_.cancel("compare");
  derived_.compared.reset();
  derived_.compared_words.clear();
  if (document_->compared_with_sha256.empty()) return;
  std::string before_name = "the photo before";
  for (const Intake::BoardRow& board : intake_.boards)
    for (const Intake::PhotoRow& row : board.photos)
      if (row.photo.sha256 == document_->compared_with_sha256) before_name = row.photo.name;
  jobs_.start(
      "compare", "Laying this photo over " + before_name,
      [this, after = derived_.photo, sha256 = document_->compared_with_sha256, before_name,
       photos = options_.job_book / "photos", decode = options_.decode](const Work& work) -> Apply {
        const Photo before = decode_photo(PhotoStore(photos).read(sha256), before_name, decode);
        work.check();
        const Registration r =
            registered({before.bgr, {}}, {after->bgr, {}}, {}, work.part(0.1, 0.6));
        if (!r.is_placed()) {
          std::string words = fmt::format(
              "{} and this photo could not be laid over each "
              "other ({}).",
              before_name, name(r.match));
          for (const std::string& remark : r.remarks) words += " " + remark;
          return [this, words] { derived_.compared_words = words; };
        }
        ComparedPictures pair;
        pair.before_name = before_name;
        pair.before = std::make_shared<const Pyramid>(pyramid_of(before.bgr, Reduce::mean));
        pair.after = std::make_shared<const Pyramid>(pyramid_of(
            laid_over(after->bgr, r.warp, before.size_px(), work.part(0.6, 0.95)), Reduce::mean));
        const std::string words =
            fmt::format("They lie over each other within {:.2f} px ({:.2f} to {:.2f}).",
                        r.rms_px.value, r.rms_px.low, r.rms_px.high);
        return [this, pair, words]() mutable {
          pair.revision = next_revision_++;
          derived_.compared = std::move(pair);
          derived_.compared_words = words;
        };
      });
}

}  // namespace verdigrid
