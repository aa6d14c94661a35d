#include "detect/network_model.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <opencv2/dnn.hpp>
#include <opencv2/imgproc.hpp>

#include "base/error.h"
#include "base/json_parts.h"
#include "base/sha256.h"
#include "detect/half_weights.h"

namespace verdigrid {
namespace {

constexpr const char* k_format = "verdigrid-residue-network";
constexpr int k_version = 1;
constexpr std::uintmax_t k_json_limit_bytes = 1 << 20, k_network_limit_bytes = 256 << 20;

[[noreturn]] void refuse(const std::string& file, const std::string& what) {
  throw Error(ErrorKind::bad_input,
              fmt::format("{}: {}; install the program's models again.", file, what));
}

// Settings are written with or without the hyphen of their names.
Setting setting_from(std::string word, const std::string& file) {
  std::replace(word.begin(), word.end(), ' ', '-');
  for (const Setting s : {Setting::show_less, Setting::normal, Setting::show_more})
    if (word == name(s)) return s;
  throw_bad_field(file, "unknown setting " + word);
}

NetworkModel read_model(const nlohmann::json& j, const std::string& file) {
  NetworkModel m;
  m.model_id = j.at("model_id").get<std::string>();
  m.working_long_side_px = j.at("working_long_side_px").get<int>();
  m.most_enlarged = j.at("most_enlarged").get<double>();
  m.multiple = j.at("multiple").get<int>();
  for (const auto& word : j.at("classes")) {
    const auto text = word.get<std::string>();
    const auto residue = text == name(Residue::none) ? Residue::none : residue_named(text);
    if (!residue) throw_bad_field(file, "unknown class " + text);
    m.classes.push_back(*residue);
  }
  for (const auto& [word, rule] : j.at("settings").items())
    m.rules[setting_from(word, file)] = {
        rule.at("low").get<double>(), rule.at("high").get<double>(),
        rule.at("least_area").get<int>(), rule.value("seed", 0.0), rule.value("seed_area", 0)};
  if (j.contains("photo_level"))
    m.photo_level = PhotoLevel{j.at("photo_level").at("quantile").get<double>(),
                               j.at("photo_level").at("slack").get<double>()};
  if (j.contains("largest"))
    for (const auto& l : j.at("largest")) {
      const auto residue = residue_named(l.at("class").get<std::string>());
      if (!residue) throw_bad_field(file, "unknown class in largest");
      m.largest.push_back(
          {*residue, l.at("purity").get<double>(), l.at("most_share").get<double>()});
    }
  m.span = j.value("span", 0.0);
  m.class_choice.factors.assign(m.classes.size(), 1);
  if (j.contains("class_choice")) {
    m.class_choice.blur_px = j.at("class_choice").at("blur_px").get<double>();
    for (const auto& [word, factor] : j.at("class_choice").at("factors").items()) {
      const auto residue = residue_named(word);
      const auto at =
          std::find(m.classes.begin(), m.classes.end(), residue.value_or(Residue::none));
      if (!residue || at == m.classes.end()) throw_bad_field(file, "unknown class " + word);
      m.class_choice.factors[static_cast<std::size_t>(at - m.classes.begin())] =
          factor.get<double>();
    }
  }
  if (j.contains("calibration"))
    for (const auto& p : j.at("calibration"))
      m.calibration.emplace_back(p.at(0).get<double>(), p.at(1).get<double>());
  return m;
}

void check_sense(const NetworkModel& m, const std::string& file) {
  const auto is_rising = std::is_sorted(m.calibration.begin(), m.calibration.end(),
                                        [](const auto& a, const auto& b) { return a.x < b.x; });
  if (m.working_long_side_px < 64 || m.working_long_side_px > 16384 || m.multiple < 1 ||
      m.multiple > 1024 || !(m.most_enlarged >= 1 && m.most_enlarged <= 16))
    throw_bad_field(file, "a size is out of range");
  if (m.classes.size() < 2 || m.classes.front() != Residue::none)
    throw_bad_field(file, "classes must start with none");
  if (m.rules.size() != 3) throw_bad_field(file, "three settings are needed");
  if (m.photo_level && !(m.photo_level->quantile >= 0 && m.photo_level->quantile <= 1))
    throw_bad_field(file, "the quantile of the photo's level must lie between 0 and 1");
  if (!(m.span >= 0) || !(m.class_choice.blur_px >= 0 && m.class_choice.blur_px <= 50))
    throw_bad_field(file, "the span and the blur of the class choice must not be negative");
  if (!is_rising) throw_bad_field(file, "calibration points must rise");
}

std::vector<cv::Mat> answer(const NetworkModel& m, const cv::Mat& bgr) {
  auto net =
      cv::dnn::readNetFromONNX(reinterpret_cast<const char*>(m.network.data()), m.network.size());
  net.setInput(cv::dnn::blobFromImage(bgr, 1 / 255.0, {}, {}, true));
  const cv::Mat out = net.forward();
  std::vector<cv::Mat> maps;
  if (out.dims != 4 || out.size[0] != 1 || out.size[1] != static_cast<int>(m.classes.size()) ||
      2 * out.size[2] != bgr.rows || 2 * out.size[3] != bgr.cols)
    return maps;
  for (int c = 0; c < out.size[1]; ++c)
    maps.push_back(
        cv::Mat(out.size[2], out.size[3], CV_32FC1, const_cast<float*>(out.ptr<float>(0, c)))
            .clone());
  return maps;
}

}  // namespace

NetworkModel load_network_model(const std::filesystem::path& model_json) {
  const std::string file = model_json.filename().string();
  const Bytes text = read_file(model_json, k_json_limit_bytes);
  const auto j = checked_json({reinterpret_cast<const char*>(text.data()), text.size()}, file,
                              k_format, k_version);
  NetworkModel m = read_fields(file, [&] { return read_model(j, file); });
  check_sense(m, file);
  const auto network = read_fields(file, [&] { return j.at("network").get<std::string>(); });
  m.network = read_file(model_json.parent_path() / network, k_network_limit_bytes);
  const auto expected = j.value("network_sha256", std::string());
  if (!expected.empty() && sha256_hex(m.network) != expected)
    refuse(network, "the weights are not those the model was written with");
  try {
    m.network = widened_weights(m.network);
  } catch (const Error& e) {
    refuse(network, e.what());
  }
  return m;
}

void check_runs(const NetworkModel& m) {
  const int side = std::max(m.multiple, 64 / m.multiple * m.multiple);
  std::string why = "its answer has another shape than the model says";
  try {
    if (!answer(m, cv::Mat(side, side, CV_8UC3, cv::Scalar(40, 90, 30))).empty()) return;
  } catch (const cv::Exception& e) {
    why = e.err;
  }
  refuse(m.model_id, "the weights cannot be run (" + why + ")");
}

std::vector<cv::Mat> class_shares(const NetworkModel& m, const cv::Mat& bgr) {
  const double scale = std::min(
      m.most_enlarged, static_cast<double>(m.working_long_side_px) / std::max(bgr.cols, bgr.rows));
  const cv::Size size(std::max(2, static_cast<int>(std::nearbyint(bgr.cols * scale))),
                      std::max(2, static_cast<int>(std::nearbyint(bgr.rows * scale))));
  cv::Mat picture = bgr;
  if (scale != 1)
    cv::resize(bgr, picture, size, 0, 0, scale < 1 ? cv::INTER_AREA : cv::INTER_LINEAR);
  const auto padding = [&](int v) { return (m.multiple - v % m.multiple) % m.multiple; };
  cv::copyMakeBorder(picture, picture, 0, padding(size.height), 0, padding(size.width),
                     cv::BORDER_REFLECT_101);
  auto maps = answer(m, picture);
  require(!maps.empty(), "a checked network answers as its model says");
  const cv::Rect half(0, 0, (size.width + 1) / 2, (size.height + 1) / 2);
  for (auto& map : maps) map = map(half).clone();
  return maps;
}

double calibrated(const NetworkModel& m, double score) {
  const auto& points = m.calibration;
  if (points.empty()) return score;
  if (score <= points.front().x) return points.front().y;
  for (std::size_t i = 1; i < points.size(); ++i)
    if (score <= points[i].x)
      return points[i - 1].y + (points[i].y - points[i - 1].y) * (score - points[i - 1].x) /
                                   (points[i].x - points[i - 1].x);
  return points.back().y;
}

}  // namespace verdigrid
