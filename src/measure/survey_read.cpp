#include <fmt/format.h>

#include <cmath>
#include <limits>

#include "base/error.h"
#include "measure/survey_fields.h"
#include "measure/survey_file.h"
#include "measure/survey_json.h"
#include "rectify/rectification_file.h"

namespace verdigrid {

namespace {

constexpr int k_largest_side_px = 100'000;

constexpr std::array k_settings{Setting::show_less, Setting::normal, Setting::show_more};
constexpr std::array k_verdicts{Verdict::good, Verdict::usable, Verdict::reshoot, Verdict::unknown};
std::vector<int> wholes(JsonFields& f, const std::string& key, size_t count) {
  std::vector<int> list;
  for (const double v : f.numbers(key, count)) {
    if (!(std::abs(v) <= k_largest_side_px) || v != std::floor(v))
      f.refuse(key, "must hold whole numbers of pixels");
    list.push_back(static_cast<int>(v));
  }
  return list;
}

cv::Size size(JsonFields& f, const std::string& key, int least) {
  const std::vector<int> s = wholes(f, key, 2);
  if (s[0] < least || s[1] < least)
    f.refuse(key, fmt::format("must be two whole numbers of at least {}", least));
  return {s[0], s[1]};
}

cv::Rect rect_in(JsonFields& f, const std::string& key, cv::Size photo) {
  const std::vector<int> r = wholes(f, key, 4);
  const cv::Rect rect(r[0], r[1], r[2], r[3]);
  if (rect.width < 1 || rect.height < 1 || (rect & cv::Rect({0, 0}, photo)) != rect)
    f.refuse(key, "must lie inside the photo");
  return rect;
}

Polygon polygon(JsonFields f) {
  Polygon p{f.points("outer"), f.rings("holes")};
  f.finish();
  return p;
}

void read_photo(JsonFields f, Survey& s) {
  s.photo.name = f.text("name");
  s.photo.sha256 = f.text("sha256");
  s.photo.format = f.text("format");
  s.photo_size_px = size(f, "size_px", 1);
  s.photo.stored_size_px = size(f, "stored_size_px", 0);
  s.photo.exif_orientation = between(f, "exif_orientation", 1, 8);
  s.photo.bits_per_channel = between(f, "bits_per_channel", 1, 32);
  s.photo.icc_profile = text_if(f, "icc_profile");
  s.photo.captured_at = text_if(f, "captured_at");
  s.photo.camera = text_if(f, "camera");
  f.finish();
}

FindingOptions finding_options(JsonFields f) {
  FindingOptions o;
  o.least_area_mm2 = at_least_0(f, "least_area_mm2");
  o.least_area_px = static_cast<long>(at_least_0(f, "least_area_px"));
  o.merge_mm = at_least_0(f, "merge_mm");
  o.merge_of_diagonal = at_least_0(f, "merge_of_diagonal");
  o.tie = at_least_0(f, "tie");
  o.places_at_most = between(f, "places_at_most", 0, 1000);
  f.finish();
  return o;
}

PhotoCheckOptions check_options(JsonFields f) {
  PhotoCheckOptions o;
  o.feature_mm = at_least_0(f, "feature_mm");
  o.px_per_mm = number_if(f, "px_per_mm");
  o.tilt_deg = number_if(f, "tilt_deg");
  o.board_px = polygon(f.object("board_px"));
  f.finish();
  return o;
}

LabelErrors label_errors(JsonFields f) {
  LabelErrors errors;
  for (size_t i = 0; i < errors.size(); ++i) {
    JsonFields e = f.object(i == 0 ? "affected" : std::string(name(static_cast<Residue>(i))));
    errors[i] = {e.number("log_bias"), at_least_0(e, "log_sd"), at_least_0(e, "missed_share"),
                 at_least_0(e, "false_share")};
    e.finish();
  }
  f.finish();
  return errors;
}

ReachOptions reach_options(JsonFields f) {
  ReachOptions o;
  o.creep_mm = at_least_0(f, "creep_mm");
  o.creep_of_diagonal = at_least_0(f, "creep_of_diagonal");
  o.land_mm = at_least_0(f, "land_mm");
  f.finish();
  return o;
}

SourceOptions source_options(JsonFields f) {
  SourceOptions o;
  o.half_distance_mm = at_least_0(f, "half_distance_mm");
  o.farthest_mm = at_least_0(f, "farthest_mm");
  o.farthest_of_diagonal = at_least_0(f, "farthest_of_diagonal");
  o.candidates_at_most = between(f, "candidates_at_most", 0, 1000);
  f.finish();
  return o;
}

MeasureOptions measure_options(JsonFields f) {
  MeasureOptions o;
  o.label_edge_sd_px = at_least_0(f, "label_edge_sd_px");
  o.label_edge_correlation_px = at_least_0(f, "label_edge_correlation_px");
  JsonFields e = f.object("label_error");
  o.label_error = {label_errors(e.object("board")), label_errors(e.object("square"))};
  e.finish();
  o.reach = reach_options(f.object("reach"));
  o.peeked = f.texts("peeked");
  f.finish();
  return o;
}

SurveyOptions survey_options(JsonFields f) {
  SurveyOptions o;
  JsonFields detector = f.object("detector");
  o.detector.setting = word(detector, "setting", k_settings);
  detector.finish();
  o.findings = finding_options(f.object("findings"));
  o.check = check_options(f.object("check"));
  o.measure = measure_options(f.object("measure"));
  o.sources = source_options(f.object("sources"));
  f.finish();
  return o;
}

double finite_or(JsonFields& f, const std::string& key, double otherwise) {
  return number_if(f, key).value_or(otherwise);
}

CheckItem check_item(JsonFields f) {
  CheckItem i;
  i.id = f.text("id");
  i.figure = finite_or(f, "figure", std::numeric_limits<double>::quiet_NaN());
  i.unit = f.text("unit");
  i.good_limit = finite_or(f, "good_limit", std::numeric_limits<double>::infinity());
  i.usable_limit = finite_or(f, "usable_limit", std::numeric_limits<double>::infinity());
  i.source = f.text("source");
  i.verdict = word(f, "verdict", k_verdicts);
  i.sentence = f.text("sentence");
  f.finish();
  return i;
}

cv::Mat grey_from_runs(const nlohmann::json& runs, cv::Size size, JsonFields& f) {
  if (size.empty()) return {};
  cv::Mat grey(size, CV_8UC1);
  std::uint8_t* out = grey.data;
  long left = static_cast<long>(size.width) * size.height;
  bool holds = runs.is_array() && runs.size() % 2 == 0;
  for (size_t i = 0; holds && i < runs.size(); i += 2) {
    holds = runs[i].is_number_unsigned() && runs[i + 1].is_number_unsigned() &&
            runs[i].get<std::uint64_t>() < 256 &&
            runs[i + 1].get<std::uint64_t>() <= static_cast<std::uint64_t>(left);
    if (!holds) break;
    const long run = runs[i + 1].get<long>();
    out = std::fill_n(out, run, runs[i].get<std::uint8_t>());
    left -= run;
  }
  if (!holds || left != 0) f.refuse("runs", "must be value and run length in turn for every pixel");
  return grey;
}

PhotoCheck photo_check_of(const nlohmann::json& j, JsonFields f, cv::Size photo) {
  PhotoCheck check;
  check.verdict = word(f, "verdict", k_verdicts);
  for (JsonFields& item : f.objects("items")) check.items.push_back(check_item(item));
  JsonFields hidden = f.object("hidden");
  check.hidden_scale = hidden.number("hidden_px_per_photo_px");
  if (!(check.hidden_scale > 0 && check.hidden_scale <= 1))
    hidden.refuse("hidden_px_per_photo_px", "must be above 0 and at most 1");
  const cv::Size reduced = size(hidden, "size_px", 0);
  if (reduced.width > photo.width || reduced.height > photo.height)
    hidden.refuse("size_px", "must not be larger than the photo");
  hidden.allow("runs");
  if (!hidden.has("runs")) hidden.refuse("runs", "is missing");
  check.hidden = grey_from_runs(j["hidden"]["runs"], reduced, hidden);
  hidden.finish();
  f.finish();
  return check;
}

Finding finding(JsonFields f, int id, cv::Size photo) {
  Finding out;
  out.id = f.whole("id");
  if (out.id != id) f.refuse("id", fmt::format("must be {}: findings count from 1", id));
  const std::optional<Residue> residue = residue_named(f.text("residue"));
  if (!residue || *residue == Residue::none) f.refuse("residue", "is no residue class");
  out.residue = *residue;
  out.confidence = f.number("confidence");
  if (!(out.confidence >= 0 && out.confidence <= 1))
    f.refuse("confidence", "must lie between 0 and 1");
  out.reason = f.text("reason");
  out.area_px = static_cast<long>(at_least_0(f, "area_px"));
  out.centre_px = f.point("centre_px");
  out.box_px = rect_in(f, "box_px", photo);
  for (JsonFields& region : f.objects("regions_px")) out.regions_px.push_back(polygon(region));
  f.finish();
  return out;
}

Place place(const nlohmann::json& j, JsonFields f, cv::Size photo) {
  Place out;
  out.rank = f.whole("rank");
  out.crop_px = rect_in(f, "crop_px", photo);
  out.findings = ids(j, f, "findings");
  out.worth = f.number("worth");
  f.finish();
  return out;
}

Findings findings_and_places(const nlohmann::json& j, JsonFields& f, cv::Size photo) {
  Findings out;
  for (const JsonFields& item : f.objects("findings"))
    out.findings.push_back(finding(item, static_cast<int>(out.findings.size()) + 1, photo));
  std::vector<JsonFields> places = f.objects("places");
  for (size_t i = 0; i < places.size(); ++i)
    out.places.push_back(place(j["places"][i], places[i], photo));
  const auto count = static_cast<int>(out.findings.size());
  for (size_t i = 0; i < places.size(); ++i)
    for (const int id : out.places[i].findings)
      if (id > count) places[i].refuse("findings", fmt::format("there is no finding {}", id));
  return out;
}

int finding_id(JsonFields& f, size_t count) {
  return between(f, "finding", 1, static_cast<int>(count));
}

LikelySource likely_source(JsonFields f, size_t findings) {
  LikelySource source{finding_id(f, findings), {}};
  for (JsonFields& c : f.objects("candidates")) {
    source.candidates.push_back(
        {c.text("part"), at_least_0(c, "distance"), at_least_0(c, "share"), c.text("reason")});
    c.finish();
  }
  f.finish();
  return source;
}

OtherSideLook other_side_look(JsonFields f, size_t findings) {
  const OtherSideLook look{finding_id(f, findings), f.point("at_board"), f.text("square"),
                           f.text("hole")};
  f.finish();
  return look;
}

// Surveys of before reviews were measured have no such field.
void read_review(JsonFields& f, Survey& s) {
  f.allow("review");
  if (!f.has("review")) return;
  JsonFields review = f.object("review");
  s.review = ReviewCounts{between(review, "answers", 0, std::numeric_limits<int>::max()),
                          between(review, "edits", 0, std::numeric_limits<int>::max())};
  review.finish();
}

void read_layout(JsonFields& f, Survey& s) {
  f.allow("layout");
  if (f.has("layout")) {
    JsonFields layout = f.object("layout");
    s.layout = LayoutName{layout.text("board_type"), layout.text("revision")};
    layout.finish();
  }
  const size_t findings = s.findings.findings.size();
  for (const JsonFields& source : f.objects("likely_sources"))
    s.sources.push_back(likely_source(source, findings));
  for (const JsonFields& look : f.objects("other_side"))
    s.other_side.push_back(other_side_look(look, findings));
}

Rectification rectification(const nlohmann::json& j, JsonFields& f, const std::string& where,
                            cv::Size photo) {
  f.object("rectification");
  Rectification r = rectification_from_json(j["rectification"].dump(), where + ": rectification");
  if (r.photo_size_px != photo)
    f.refuse("rectification", "was made for a photo of another size than photo.size_px");
  return r;
}

nlohmann::json parsed(std::string_view text, const std::string& where) {
  try {
    return nlohmann::json::parse(text);
  } catch (const nlohmann::json::parse_error& e) {
    throw Error(
        ErrorKind::bad_input,
        fmt::format("{}: not JSON: the fault is near byte {}; open a survey.json written by "
                    "this program.",
                    where, e.byte));
  } catch (const nlohmann::json::out_of_range&) {
    throw Error(ErrorKind::bad_input, where +
                                          ": holds a number beyond all bounds; open a survey.json "
                                          "written by this program.");
  }
}

}  // namespace

Survey survey_from_json(std::string_view text, const std::string& where) {
  const nlohmann::json j = parsed(text, where);
  JsonFields f(j, "", where);
  check_heading(f, where, "verdigrid-survey", k_survey_version);
  Survey s;
  s.program_version = f.text("program_version");
  s.detector_id = f.text("detector");
  read_photo(f.object("photo"), s);
  s.options = survey_options(f.object("options"));
  s.rectification = rectification(j, f, where, s.photo_size_px);
  JsonFields check = f.object("photo_check");
  s.check = photo_check_of(j["photo_check"], check, s.photo_size_px);
  s.zones = zone_table_of(j, f);
  s.findings = findings_and_places(j, f, s.photo_size_px);
  read_review(f, s);
  read_layout(f, s);
  s.part_looks.is_told_apart = f.truth_or("parts_told_apart", true);
  for (JsonFields& body : f.objects("part_looks")) {
    s.part_looks.bodies_px.push_back(body.points("outline_px"));
    body.finish();
  }
  for (JsonFields& picture : f.objects("pictures")) {
    s.pictures.push_back({picture.text("file"), picture.text("sha256")});
    if (s.pictures.back().file.find_first_of("/\\") != std::string::npos)
      picture.refuse("file", "must be a name without folders");
    picture.finish();
  }
  f.finish();
  return s;
}

}  // namespace verdigrid
