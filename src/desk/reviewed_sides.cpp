#include "desk/reviewed_sides.h"

#include "desk/document.h"
#include "jobbook/plan_record.h"
#include "jobbook/survey_record.h"
#include "photo/decode.h"

namespace verdigrid {

namespace {

// What was decided about the photo at the window; empty: nothing, or nobody opened it.
std::optional<Document> decisions_about(const JobBook& book, const std::string& photo) {
  const auto works = book.children(photo, "work");
  if (works.empty()) return std::nullopt;
  Document d = document_from(works.back().body);
  if (d.answers.empty() && d.edits.empty()) return std::nullopt;
  return d;
}

Survey reviewed(const JobBook& book, const std::string& photo, Survey survey, const Layout* layout,
                const Work& work) {
  const std::optional<Document> d = decisions_about(book, photo);
  if (!d || survey.review) return survey;
  const Photo pixels = decode_photo(book.file(d->photo_sha256), d->photo_name);
  const LookBase base = look_base(pixels, survey.rectification, survey.map, work);
  return reviewed_survey(pixels, survey, base, d->answers, d->edits,
                         survey.layout ? layout : nullptr, work)
      .survey;
}

}  // namespace

std::vector<SideFacts> reviewed_sides(const JobBook& book, const std::string& board,
                                      double least_confidence, const Work& work) {
  const std::optional<Layout> layout = layout_of(book, board);
  const std::vector<KeptSide> kept = surveys_on_arrival(book, board);
  if (kept.empty()) return surveyed_sides(book, board);  // which says what to do
  const Layout* given = layout ? &*layout : nullptr;
  std::vector<SideFacts> sides;
  for (const KeptSide& s : kept) {
    work.check();
    sides.push_back(side_facts(reviewed(book, s.photo, kept_survey(book, s.survey), given, work),
                               given, least_confidence));
    sides.back().side = s.side;
  }
  return sides;
}

}  // namespace verdigrid
