#include "synthetic/samples.h"

#include <fmt/format.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "photo/encode.h"

namespace verdigrid::synthetic {

namespace {

using nlohmann::json;

const cv::Size k_photo_px{1600, 1200};

struct SampleBoard {
  const char* name;
  const char* title;
  cv::Size2d size_mm;
  MaskColour mask;
  std::uint64_t seed;
  double amount, washed_away;
  Background background;
};

const SampleBoard k_boards[]{
    {"logger-main",
     "WEATHER LOGGER MAIN",
     {160, 110},
     MaskColour::dark_green,
     517,
     0.75,
     0.8,
     Background::mat},
    {"sensor-card",
     "WIND SENSOR CARD",
     {100, 80},
     MaskColour::blue,
     523,
     0.7,
     0.7,
     Background::paper},
    {"supply", "MAST SUPPLY", {130, 90}, MaskColour::phenolic, 541, 0.6, 0.6, Background::wood},
};

CameraSpec camera_for(std::uint64_t seed, Background background) {
  CameraOptions o;
  o.tilt_at_most_deg = 7;
  o.k1_at_most = 0.04;
  o.glare_probability = 0;
  o.defocus_at_most_px = 0.7;
  o.noise_at_most = 0.006;
  o.white_balance_error = 0.03;
  CameraSpec c = random_camera(seed, k_photo_px, o);
  c.background = background;
  c.jpeg_quality = 84;
  return c;
}

double tenth(double v) { return std::round(v * 10) / 10; }

json ring_json(const Ring& ring) {
  json j = json::array();
  for (const cv::Point2d p : ring) j.push_back({tenth(p.x), tenth(p.y)});
  return j;
}

json photo_json(const Sample& s, const Truth& t) {
  json j{{"file", s.file},
         {"side", name(t.side)},
         {"role", s.role},
         {"turn", 0},
         {"px_per_mm", tenth(t.px_per_mm)}};
  const double w = s.spec.size_mm.width, h = s.spec.size_mm.height;
  // Clockwise from the corner seen top left; on the back left and right are exchanged.
  Ring corners{{0, 0}, {w, 0}, {w, h}, {0, h}};
  if (t.side == Side::back) corners = {{w, 0}, {0, 0}, {0, h}, {w, h}};
  for (cv::Point2d& p : corners) p = photo_px_of(t.view, p);
  j["corners_px"] = ring_json(corners);
  j["outline_px"] = ring_json(t.outline_px.outer);
  j["residue_mm2"] = json::object();
  for (const Residue r : k_residues)
    if (t.area_mm2[static_cast<size_t>(r)] > 0)
      j["residue_mm2"][std::string(name(r))] = tenth(t.area_mm2[static_cast<size_t>(r)]);
  return j;
}

}  // namespace

std::vector<Sample> samples() {
  std::vector<Sample> all;
  for (const SampleBoard& b : k_boards) {
    BoardOptions o;
    o.size_mm = b.size_mm;
    o.mask = b.mask;
    o.residue_amount = b.amount;
    BoardSpec front = random_board(b.seed, o);
    front.title = b.title;
    BoardSpec back = front;
    back.side = Side::back;
    back.deposits = random_deposits(back, b.seed + 1, o);
    std::uint64_t shot_seed = b.seed * 10;
    for (const BoardSpec* side : {&front, &back})
      for (const bool is_washed : {false, true}) {
        const BoardSpec spec = is_washed ? washed(*side, b.seed + 2, b.washed_away) : *side;
        all.push_back({fmt::format("{}-{}-{}.jpg", b.name, name(side->side),
                                   is_washed ? "washed" : "arrival"),
                       b.name, is_washed ? "after wash" : "arrival", spec,
                       camera_for(++shot_seed, b.background)});
      }
  }
  return all;
}

RenderedSample rendered(const Sample& sample) {
  CameraSpec plain = sample.camera;
  plain.jpeg_quality = 0;
  const Shot s = shot(sample.spec, plain);
  return {jpeg_bytes(s.bgr, sample.camera.jpeg_quality), s.truth};
}

// One line per photo, so that a change is seen where it is.
std::string boards_json(const std::vector<Sample>& all, const std::vector<Truth>& truths) {
  std::string text = "{\"format\": \"sample-boards\", \"version\": 1, \"boards\": [\n";
  for (size_t i = 0; i < all.size(); ++i) {
    const bool is_first = i == 0 || all[i].board != all[i - 1].board;
    const bool is_last = i + 1 == all.size() || all[i].board != all[i + 1].board;
    if (is_first) {
      const json head{{"name", all[i].board}, {"solder_mask", name(all[i].spec.mask)}};
      const std::string fields = head.dump();
      text += fmt::format(
          "{}, \"width_mm\": {:g}, \"height_mm\": {:g},\n  \"outline_mm\": {},\n  \"photos\": [\n",
          fields.substr(0, fields.size() - 1), all[i].spec.size_mm.width,
          all[i].spec.size_mm.height, ring_json(truths[i].outline_mm.outer).dump());
    }
    text += "    " + photo_json(all[i], truths[i]).dump() + (is_last ? "\n" : ",\n");
    if (is_last) text += i + 1 == all.size() ? "  ]}\n" : "  ]},\n";
  }
  return text + "]}\n";
}

}  // namespace verdigrid::synthetic
