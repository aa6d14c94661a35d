// The fields of compare.json, each named once; used inside this folder.
#pragma once

#include <array>

#include "compare/comparison.h"
#include "compare/json_visit.h"

namespace verdigrid {

inline constexpr std::array k_matches{Match::same,       Match::differs,  Match::revision,
                                      Match::other_side, Match::mirrored, Match::wrong_board};
inline constexpr std::array k_change_classes{
    ChangeClass::none,         ChangeClass::removed,        ChangeClass::remaining,
    ChangeClass::fresh,        ChangeClass::uncertain_gone, ChangeClass::uncertain_new,
    ChangeClass::part_changed, ChangeClass::not_compared};
inline constexpr std::array k_dryness{Dryness::not_logged, Dryness::dry};
inline constexpr std::array k_part_changes{PartChangeKind::missing, PartChangeKind::fitted,
                                           PartChangeKind::replaced, PartChangeKind::turned};
inline constexpr std::array k_all_residues{
    Residue::none, Residue::copper_salt,    Residue::leak_film,    Residue::white_salt,
    Residue::rust, Residue::attacked_joint, Residue::eaten_copper, Residue::unsure};

template <class F>
void size_field(F& f, const char* key, cv::Size& v) {
  std::array<double, 2> all{static_cast<double>(v.width), static_cast<double>(v.height)};
  f.numbers(key, all.data(), all.size());
  v = {cv::saturate_cast<int>(all[0]), cv::saturate_cast<int>(all[1])};
}
template <class F>
void point_field(F& f, const char* key, cv::Point2d& v) {
  std::array<double, 2> all{v.x, v.y};
  f.numbers(key, all.data(), all.size());
  v = {all[0], all[1]};
}
template <class F>
void box_field(F& f, const char* key, cv::Rect& v) {
  std::array<double, 4> all{double(v.x), double(v.y), double(v.width), double(v.height)};
  f.numbers(key, all.data(), all.size());
  v = {cv::saturate_cast<int>(all[0]), cv::saturate_cast<int>(all[1]),
       cv::saturate_cast<int>(all[2]), cv::saturate_cast<int>(all[3])};
}

template <class F>
void visit(F& f, Interval& v) {
  f.number("value", v.value);
  f.number("low", v.low);
  f.number("high", v.high);
}
template <class F>
void visit(F& f, PointPair& v) {
  point_field(f, "before_px", v.first_px);
  point_field(f, "after_px", v.second_px);
  f.number("weight", v.weight);
}
template <class F>
void visit(F& f, RegistrationOptions& v) {
  f.whole("working_long_side_px", v.working_long_side_px);
  f.whole("feature_count", v.feature_count);
  f.number("ratio", v.ratio);
  f.number("feature_tolerance_px", v.feature_tolerance_px);
  f.number("least_strength", v.least_strength);
  f.whole("seed", v.seed);
}
template <class F>
void visit(F& f, AlignmentOptions& v) {
  f.object("registration", v.registration);
  f.whole("fine_long_side_px", v.fine_long_side_px);
  f.whole("patch_px", v.patch_px);
  f.whole("patches", v.patches);
  f.number("plane_px", v.plane_px);
  f.number("least_score", v.least_score);
  f.list("by_hand", v.by_hand);
}
template <class F>
void visit(F& f, LookChangeOptions& v) {
  f.whole("long_side_px", v.long_side_px);
  f.number("least_difference", v.least_difference);
  f.number("noise_factor", v.noise_factor);
  f.whole("slack_px", v.slack_px);
}
template <class F>
void visit(F& f, ChangeMapOptions& v) {
  f.number("border_px", v.border_px);
  f.whole("least_px", v.least_px);
  f.number("sure_drop", v.sure_drop);
  f.number("evidence_mm", v.evidence_mm);
  f.number("evidence_share", v.evidence_share);
}
template <class F>
void visit(F& f, PartChangeOptions& v) {
  f.number("patch_mm", v.patch_mm);
  f.number("search_mm", v.search_mm);
  f.number("least_part_mm", v.least_part_mm);
  f.number("unlike_score", v.unlike_score);
  f.number("turned_score", v.turned_score);
  f.number("differing_share", v.differing_share);
  f.number("residue_share", v.residue_share);
}
template <class F>
void visit(F& f, VerdictOptions& v) {
  f.word("after", v.after, k_dryness);
  f.number("least_area_mm2", v.least_area_mm2);
  f.number("least_change_mm2", v.least_change_mm2);
  f.number("least_change_share", v.least_change_share);
  f.number("least_shown_share", v.least_shown_share);
}
template <class F>
void visit(F& f, ComparisonOptions& v) {
  f.object("alignment", v.alignment);
  f.object("look", v.look);
  f.object("map", v.map);
  f.object("parts", v.parts);
  f.object("verdict", v.verdict);
  f.number("removed_share", v.removed_share);
  f.number("uncertain_share", v.uncertain_share);
  f.number("least_change_mm2", v.least_change_mm2);
  f.whole("least_change_px", v.least_change_px);
}
template <class F>
void visit(F& f, ComparedPhoto& v) {
  f.text("name", v.name);
  f.text("sha256", v.sha256);
  size_field(f, "size_px", v.size_px);
  f.text("captured_at", v.captured_at);
  f.text("detector", v.detector);
}
template <class F>
void visit(F& f, PlainLens& v) {
  point_field(f, "centre_px", v.centre_px);
  f.number("unit_px", v.unit_px);
  f.numbers("k", v.k.data(), v.k.size());
}
template <class F>
void visit(F& f, PlaneMap& v) {
  f.object("lens_before", v.first);
  f.object("lens_after", v.second);
  f.numbers("homography", v.second_from_first.val, 9);
}
template <class F>
void visit(F& f, TallPatch& v) {
  point_field(f, "before_px", v.before_px);
  point_field(f, "offset_px", v.offset_px);
}
template <class F>
void visit(F& f, Alignment& v) {
  f.object("after_from_before", v.after_from_before);
  f.truth("by_hand", v.is_by_hand);
  f.word("match", v.match, k_matches);
  f.number("turn_deg", v.turn_deg);
  f.number("scale", v.scale);
  f.number("agreeing_share", v.agreeing_share);
  f.object("rms_after_px", v.rms_after_px);
  f.object("rms_board", v.rms_board);
  f.number("worst_board", v.worst_board);
  f.number("patch_px", v.patch_px);
  f.texts("remarks", v.remarks);
}
template <class F>
void visit(F& f, Harmony& v) {
  f.numbers("blue", v.terms[0].data(), v.terms[0].size());
  f.numbers("green", v.terms[1].data(), v.terms[1].size());
  f.numbers("red", v.terms[2].data(), v.terms[2].size());
  f.number("rest_lab", v.rest_lab);
}
template <class F>
void visit(F& f, ChangeRow& v) {
  f.text("name", v.name);
  f.number("area", v.area);
  f.number("compared_percent", v.compared_percent);
  f.object("before", v.before);
  f.object("after", v.after);
  f.object("removed", v.removed);
  f.maybe("removed_percent", v.removed_percent);
  f.object("new", v.fresh);
  f.number("uncertain_gone", v.uncertain_gone);
  f.number("uncertain_new", v.uncertain_new);
  f.number("part_changed", v.part_changed);
  f.word("verdict", v.verdict, k_change_verdicts);
}
template <class F>
void visit(F& f, Grid& v) {
  std::array<double, 4> frame{v.frame.x, v.frame.y, v.frame.width, v.frame.height};
  f.numbers("frame", frame.data(), frame.size());
  v.frame = {frame[0], frame[1], frame[2], frame[3]};
  f.whole("columns", v.columns);
  f.whole("rows", v.rows);
}
template <class F>
void visit(F& f, PartChange& v) {
  f.text("part", v.designator);
  f.word("kind", v.kind, k_part_changes);
  f.points("region_px", v.region_px.outer);
  point_field(f, "centre_px", v.centre_px);
  f.number("area", v.area);
}
template <class F>
void visit(F& f, ChangeItem& v) {
  f.whole("id", v.id);
  f.word("what", v.what, k_change_classes);
  f.word("residue", v.residue, k_all_residues);
  f.whole("finding_before", v.finding_before);
  f.whole("finding_after", v.finding_after);
  box_field(f, "box_px", v.box_px);
  point_field(f, "centre_px", v.centre_px);
  f.text("square", v.square);
  f.number("area", v.area);
  f.number("removed_percent", v.removed_percent);
  f.text("part", v.part);
}
template <class F>
void visit(F& f, LayoutName& v) {
  f.text("board_type", v.board_type);
  f.text("revision", v.revision);
}
template <class F>
void visit(F& f, PictureName& v) {
  f.text("file", v.file);
  f.text("sha256", v.sha256);
}

// Everything of a comparison but its pixels and its rectification.
template <class F>
void visit(F& f, Comparison& v) {
  f.text("program_version", v.program_version);
  f.object("before", v.before);
  f.object("after", v.after);
  f.object("options", v.options);
  f.object("alignment", v.alignment);
  f.list("tall", v.alignment.tall);
  f.object("harmony", v.harmony);
  f.truth("has_mm", v.table.has_mm);
  f.object("grid", v.table.grid);
  f.object("board", v.table.total);
  f.list("squares", v.table.squares);
  f.maybe("layout", v.layout);
  f.list("zones", v.table.zones);
  f.list("parts", v.table.parts);
  f.list("part_changes", v.part_changes);
  f.list("changes", v.changes);
  f.texts("remarks", v.remarks);
}

}  // namespace verdigrid
