#include "rectify/rectification_file.h"

#include <fmt/format.h>

#include "base/error.h"
#include "base/files.h"
#include "base/json_parts.h"

namespace verdigrid {

namespace {

constexpr const char* k_format = "verdigrid-rectification";
constexpr int k_version = 1;
constexpr std::uintmax_t k_limit_bytes = 16 << 20;

nlohmann::json polygon_json(const Polygon& polygon) {
  nlohmann::json holes = nlohmann::json::array();
  for (const Ring& hole : polygon.holes) holes.push_back(to_json(hole));
  return {{"outer", to_json(polygon.outer)}, {"holes", holes}};
}

Polygon polygon_from_json(const nlohmann::json& j) {
  Polygon polygon{ring_from_json(j.at("outer")), {}};
  for (const nlohmann::json& hole : j.at("holes")) polygon.holes.push_back(ring_from_json(hole));
  return polygon;
}

nlohmann::json lens_part(const Lens& lens) {
  return {{"photo_size_px", to_json(lens.photo_size_px)},
          {"camera_px", to_json(lens.camera)},
          {"distortion_k1_k2_p1_p2_k3", lens.distortion},
          {"rms_px", lens.rms_px}};
}

Lens lens_from_part(const nlohmann::json& j) {
  Lens lens;
  lens.photo_size_px = size_from_json(j.at("photo_size_px"));
  lens.camera = matrix_from_json(j.at("camera_px"));
  lens.distortion = j.at("distortion_k1_k2_p1_p2_k3").get<std::vector<double>>();
  lens.rms_px = j.at("rms_px").get<double>();
  return lens;
}

template <class Enum>
Enum named(const std::string& text, std::initializer_list<Enum> values, const std::string& file) {
  for (const Enum value : values)
    if (text == name(value)) return value;
  throw_bad_field(file, "unknown word " + text);
}

Rectification read_rectification(const nlohmann::json& j, const std::string& file) {
  Rectification r;
  r.way = named(j.at("way").get<std::string>(),
                {ScaleWay::board_size_outline, ScaleWay::board_size_corners, ScaleWay::scale_card,
                 ScaleWay::two_points, ScaleWay::layout, ScaleWay::none},
                file);
  r.side = named(j.at("side").get<std::string>(), {Side::front, Side::back}, file);
  r.turn_deg = j.at("turn_deg").get<int>();
  r.photo_size_px = size_from_json(j.at("photo_size_px"));
  if (!j.at("lens").is_null()) r.lens = lens_from_part(j.at("lens"));
  r.board_from_photo_px = matrix_from_json(j.at("board_from_photo_px"));
  if (const nlohmann::json& s = j.at("px_per_mm"); !s.is_null())
    r.px_per_mm = Interval{s.at("value").get<double>(), s.at("low_95").get<double>(),
                           s.at("high_95").get<double>()};
  r.length_rel_sd = j.at("length_rel_sd").get<double>();
  r.edge_sd_px = j.at("edge_sd_px").get<double>();
  if (!j.at("tilt_deg").is_null()) r.tilt_deg = j.at("tilt_deg").get<double>();
  r.outline_px = polygon_from_json(j.at("outline_px"));
  r.outline_board = polygon_from_json(j.at("outline_board"));
  r.outline_is_frame = j.at("outline_is_frame").get<bool>();
  r.remarks = j.at("remarks").get<std::vector<std::string>>();
  return r;
}

void check_sense(const Rectification& r, const std::string& file) {
  if (r.photo_size_px.area() <= 0) throw_bad_field(file, "the photo size must be positive");
  if (r.turn_deg != 0 && r.turn_deg != 90 && r.turn_deg != 180 && r.turn_deg != 270)
    throw_bad_field(file, "turn_deg must be 0, 90, 180 or 270");
  if (cv::determinant(r.board_from_photo_px) == 0)
    throw_bad_field(file, "board_from_photo_px has no inverse");
  if (r.px_per_mm && !(r.px_per_mm->low > 0 && r.px_per_mm->low <= r.px_per_mm->value &&
                       r.px_per_mm->value <= r.px_per_mm->high))
    throw_bad_field(file, "px_per_mm must be positive and inside its interval");
  if (r.lens && r.lens->distortion.size() != 5)
    throw_bad_field(file, "five distortion values are needed");
}

}  // namespace

std::string rectification_json(const Rectification& r) {
  nlohmann::ordered_json j;
  j["format"] = k_format;
  j["version"] = k_version;
  j["way"] = name(r.way);
  j["side"] = name(r.side);
  j["turn_deg"] = r.turn_deg;
  j["photo_size_px"] = to_json(r.photo_size_px);
  j["board_unit"] = r.has_scale() ? "mm" : "board px";
  j["board_from_photo_px"] = to_json(r.board_from_photo_px);
  j["lens"] = r.lens ? lens_part(*r.lens) : nlohmann::json();
  if (r.px_per_mm)
    j["px_per_mm"] = {{"value", r.px_per_mm->value},
                      {"low_95", r.px_per_mm->low},
                      {"high_95", r.px_per_mm->high}};
  else
    j["px_per_mm"] = nullptr;
  j["length_rel_sd"] = r.length_rel_sd;
  j["edge_sd_px"] = r.edge_sd_px;
  j["tilt_deg"] = r.tilt_deg ? nlohmann::json(*r.tilt_deg) : nlohmann::json();
  j["outline_px"] = polygon_json(r.outline_px);
  j["outline_board"] = polygon_json(r.outline_board);
  j["outline_is_frame"] = r.outline_is_frame;
  j["remarks"] = r.remarks;
  return j.dump(1) + "\n";
}

Rectification rectification_from_json(std::string_view text, const std::string& file) {
  const nlohmann::json j = checked_json(text, file, k_format, k_version);
  const Rectification r = read_fields(file, [&] { return read_rectification(j, file); });
  check_sense(r, file);
  return r;
}

void save_rectification(const std::filesystem::path& path, const Rectification& r) {
  write_file(path, std::string_view(rectification_json(r)));
}

Rectification load_rectification(const std::filesystem::path& path) {
  const Bytes bytes = read_file(path, k_limit_bytes);
  return rectification_from_json({reinterpret_cast<const char*>(bytes.data()), bytes.size()},
                                 path.filename().string());
}

void check_fits(const Rectification& r, cv::Size photo_size_px, const std::string& file) {
  if (r.photo_size_px == photo_size_px) return;
  throw Error(
      ErrorKind::bad_input,
      fmt::format("{}: made for a photo of {}x{} px, this one has {}x{} px; straighten this "
                  "photo by itself.",
                  file, r.photo_size_px.width, r.photo_size_px.height, photo_size_px.width,
                  photo_size_px.height));
}

}  // namespace verdigrid
