#include <cmath>
#include <nlohmann/json.hpp>

#include "base/json_parts.h"
#include "measure/survey_file.h"
#include "measure/survey_json.h"
#include "rectify/rectification_file.h"

namespace verdigrid {

namespace {

using Json = nlohmann::ordered_json;

Json list(const cv::Rect& r) { return {r.x, r.y, r.width, r.height}; }
Json list(const cv::Rect2d& r) { return {r.x, r.y, r.width, r.height}; }
Json list(cv::Size s) { return {s.width, s.height}; }
Json list(cv::Point2d p) { return {p.x, p.y}; }

Json list(const Ring& ring) {
  Json points = Json::array();
  for (const cv::Point2d p : ring) points.push_back(list(p));
  return points;
}

Json object(const Polygon& polygon) {
  Json holes = Json::array();
  for (const Ring& hole : polygon.holes) holes.push_back(list(hole));
  return {{"outer", list(polygon.outer)}, {"holes", holes}};
}

template <class T>
Json or_null(const std::optional<T>& value) {
  return value ? Json(*value) : Json();
}

// No limit and no figure are null: JSON has no infinity.
Json finite_or_null(double v) { return std::isfinite(v) ? Json(v) : Json(); }

Json object(const Interval& i) { return {{"value", i.value}, {"low", i.low}, {"high", i.high}}; }

Json photo_json(const Survey& s) {
  return {{"name", s.photo.name},
          {"sha256", s.photo.sha256},
          {"format", s.photo.format},
          {"size_px", list(s.photo_size_px)},
          {"stored_size_px", list(s.photo.stored_size_px)},
          {"exif_orientation", s.photo.exif_orientation},
          {"bits_per_channel", s.photo.bits_per_channel},
          {"icc_profile", or_null(s.photo.icc_profile)},
          {"captured_at", or_null(s.photo.captured_at)},
          {"camera", or_null(s.photo.camera)}};
}

Json label_errors_json(const LabelErrors& errors) {
  Json classes = Json::object();
  for (size_t i = 0; i < errors.size(); ++i)
    classes[i == 0 ? "affected" : std::string(name(static_cast<Residue>(i)))] = {
        {"log_bias", errors[i].log_bias},
        {"log_sd", errors[i].log_sd},
        {"missed_share", errors[i].missed_share},
        {"false_share", errors[i].false_share}};
  return classes;
}

Json options_json(const SurveyOptions& o) {
  return {{"detector", {{"setting", name(o.detector.setting)}}},
          {"findings",
           {{"least_area_mm2", o.findings.least_area_mm2},
            {"least_area_px", o.findings.least_area_px},
            {"merge_mm", o.findings.merge_mm},
            {"merge_of_diagonal", o.findings.merge_of_diagonal},
            {"tie", o.findings.tie},
            {"places_at_most", o.findings.places_at_most}}},
          {"check",
           {{"feature_mm", o.check.feature_mm},
            {"px_per_mm", or_null(o.check.px_per_mm)},
            {"tilt_deg", or_null(o.check.tilt_deg)},
            {"board_px", object(o.check.board_px)}}},
          {"measure",
           {{"label_edge_sd_px", o.measure.label_edge_sd_px},
            {"label_edge_correlation_px", o.measure.label_edge_correlation_px},
            {"label_error",
             {{"board", label_errors_json(o.measure.label_error.board)},
              {"square", label_errors_json(o.measure.label_error.square)}}},
            {"reach",
             {{"creep_mm", o.measure.reach.creep_mm},
              {"creep_of_diagonal", o.measure.reach.creep_of_diagonal},
              {"land_mm", o.measure.reach.land_mm}}},
            {"peeked", o.measure.peeked}}},
          {"sources",
           {{"half_distance_mm", o.sources.half_distance_mm},
            {"farthest_mm", o.sources.farthest_mm},
            {"farthest_of_diagonal", o.sources.farthest_of_diagonal},
            {"candidates_at_most", o.sources.candidates_at_most}}}};
}

// Value and run length in turn, row by row.
Json runs(const cv::Mat& grey) {
  Json list = Json::array();
  long run = 0;
  int value = -1;
  for (int y = 0; y < grey.rows; ++y)
    for (int x = 0; x < grey.cols; ++x) {
      const int v = grey.at<std::uint8_t>(y, x);
      if (v != value) {
        if (run > 0) list.insert(list.end(), {value, run});
        value = v;
        run = 0;
      }
      ++run;
    }
  if (run > 0) list.insert(list.end(), {value, run});
  return list;
}

Json check_json(const PhotoCheck& check) {
  Json items = Json::array();
  for (const CheckItem& i : check.items)
    items.push_back({{"id", i.id},
                     {"figure", finite_or_null(i.figure)},
                     {"unit", i.unit},
                     {"good_limit", finite_or_null(i.good_limit)},
                     {"usable_limit", finite_or_null(i.usable_limit)},
                     {"source", i.source},
                     {"verdict", name(i.verdict)},
                     {"sentence", i.sentence}});
  return {{"verdict", name(check.verdict)},
          {"items", items},
          {"hidden",
           {{"size_px", list(check.hidden.size())},
            {"hidden_px_per_photo_px", check.hidden_scale},
            {"runs", runs(check.hidden)}}}};
}

Json findings_json(const std::vector<Finding>& findings) {
  Json all = Json::array();
  for (const Finding& f : findings) {
    Json regions = Json::array();
    for (const Polygon& p : f.regions_px) regions.push_back(object(p));
    all.push_back({{"id", f.id},
                   {"residue", name(f.residue)},
                   {"confidence", f.confidence},
                   {"reason", f.reason},
                   {"area_px", f.area_px},
                   {"centre_px", list(f.centre_px)},
                   {"box_px", list(f.box_px)},
                   {"regions_px", regions}});
  }
  return all;
}

Json places_json(const std::vector<Place>& places) {
  Json all = Json::array();
  for (const Place& p : places)
    all.push_back({{"rank", p.rank},
                   {"crop_px", list(p.crop_px)},
                   {"findings", p.findings},
                   {"worth", p.worth}});
  return all;
}

Json amount_json(const Amount& a) {
  return {{"px", a.px}, {"area", object(a.area)}, {"percent", object(a.percent)}};
}

Json row_json(const ZoneRow& row) {
  Json classes = Json::object();
  for (const Residue r : k_residues)
    classes[std::string(name(r))] = amount_json(row.by_class[static_cast<size_t>(r)]);
  return {{"name", row.name},
          {"area", row.area},
          {"area_in_photo", row.area_in_photo},
          {"severity", name(row.severity)},
          {"affected", amount_json(row.affected)},
          {"by_class", classes},
          {"findings", row.findings},
          {"parts_reached", row.parts_reached},
          {"unseen",
           {{"glare_percent", row.unseen.glare_percent},
            {"blur_percent", row.unseen.blur_percent},
            {"under_parts_percent", row.unseen.under_parts_percent},
            {"outside_photo_percent", row.unseen.outside_photo_percent},
            {"total_percent", row.unseen.total_percent}}},
          {"astm_d610", row.astm_d610},
          {"iso10289", row.iso10289},
          {"iso4628_3", row.iso4628_3}};
}

Json rows_json(const std::vector<ZoneRow>& rows) {
  Json all = Json::array();
  for (const ZoneRow& row : rows) all.push_back(row_json(row));
  return all;
}

Json parts_json(const std::vector<PartRow>& parts) {
  Json all = Json::array();
  for (const PartRow& p : parts)
    all.push_back({{"kind", name(p.kind)},
                   {"side", name(p.side)},
                   {"reach", name(p.reach)},
                   {"joints", p.joints},
                   {"joints_reached", p.joints_reached},
                   {"hides", p.hides},
                   {"row", row_json(p.row)}});
  return all;
}

Json sources_json(const std::vector<LikelySource>& sources) {
  Json all = Json::array();
  for (const LikelySource& s : sources) {
    Json candidates = Json::array();
    for (const SourceCandidate& c : s.candidates)
      candidates.push_back({{"part", c.designator},
                            {"distance", c.distance},
                            {"share", c.share},
                            {"reason", c.reason}});
    all.push_back({{"finding", s.finding}, {"candidates", candidates}});
  }
  return all;
}

Json other_side_json(const std::vector<OtherSideLook>& looks) {
  Json all = Json::array();
  for (const OtherSideLook& l : looks)
    all.push_back({{"finding", l.finding},
                   {"at_board", list(l.at_board)},
                   {"square", l.square},
                   {"hole", l.hole}});
  return all;
}

Json part_looks_json(const PartLooks& looks) {
  Json bodies = Json::array();
  for (const Ring& ring : looks.bodies_px) bodies.push_back({{"outline_px", list(ring)}});
  return bodies;
}

}  // namespace

std::string survey_json(const Survey& s, const std::vector<PictureName>& pictures) {
  Json names = Json::array();
  for (const PictureName& p : pictures) names.push_back({{"file", p.file}, {"sha256", p.sha256}});
  const Grid& grid = s.zones.grid;
  Json layout;
  Json review;
  if (s.review) review = {{"answers", s.review->answers}, {"edits", s.review->edits}};
  if (s.layout) layout = {{"board_type", s.layout->board_type}, {"revision", s.layout->revision}};
  return json_lines(
      {{"format", "verdigrid-survey"},
       {"version", k_survey_version},
       {"program_version", s.program_version},
       {"detector", s.detector_id},
       {"photo", photo_json(s)},
       {"options", options_json(s.options)},
       {"rectification", Json::parse(rectification_json(s.rectification))},
       {"photo_check", check_json(s.check)},
       {"unit", s.zones.has_mm ? "mm" : "board px"},
       {"grid", {{"frame", list(grid.frame)}, {"columns", grid.columns}, {"rows", grid.rows}}},
       {"board", row_json(s.zones.total)},
       {"squares", rows_json(s.zones.squares)},
       {"review", review},
       {"layout", layout},
       {"zones", rows_json(s.zones.zones)},
       {"parts", parts_json(s.zones.parts)},
       {"findings", findings_json(s.findings.findings)},
       {"places", places_json(s.findings.places)},
       {"likely_sources", sources_json(s.sources)},
       {"other_side", other_side_json(s.other_side)},
       {"parts_told_apart", s.part_looks.is_told_apart},
       {"part_looks", part_looks_json(s.part_looks)},
       {"pictures", names}});
}

}  // namespace verdigrid
