#include "desk/reviewed_sides.h"

#include <algorithm>

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

// A survey that was saved with its review has the first of the decisions in its map: what was
// decided since then goes on top.
struct Decisions {
  std::vector<Answer> answers;
  std::vector<MapEdit> edits;
};
Decisions decisions_since(const Document& d, const ReviewCounts& taken) {
  const auto after = [](const auto& list, int count) {
    return std::vector(list.begin() + std::min(count, static_cast<int>(list.size())), list.end());
  };
  Decisions out{after(d.answers, taken.answers), after(d.edits, taken.edits)};
  for (MapEdit& e : out.edits) e.after_answers = std::max(0, e.after_answers - taken.answers);
  return out;
}

Survey reviewed(const JobBook& book, const std::string& photo, Survey survey, const Layout* layout,
                const Work& work) {
  const std::optional<Document> d = decisions_about(book, photo);
  if (!d) return survey;
  const auto [answers, edits] = decisions_since(*d, survey.review.value_or(ReviewCounts{}));
  if (answers.empty() && edits.empty()) return survey;
  const Photo pixels = decode_photo(book.file(d->photo_sha256), d->photo_name);
  const LookBase base = look_base(pixels, survey.rectification, survey.map, work);
  return reviewed_survey(pixels, survey, base, answers, edits, survey.layout ? layout : nullptr,
                         work)
      .survey;
}

SideFacts facts_of(const JobBook& book, const KeptSide& kept, const Layout* layout,
                   double least_confidence, const Work& work) {
  work.check();
  SideFacts facts =
      side_facts(reviewed(book, kept.photo, kept_survey(book, kept.survey), layout, work), layout,
                 least_confidence);
  facts.side = kept.side;
  return facts;
}

}  // namespace

std::vector<SideFacts> reviewed_sides(const JobBook& book, const std::string& board,
                                      double least_confidence, const Work& work) {
  const std::optional<Layout> layout = layout_of(book, board);
  const std::vector<KeptSide> kept = surveys_on_arrival(book, board);
  if (kept.empty()) return surveyed_sides(book, board);  // which says what to do
  std::vector<SideFacts> sides;
  for (const KeptSide& s : kept)
    sides.push_back(facts_of(book, s, layout ? &*layout : nullptr, least_confidence, work));
  return sides;
}

std::optional<SideFacts> reviewed_side(const JobBook& book, const std::string& board, Side side,
                                       double least_confidence, const Work& work) {
  const std::optional<Layout> layout = layout_of(book, board);
  for (const KeptSide& s : surveys_on_arrival(book, board))
    if (s.side == side)
      return facts_of(book, s, layout ? &*layout : nullptr, least_confidence, work);
  return std::nullopt;
}

}  // namespace verdigrid
