// The desk's review: answers of the guided look and changes of the residue map by hand.

#include <fmt/format.h>

#include <algorithm>

#include "base/error.h"
#include "desk/desk.h"

namespace verdigrid {

namespace {

// A pixel of the finding: merges and splits are told by pixels, since ids change.
std::optional<cv::Point2d> pixel_of(const Findings& all, const Finding& f) {
  for (int y = f.box_px.y; y < f.box_px.br().y; ++y) {
    const auto* row = all.finding_of_px.ptr<std::uint16_t>(y);
    for (int x = f.box_px.x; x < f.box_px.br().x; ++x)
      if (row[x] == f.id) return cv::Point2d(x, y);
  }
  return std::nullopt;
}

}  // namespace

void Desk::run(const GiveAnswer& a) {
  Document d = *document_;
  d.answers.push_back(a.answer);
  change(std::move(d), fmt::format("Answer: {}", name(a.answer.kind)));
}

void Desk::run(const PointAt& a) {
  if (!derived_.look_base)
    return say("The survey is not ready yet: point at it again in a moment.");
  Answer answer{pointed_region(*derived_.look_base, a.stroke_px), AnswerKind::yes, Asked::pointed,
                a.residue};
  if (answer.region_px.empty()) return say("Nothing lies there: point at a place on the board.");
  run(GiveAnswer{std::move(answer)});
}

void Desk::edit(MapEdit e, std::string label) {
  e.after_answers = static_cast<int>(document_->answers.size());
  check(e);
  Document d = *document_;
  d.edits.push_back(std::move(e));
  change(std::move(d), std::move(label));
}

const Finding* Desk::finding(int id) {
  if (derived_.survey)
    for (const Finding& f : derived_.survey->findings.findings)
      if (f.id == id) return &f;
  say("That finding is not there any more: choose one of the list.");
  return nullptr;
}

void Desk::run(const JudgeFinding& a) {
  const Finding* f = finding(a.id);
  if (!f) return;
  MapEdit e;
  e.kind = a.kind;
  e.region_px = f->regions_px;
  e.residue = a.residue;
  const std::string label =
      a.kind == EditKind::accept ? fmt::format("Accept finding {}", a.id)
      : a.kind == EditKind::dismiss
          ? fmt::format("Dismiss finding {}", a.id)
          : fmt::format("Finding {} is {}", a.id, name(a.residue.value_or(Residue::unsure)));
  edit(std::move(e), label);
}

void Desk::run(const MergeFindings& a) {
  const Finding *first = finding(a.id), *second = finding(a.with_id);
  if (!first || !second || first == second) return;
  const Findings& all = derived_.survey->findings;
  const auto p = pixel_of(all, *first), q = pixel_of(all, *second);
  if (!p || !q) return;
  MapEdit e;
  e.kind = EditKind::merge;
  e.line_px = {*p, *q};
  edit(std::move(e), fmt::format("Merge findings {} and {}", a.id, a.with_id));
}

void Desk::run(const SplitFinding& a) {
  MapEdit e;
  e.kind = EditKind::split;
  e.line_px = {a.a_px, a.b_px};
  edit(std::move(e), "Split along a line");
}

void Desk::run(const BrushResidue& a) {
  if (!derived_.photo || a.stroke_px.empty()) return;
  MapEdit e;
  e.kind = a.kind;
  e.region_px = brushed_region(a.stroke_px, a.radius_px, derived_.photo->size_px());
  if (e.region_px.empty()) return say("That stroke lies beside the photo: draw on the board.");
  if (a.kind == EditKind::draw) e.residue = a.residue;
  edit(std::move(e),
       a.kind == EditKind::draw ? fmt::format("Brush {}", name(a.residue)) : "Erase residue");
}

void Desk::run(const DrawResidue& a) {
  MapEdit e;
  e.kind = EditKind::draw;
  e.region_px = {Polygon{clockwise(a.outline_px), {}}};
  e.residue = a.residue;
  edit(std::move(e), fmt::format("Draw {}", name(a.residue)));
}

void Desk::run(const TakeEditBack& a) {
  if (a.index >= document_->edits.size()) return;
  Document d = *document_;
  const std::string label = fmt::format("Take back: {}", name(d.edits[a.index].kind));
  d.edits.erase(d.edits.begin() + static_cast<std::ptrdiff_t>(a.index));
  change(std::move(d), label);
}

}  // namespace verdigrid
