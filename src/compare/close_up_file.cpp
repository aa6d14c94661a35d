#include "compare/close_up_file.h"

#include "base/error.h"
#include "base/json_parts.h"
#include "compare/comparison_visit.h"

namespace verdigrid {

// JsonWriter and JsonReader find these beside the types.
template <class F>
void visit(F& f, CloseUpPlace& v) {
  f.numbers("photo_from_close_up", v.photo_from_close_up.val, 9);
  f.points("outline_px", v.outline_px);
  f.number("scale", v.scale);
  f.maybe("scale_range", v.scale_range);
  f.number("turn_deg", v.turn_deg);
  f.truth("by_hand", v.is_by_hand);
  f.number("agreeing_share", v.agreeing_share);
  f.object("rms_px", v.rms_px);
}

template <class F>
void visit(F& f, FindingOfCloseUp& v) {
  f.whole("finding", v.finding);
}

template <class F>
void visit(F& f, FinerFinding& v) {
  f.whole("finding", v.finding);
  f.word("class", v.residue, k_all_residues);
  f.word("finer_class", v.finer_residue, k_all_residues);
  f.number("seen_percent", v.seen_percent);
  f.number("area", v.area);
  f.object("finer_area", v.finer_area);
  f.list("close_up_findings", v.close_up_findings);
  box_field(f, "box_px", v.box_px);
  f.text("square", v.square);
}

template <class F>
void visit(F& f, PlacedCloseUp& v) {
  f.text("program_version", v.program_version);
  f.object("photo", v.photo);
  f.object("close_up", v.close_up);
  f.object("place", v.place);
  f.truth("has_mm", v.has_mm);
  f.list("findings", v.findings);
  f.texts("remarks", v.remarks);
}

namespace {

ComparedPhoto named(const SurveyedPhoto& p) {
  return {p.survey.photo.name, p.survey.photo.sha256, p.survey.photo_size_px,
          p.survey.photo.captured_at.value_or(""), p.survey.detector_id};
}

}  // namespace

PlacedCloseUp close_up_of(const SurveyedPhoto& photo, const SurveyedPhoto& close_up,
                          const CloseUpAnswer& answer) {
  require(answer.place.has_value(), "a close-up is kept only where it was placed");
  PlacedCloseUp out;
  out.program_version = verdigrid::program_version();
  out.photo = named(photo);
  out.close_up = named(close_up);
  out.place = *answer.place;
  out.has_mm = photo.survey.rectification.has_scale();
  out.findings = finer_findings(photo.survey, close_up.survey, *answer.place);
  out.remarks = answer.remarks;
  return out;
}

std::string close_up_json(const PlacedCloseUp& close_up) {
  PlacedCloseUp c = close_up;  // a visitor may write
  JsonWriter writer;
  writer.json()["format"] = "verdigrid-close-up";
  writer.json()["version"] = k_close_up_version;
  visit(writer, c);
  return json_lines(writer.json());
}

PlacedCloseUp close_up_from_json(std::string_view text, const std::string& where) {
  const nlohmann::json j = checked_json(text, where, "verdigrid-close-up", k_close_up_version);
  JsonReader reader{JsonFields(j, "", where)};
  reader.fields().allow("format");
  reader.fields().allow("version");
  PlacedCloseUp c;
  visit(reader, c);
  reader.fields().finish();
  c.place.photo_size_px = c.photo.size_px;
  c.place.close_up_size_px = c.close_up.size_px;
  if (c.place.outline_px.size() != 4)
    throw Error(ErrorKind::bad_input, where + ": place.outline_px: must have four points.");
  return c;
}

}  // namespace verdigrid
