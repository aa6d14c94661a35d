#include "report/unit_change.h"

#include <fmt/format.h>

#include <algorithm>

#include "jobbook/bench_record.h"
#include "jobbook/entities.h"
#include "jobbook/side_pair.h"
#include "jobbook/survey_record.h"
#include "photo/decode.h"
#include "plan/wash_log.h"
#include "report/change_section.h"

namespace verdigrid {

namespace {

struct KeptLook {
  Photo photo;
  Survey survey;
  std::string day;  // on which the photo was taken, else kept
};

std::optional<KeptLook> kept_look(const JobBook& book, const std::string& photo) {
  const auto surveys = book.children(photo, "survey");
  if (surveys.empty()) return std::nullopt;
  const Record record = book.get(photo);
  const KeptPhoto kept = kept_photo_from(record.body);
  const std::string& taken = kept.captured_at.empty() ? record.made_at : kept.captured_at;
  return KeptLook{decode_photo(book.file(kept.sha256), kept.name),
                  kept_survey(book, surveys.back().id), taken.substr(0, 10)};
}

Section said(Section section, std::string sentence) {
  section.blocks.emplace_back(Paragraph{std::move(sentence), Emphasis::strong});
  return section;
}

}  // namespace

Dryness dryness_on(const BenchLog& log, const std::string& day) {
  BenchLog until{log.board, {}};
  for (const BenchEntry& e : log.entries) {
    const std::string on = e.at.substr(0, 10);
    if (on == day && std::holds_alternative<Bath>(e.event)) return Dryness::not_logged;
    if (on < day) until.entries.push_back(e);
  }
  return wash_state(until).wetness == Wetness::dried ? Dryness::dry : Dryness::not_logged;
}

std::optional<Section> unit_change_section(const JobBook& book, const std::string& board,
                                           const std::string& board_name, Side side,
                                           ReportVersion version, const std::string& prefix,
                                           const Work& work) {
  const auto pair = side_pair_if_any(book, board, side);
  if (!pair) return std::nullopt;
  Section empty{
      prefix + "changes", fmt::format("{}, {} side: before and after", board_name, name(side)), {}};
  const auto before = kept_look(book, pair->before), after = kept_look(book, pair->after);
  if (!before || !after)
    return said(std::move(empty), fmt::format("Not compared: the photo {} was not surveyed.",
                                              before ? "after" : "before"));
  const SurveyedPhoto first{before->photo, before->survey}, second{after->photo, after->survey};
  ComparisonOptions options;
  options.verdict.after = dryness_on(bench_log_of(book, board), after->day);
  const auto reasons = reasons_not_aligned(first, second, options.alignment, work.part(0, 0.2));
  if (!reasons.empty()) {
    empty = said(std::move(empty), "Not compared: the two photos could not be aligned.");
    for (const std::string& reason : reasons) empty.blocks.emplace_back(Paragraph{reason});
    return empty;
  }
  const Comparison c = comparison_of(first, second, options, work.part(0.2, 0.8));
  Section s = change_section(c, before->photo, after->photo, version, prefix, work.part(0.8, 1));
  s.heading = empty.heading;
  return s;
}

}  // namespace verdigrid
