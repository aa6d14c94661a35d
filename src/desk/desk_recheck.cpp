// The desk's recheck: the open photo compared with an earlier one of the same board and side.

#include <fmt/format.h>

#include "base/error.h"
#include "base/files.h"
#include "compare/comparison.h"
#include "compare/comparison_file.h"
#include "desk/desk.h"
#include "desk/layout_way.h"
#include "layout/layout_json.h"
#include "photo/encode.h"
#include "report/change_pictures.h"

namespace verdigrid {

namespace fs = std::filesystem;

namespace {

// The earlier photo with its survey: its own choices and review where somebody worked on it.
std::shared_ptr<EarlierPhoto> earlier_photo(const Document& d, const PhotoStore& photos,
                                            const Detector& detector, const DecodeOptions& decode,
                                            const Work& work) {
  auto earlier = std::make_shared<EarlierPhoto>();
  earlier->photo = decode_photo(photos.read(d.photo_sha256), d.photo_name, decode);
  work.check();
  LaidLayout laid = laid_out(earlier->photo, d, photos, decode, work.part(0.05, 0.3));
  SurveyOptions options;
  options.detector.setting = d.setting;
  earlier->survey =
      survey_of(earlier->photo, laid.rectification, detector, options, work.part(0.3, 0.8));
  earlier->layout = laid.layout;
  const LookBase base =
      look_base(earlier->photo, laid.rectification, earlier->survey.map, work.part(0.8, 0.95));
  earlier->survey = reviewed_survey(earlier->photo, earlier->survey, base, d.answers, d.edits,
                                    laid.layout.get(), work)
                        .survey;
  earlier->pyramid =
      std::make_shared<const Pyramid>(pyramid_of(earlier->photo.bgr, Reduce::mean, work));
  return earlier;
}

ComparedPictures compared(const std::shared_ptr<const EarlierPhoto>& before, const Photo& after,
                          const Survey& survey, const Document& choices, const Work& work) {
  constexpr size_t k_least_pairs = 3;
  ComparisonOptions options;
  options.verdict.after = choices.is_dry ? Dryness::dry : Dryness::not_logged;
  if (choices.compare_pairs.size() >= k_least_pairs)
    options.alignment.by_hand = choices.compare_pairs;
  const SurveyedPhoto first{before->photo, before->survey}, second{after, survey};
  auto comparison = std::make_shared<const Comparison>(
      before->layout ? comparison_of(first, second, *before->layout, options, work.part(0, 0.8))
                     : comparison_of(first, second, options, work.part(0, 0.8)));
  ComparedPictures pair;
  pair.before = before->pyramid;
  pair.after = std::make_shared<const Pyramid>(
      pyramid_of(aligned_after(after.bgr, comparison->alignment, before->photo.size_px(),
                               &comparison->harmony),
                 Reduce::mean, work.part(0.8, 0.95)));
  pair.classes = std::make_shared<const Pyramid>(pyramid_of(comparison->classes, Reduce::nonzero));
  pair.comparison = std::move(comparison);
  return pair;
}

}  // namespace

void Desk::run(const CompareWith& a) {
  if (!document_) return;
  Document d = *document_;
  if (d.compared_with_sha256 != a.photo_sha256) d.compare_pairs.clear();  // of another photo
  d.compared_with_sha256 = a.photo_sha256;
  change(std::move(d),
         a.photo_sha256.empty() ? "Compare with none" : "Compare with a photo before");
}

void Desk::run(const SetDry& a) {
  if (!document_) return;
  Document d = *document_;
  d.is_dry = a.is_dry;
  change(std::move(d), a.is_dry ? "The board is dry" : "The board is not logged dry");
}

void Desk::run(const SetPairs& a) {
  if (!document_) return;
  Document d = *document_;
  d.compare_pairs = a.pairs;
  change(std::move(d), a.label);
}

// What the earlier photo's own work says; where it says nothing, this one's size, side and layout.
Document Desk::earlier_document() const {
  Document d;
  d.photo_name = "the photo before";
  d.scale.side = document_->scale.side;
  for (const Intake::BoardRow& board : intake_.boards)
    for (const Intake::PhotoRow& row : board.photos)
      if (row.photo.sha256 == document_->compared_with_sha256) {
        if (!row.work.empty()) d = document_from(book_.get(row.work).body);
        d.photo_name = row.photo.name;
      }
  d.photo_sha256 = document_->compared_with_sha256;
  if (!d.scale.board_mm && !d.scale.distance_mm) d.scale.board_mm = document_->scale.board_mm;
  if (d.layout_sha256.empty()) d.layout_sha256 = document_->layout_sha256;
  if (!d.layout_sha256.empty()) {
    const Bytes text = book_.file(d.layout_sha256);
    d.layout = std::make_shared<const Layout>(layout_from_json(
        {reinterpret_cast<const char*>(text.data()), text.size()}, "the kept layout"));
  }
  return d;
}

void Desk::start_comparison() {
  jobs_.cancel("compare");
  jobs_.cancel("earlier");
  if (document_->compared_with_sha256.empty()) {
    derived_.compared.reset();
    derived_.earlier.reset();
    return;
  }
  if (!survey_is_current()) return;  // it is started again when the survey is
  const Document before = earlier_document();
  if (derived_.earlier && derived_.earlier->document == before) return compare_with_earlier();
  derived_.compared.reset();
  load_earlier(before);
}

// It stays when the two cannot be aligned, so that pairs can be set by hand.
void Desk::load_earlier(const Document& before) {
  jobs_.start(
      "earlier", "Surveying " + before.photo_name,
      [this, before, photo = derived_.photo, detector = options_.detector,
       photos = options_.job_book / "photos", decode = options_.decode](const Work& work) -> Apply {
        std::shared_ptr<EarlierPhoto> earlier =
            earlier_photo(before, PhotoStore(photos), *detector, decode, work);
        earlier->document = before;
        return [this, photo, earlier] {
          if (derived_.photo != photo ||
              document_->compared_with_sha256 != earlier->document.photo_sha256)
            return;
          derived_.earlier = earlier;
          derived_.earlier_revision = next_revision_++;
          start_comparison();
        };
      });
}

void Desk::compare_with_earlier() {
  const std::string name = derived_.earlier->document.photo_name;
  jobs_.start("compare", "Comparing with " + name,
              [this, earlier = derived_.earlier, after = derived_.photo, survey = derived_.survey,
               choices = *document_, name](const Work& work) -> Apply {
                ComparedPictures pair = compared(earlier, *after, *survey, choices, work);
                pair.before_name = name;
                return [this, pair, earlier, survey]() mutable {
                  if (derived_.survey != survey || derived_.earlier != earlier) return;
                  pair.revision = next_revision_++;
                  derived_.compared = std::move(pair);
                };
              });
}

void Desk::run(const SaveComparison&) {
  if (!document_ || !derived_.compared || !derived_.earlier)
    return say("There is no comparison to save yet: choose a photo before, and wait for it.");
  if (is_being_saved("save comparison", derived_.compared->comparison)) return;
  const fs::path folder = options_.job_book / "comparisons" /
                          fmt::format("{} with {}", fs::path(document_->photo_name).stem().string(),
                                      fs::path(derived_.compared->before_name).stem().string());
  jobs_.start("save comparison", "Saving the comparison",
              [this, folder, earlier = derived_.earlier, after = derived_.photo,
               comparison = derived_.compared->comparison](const Work& work) -> Apply {
                std::error_code code;
                fs::create_directories(folder.parent_path(), code);
                auto whole = std::make_shared<NewFolder>(folder, comparison_file_names());
                std::vector<NamedBytes> pictures;
                pictures.push_back(
                    {"overlay.jpg", jpeg_bytes(change_overlay(earlier->photo, *after, *comparison,
                                                              {}, work.part(0, 0.5)))});
                pictures.push_back({"side-by-side.jpg",
                                    jpeg_bytes(side_by_side(earlier->photo, *after, *comparison, {},
                                                            work.part(0.5, 1)))});
                write_comparison(whole->path(), comparison_files(*comparison, std::move(pictures)));
                return [this, whole, folder] {
                  whole->commit();
                  say("Comparison saved: " + folder.string());
                };
              });
}

}  // namespace verdigrid
