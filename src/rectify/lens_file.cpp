#include "rectify/lens_file.h"

#include "base/error.h"
#include "base/files.h"
#include "base/json_parts.h"

namespace verdigrid {

namespace {
constexpr const char* k_format = "verdigrid-lens";
constexpr int k_version = 1;
constexpr std::uintmax_t k_limit_bytes = 1 << 20;
}  // namespace

std::string lens_json(const Lens& lens) {
  nlohmann::ordered_json j;
  j["format"] = k_format;
  j["version"] = k_version;
  j["photo_size_px"] = to_json(lens.photo_size_px);
  j["camera_px"] = to_json(lens.camera);
  j["distortion_k1_k2_p1_p2_k3"] = lens.distortion;
  j["rms_px"] = lens.rms_px;
  return j.dump(2) + "\n";
}

Lens lens_from_json(std::string_view text, const std::string& name) {
  const nlohmann::json j = checked_json(text, name, k_format, k_version);
  Lens lens = read_fields(name, [&] {
    Lens read;
    read.photo_size_px = size_from_json(j.at("photo_size_px"));
    read.camera = matrix_from_json(j.at("camera_px"));
    read.distortion = j.at("distortion_k1_k2_p1_p2_k3").get<std::vector<double>>();
    read.rms_px = j.at("rms_px").get<double>();
    return read;
  });
  if (lens.distortion.size() != 5) throw_bad_field(name, "five distortion values are needed");
  if (!(lens.camera(0, 0) > 0 && lens.camera(1, 1) > 0))
    throw_bad_field(name, "the focal length must be positive");
  if (lens.photo_size_px.area() <= 0) throw_bad_field(name, "the photo size must be positive");
  return lens;
}

void save_lens(const std::filesystem::path& path, const Lens& lens) {
  write_file(path, std::string_view(lens_json(lens)));
}

Lens load_lens(const std::filesystem::path& path) {
  const Bytes bytes = read_file(path, k_limit_bytes);
  return lens_from_json({reinterpret_cast<const char*>(bytes.data()), bytes.size()},
                        path.filename().string());
}

}  // namespace verdigrid
