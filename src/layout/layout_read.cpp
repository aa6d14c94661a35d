#include <fmt/format.h>

#include <algorithm>

#include "base/error.h"
#include "base/files.h"
#include "layout/json_fields.h"
#include "layout/layout_json.h"
#include "layout/layout_words.h"

namespace verdigrid {

namespace {

constexpr std::uintmax_t k_largest_file = 64u << 20;

std::optional<Side> sides(JsonFields& fields) {
  const std::string text = fields.text_or("side", "both");
  if (text == "both") return std::nullopt;
  if (const auto side = value_of(k_sides, text)) return side;
  fields.refuse("side", "\"" + text + "\" is none of front, back, both");
}

Polygon polygon(JsonFields fields) {
  Polygon out{fields.points("outer"), fields.rings("holes")};
  fields.finish();
  return out;
}

Grid grid(JsonFields fields, bool has_mm) {
  const std::vector<double> f = fields.numbers("frame", 4);
  Grid out{{f[0], f[1], f[2], f[3]}, fields.whole("columns"), fields.whole("rows"), has_mm};
  fields.finish();
  return out;
}

Zone zone(JsonFields& fields) {
  Zone out;
  out.name = fields.text("name");
  out.polygon = polygon(fields.object("polygon"));
  out.importance = fields.whole_or("importance", out.importance);
  out.note = fields.text_or("note", "");
  out.hatch = fields.word_or("hatch", k_hatches, Hatch::none);
  out.side = sides(fields);
  fields.finish();
  return out;
}

Joint joint(JsonFields& fields) {
  Joint out;
  out.pin = fields.text_or("pin", "");
  out.centre = fields.point("centre");
  out.diameter = fields.number_or("diameter", 0);
  out.is_through = fields.truth_or("through", false);
  out.net = fields.text_or("net", "");
  fields.finish();
  return out;
}

PartKind kind(JsonFields& fields) {
  const std::string text = fields.text_or("kind", "unknown");
  if (const auto value = part_kind_named(text)) return *value;
  fields.refuse("kind", "\"" + text + "\" is no kind of part; use \"unknown\" when in doubt");
}

Chemistry chemistry(JsonFields& fields) {
  const std::string text = fields.text_or("chemistry", "unknown");
  if (const auto value = chemistry_named(text)) return *value;
  fields.refuse("chemistry", "\"" + text + "\" is not known; use \"unknown\" when in doubt");
}

Part part(JsonFields& fields) {
  Part out;
  out.designator = fields.text("designator");
  out.kind = kind(fields);
  out.package = fields.text_or("package", "");
  out.centre = fields.point("centre");
  out.rotation_deg = fields.number_or("rotation_deg", 0);
  out.side = fields.word_or("side", k_sides, Side::front);
  fields.allow("body");
  if (fields.has("body")) {
    const cv::Point2d size = fields.point("body");
    out.body = {size.x, size.y};
  }
  out.shape = fields.word_or("shape", k_body_shapes, BodyShape::box);
  out.value = fields.text_or("value", "");
  out.rating = fields.text_or("rating", "");
  out.negative_end = fields.word_or("negative_end", k_negative_ends, NegativeEnd::unknown);
  out.chemistry = chemistry(fields);
  const double frequency = fields.number_or("frequency_hz", 0);
  if (fields.has("frequency_hz")) out.frequency_hz = frequency;
  for (JsonFields& item : fields.objects("joints")) out.joints.push_back(joint(item));
  fields.finish();
  return out;
}

Hole hole(JsonFields& fields) {
  Hole out;
  out.centre = fields.point("centre");
  out.diameter = fields.number("diameter");
  out.is_plated = fields.truth_or("plated", true);
  fields.finish();
  return out;
}

LayoutNote note(JsonFields& fields) {
  LayoutNote out;
  out.kind = fields.word_or("kind", k_note_kinds, LayoutNoteKind::pin);
  out.text = fields.text_or("text", "");
  out.side = sides(fields);
  out.points = fields.points("points");
  fields.finish();
  return out;
}

ReferenceLens lens(JsonFields fields) {
  ReferenceLens out;
  out.camera = cv::Matx33d(fields.numbers("camera", 9).data());
  const std::vector<double> d = fields.numbers("distortion", out.distortion.size());
  std::copy(d.begin(), d.end(), out.distortion.begin());
  fields.finish();
  return out;
}

ReferencePhoto photo(JsonFields& fields) {
  ReferencePhoto out;
  out.file = fields.text_or("file", "");
  out.sha256 = fields.text_or("sha256", "");
  out.side = fields.word_or("side", k_sides, Side::front);
  const std::vector<double> size = fields.numbers("size_px", 2);
  for (double v : size)
    if (!(v >= 1 && v <= 1e6)) fields.refuse("size_px", "must be two whole numbers of at least 1");
  out.size_px = {static_cast<int>(size[0]), static_cast<int>(size[1])};
  const std::vector<double> m = fields.numbers("board_from_photo_px", 9);
  out.board_from_photo_px = cv::Matx33d(m.data());
  fields.allow("lens");
  if (fields.has("lens")) out.lens = lens(fields.object("lens"));
  fields.finish();
  return out;
}

LayoutSource source(JsonFields fields) {
  LayoutSource out;
  out.origin = fields.word_or("origin", k_origins, LayoutOrigin::hand);
  out.file = fields.text_or("file", "");
  out.remarks = fields.texts("remarks");
  fields.finish();
  return out;
}

Layout layout_of(JsonFields& fields, std::string_view where) {
  check_heading(fields, where, "verdigrid-layout", k_layout_version);
  Layout out;
  out.board_type = fields.text_or("board_type", "");
  out.revision = fields.text_or("revision", "");
  const std::string unit = fields.text("unit");
  if (unit != "mm" && unit != "board px") fields.refuse("unit", "must be \"mm\" or \"board px\"");
  out.has_mm = unit == "mm";
  const auto optional_object = [&](const char* key) -> std::optional<JsonFields> {
    fields.allow(key);
    if (!fields.has(key)) return std::nullopt;
    return fields.object(key);
  };
  if (const auto o = optional_object("outline")) out.outline = polygon(*o);
  if (const auto o = optional_object("grid")) out.grid = grid(*o, out.has_mm);
  for (JsonFields& item : fields.objects("zones")) out.zones.push_back(zone(item));
  for (JsonFields& item : fields.objects("parts")) out.parts.push_back(part(item));
  for (JsonFields& item : fields.objects("holes")) out.holes.push_back(hole(item));
  for (JsonFields& item : fields.objects("notes")) out.notes.push_back(note(item));
  for (JsonFields& item : fields.objects("reference_points")) {
    out.reference_points.push_back({item.text_or("name", ""), item.point("centre")});
    item.finish();
  }
  for (JsonFields& item : fields.objects("reference_photos"))
    out.reference_photos.push_back(photo(item));
  if (const auto o = optional_object("source")) out.source = source(*o);
  fields.finish();
  return out;
}

}  // namespace

Layout layout_from_json(std::string_view text, std::string_view where) {
  nlohmann::json document;
  try {
    document = nlohmann::json::parse(text);
  } catch (const nlohmann::json::parse_error& e) {
    throw Error(ErrorKind::bad_input,
                fmt::format("{}: not JSON: the fault is near byte {}; open a layout file written "
                            "by this program or mend it there.",
                            where, e.byte));
  } catch (const nlohmann::json::exception&) {
    throw Error(ErrorKind::bad_input,
                fmt::format("{}: holds a number that is too large for a file; mend it.", where));
  }
  JsonFields fields(document, "", std::string(where));
  Layout layout = layout_of(fields, where);
  try {
    check_layout(layout);
  } catch (const Error& e) {
    throw Error(e.kind(), fmt::format("{}: {}", where, e.what()));
  }
  return layout;
}

Layout load_layout(const std::filesystem::path& path) {
  const Bytes bytes = read_file(path, k_largest_file);
  const std::string where = path.filename().string();
  return layout_from_json({reinterpret_cast<const char*>(bytes.data()), bytes.size()}, where);
}

}  // namespace verdigrid
