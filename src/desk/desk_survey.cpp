// The desk's computing: straighten, survey, take answers and edits in, show.

#include <fmt/format.h>

#include <algorithm>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "base/files.h"
#include "desk/desk.h"
#include "desk/layout_way.h"
#include "detect/review.h"
#include "jobbook/survey_record.h"
#include "layout/layout_json.h"
#include "measure/survey_file.h"
#include "photo/encode.h"
#include "report/bench_sheet.h"
#include "report/document_html.h"
#include "report/document_pdf.h"
#include "report/overlay.h"
#include "report/places_sheet.h"
#include "report/unit_report.h"

namespace verdigrid {

namespace fs = std::filesystem;

namespace {

// The layout as it lies on the photo, beside the survey that was measured with it.
constexpr const char* k_layout_file = "board.layout.json";

cv::Mat hidden_full_size(const PhotoCheck& check, cv::Size photo_px) {
  cv::Mat seen, full;
  cv::Mat(check.hidden != 0).convertTo(seen, CV_8UC1);
  cv::resize(seen, full, photo_px, 0, 0, cv::INTER_NEAREST);
  return full;
}

// What measuring needs of the document and is not in the automatic survey.
Survey with_peeks(const Survey& survey, const Document& d) {
  Survey s = survey;
  s.options.measure.peeked = d.peeks;
  return s;
}

}  // namespace

void Desk::start_survey() {
  jobs_.cancel("look");
  // What is shown stays until the new survey is there, but nothing more is taken into it.
  derived_.taken.reset();
  derived_.look_base.reset();
  jobs_.start(
      "survey", "Surveying " + document_->photo_name,
      [this, photo = derived_.photo, document = *document_, detector = options_.detector,
       photos = options_.job_book / "photos", decode = options_.decode](const Work& work) -> Apply {
        LaidLayout laid =
            laid_out(*photo, document, PhotoStore(photos), decode, work.part(0, 0.25));
        auto rectification = std::make_shared<const Rectification>(std::move(laid.rectification));
        SurveyOptions options;
        options.detector.setting = document.setting;
        auto survey = std::make_shared<const Survey>(
            survey_of(*photo, *rectification, *detector, options, work.part(0.25, 0.7)));
        auto base = std::make_shared<const LookBase>(
            look_base(*photo, *rectification, survey->map, work.part(0.7, 0.95)));
        auto unseen = std::make_shared<const Pyramid>(
            pyramid_of(hidden_full_size(survey->check, photo->size_px()), Reduce::larger));
        Shown shown = shown_of(survey);
        return [this, photo, rectification, survey, base, unseen, shown, laid,
                layout_sha256 = document.layout_sha256] {
          if (derived_.photo != photo) return;
          derived_.rectification = rectification;
          derived_.automatic = survey;
          derived_.look_base = base;
          derived_.look.reset();
          derived_.taken.reset();
          derived_.unseen = unseen;
          derived_.layout = laid.layout;
          derived_.layout_words = laid.words;
          // Begun, taken away or brought back while this was computed.
          if (document_->layout_sha256 != layout_sha256) lay_again();
          show(shown, 0);
          start_look();
        };
      });
}

// The review so far and the layout, taken in: the places that are left, and every area.
void Desk::start_look() {
  if (!derived_.look_base) {
    if (derived_.photo && !jobs_.is_pending("survey")) start_survey();  // it was cancelled
    return;
  }
  jobs_.start("look", "Taking the review in",
              [this, photo = derived_.photo, survey = derived_.automatic, base = derived_.look_base,
               layout = derived_.layout, document = *document_](const Work& work) -> Apply {
                ReviewedSurvey reviewed =
                    reviewed_survey(*photo, with_peeks(*survey, document), *base, document.answers,
                                    document.edits, layout.get(), work);
                auto look = std::make_shared<const Look>(std::move(reviewed.look));
                Shown shown = shown_of(std::make_shared<const Survey>(std::move(reviewed.survey)));
                return [this, base, look, shown, document, n = document.answers.size()] {
                  if (derived_.look_base != base) return;
                  derived_.look = look;
                  show(shown, n);
                  derived_.taken = document;
                  start_comparison();
                };
              });
}

// Everything that areas are computed from; notes and the battery are not.
bool Desk::survey_is_current() const {
  if (!document_ || !derived_.survey || !derived_.taken) return false;
  const auto figures_of = [](const Document& d) {
    Document figures = d;
    figures.notes.clear();
    figures.next_note_id = 1;
    figures.battery_in = Answer3::unknown;
    figures.compared_with_sha256.clear();
    figures.compare_pairs.clear();
    figures.is_dry = false;
    return figures;
  };
  return figures_of(*derived_.taken) == figures_of(*document_);
}

void Desk::show(const Shown& shown, size_t answers_taken) {
  derived_.survey = shown.survey;
  derived_.labels = shown.labels;
  derived_.confidence = shown.confidence;
  derived_.answers_taken = answers_taken;
  derived_.survey_revision = next_revision_++;
}

Desk::Shown Desk::shown_of(std::shared_ptr<const Survey> survey) {
  auto labels = std::make_shared<const Pyramid>(pyramid_of(survey->map.labels, Reduce::nonzero));
  auto confidence =
      std::make_shared<const Pyramid>(pyramid_of(survey->map.confidence, Reduce::larger));
  return {std::move(survey), std::move(labels), std::move(confidence)};
}

bool Desk::is_being_saved(const std::string& kind, const std::shared_ptr<const void>& what) {
  const bool is = jobs_.is_pending(kind) && being_saved_[kind].lock() == what;
  being_saved_[kind] = what;
  return is;
}

void Desk::run(const SaveSurvey&) {
  if (!survey_is_current())
    return say("The last change is still being taken in: save the survey in a moment.");
  if (is_being_saved("save survey", derived_.survey)) return;
  const std::string photo_id = book_.get(open_.work).parent.value_or("");
  const fs::path folder = options_.job_book / "surveys" / fs::path(document_->photo_name).stem();
  jobs_.start(
      "save survey", "Saving the survey",
      [this, photo = derived_.photo, survey = derived_.survey, base = derived_.look_base,
       layout = derived_.layout, d = *document_, folder, photo_id](const Work& work) -> Apply {
        std::error_code code;
        fs::create_directories(folder.parent_path(), code);
        std::vector<std::string> names = survey_file_names();
        names.push_back("review.json");
        names.push_back(k_layout_file);
        auto whole = std::make_shared<NewFolder>(folder, names);
        std::vector<NamedBytes> pictures;
        pictures.push_back(
            {"overlay.jpg", jpeg_bytes(overlay_picture(*photo, *survey, {}, work.part(0, 0.2)))});
        pictures.push_back(
            {"places.jpg", jpeg_bytes(places_sheet(*photo, *survey, {}, work.part(0.2, 0.4)))});
        const SurveyFiles shown = survey_files(*survey, std::move(pictures));
        auto files = std::make_shared<const SurveyFiles>(survey_files(*survey));
        work.check();
        write_survey(whole->path(), shown);
        save_review(whole->path() / "review.json",
                    review_of(*photo, survey->detector_id, *base, d.answers, d.edits));
        if (layout) save_layout(whole->path() / k_layout_file, *layout);
        // Put in place where results are applied: a save that a later one overtook never is.
        return [this, whole, folder, survey, files, photo_id] {
          whole->commit();
          keep_survey(book_, photo_id, *survey, *files);
          say("Survey and review saved: " + folder.string());
        };
      });
}

void Desk::run(const SaveBenchSheet&) {
  if (!document_ || !derived_.survey)
    return say("The survey is not ready yet: ask for the bench sheet in a moment.");
  const std::string other = document_->scale.side == Side::front ? "back" : "front";
  BenchFacts facts{name(document_->battery_in), lock_.state.headline, {}};
  for (const std::string& what : {other, std::string("under chips and sockets")})
    if (std::find(document_->peeks.begin(), document_->peeks.end(), what) == document_->peeks.end())
      facts.unseen.push_back(what);
  const fs::path sheet = options_.job_book / "sheets" /
                         (fs::path(document_->photo_name).stem().string() + " bench sheet.pdf");
  jobs_.start(
      "sheet", "Making the bench sheet",
      [this, photo = derived_.photo, survey = derived_.survey, facts, sheet](const Work&) -> Apply {
        const Bytes pdf = bench_sheet_pdf(*photo, *survey, facts);
        std::error_code code;
        fs::create_directories(sheet.parent_path(), code);
        write_file(sheet, pdf);
        return [this, sheet] { say("Bench sheet saved: " + sheet.string()); };
      });
}

void Desk::run(const SaveReport& a) {
  if (!document_ || !derived_.survey)
    return say("The survey is not ready yet: ask for the report in a moment.");
  if (a.of == ReportOf::survey && !survey_is_current())
    return say("The last change is still being taken in: ask for the report in a moment.");
  std::string name = a.of == ReportOf::unit ? "unit " + intake_.unit.name
                                            : fs::path(document_->photo_name).stem().string();
  std::replace(name.begin(), name.end(), '/', '-');
  const fs::path path = options_.job_book / "reports" / (name + ".html");
  jobs_.start("report", "Writing the report",
              [this, a, path, photo = derived_.photo, survey = derived_.survey, unit = open_.unit,
               book = options_.job_book, options = options_.book](const Work& work) -> Apply {
                const ReportDocument document =
                    a.of == ReportOf::unit
                        ? unit_report(JobBook::open(book, options, Open::read_only), unit, {},
                                      OwnerName::leave_out, work)
                        : survey_report(*survey, photo.get(), {}, work);
                std::error_code code;
                fs::create_directories(path.parent_path(), code);
                fs::path pdf = path;
                write_file(pdf.replace_extension(".pdf"), document_pdf(document));
                write_file(path, document_html(document));
                return [this, path] { say("Report saved, as PDF too: " + path.string()); };
              });
}

}  // namespace verdigrid
