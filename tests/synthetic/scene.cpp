#include "synthetic/scene.h"

#include "synthetic/canvas.h"
#include "synthetic/random.h"

namespace verdigrid::synthetic {

namespace {

constexpr double k_peak_mm = 2;
constexpr double k_rim_mm = 0.35;
constexpr float k_flat_mm = 0.6f;  // lower things shift by less than a pixel

cv::Vec3f unit(cv::Vec3f v) { return v * (1.0f / std::sqrt(v.dot(v))); }

double length(cv::Point2d v) { return std::sqrt(v.dot(v)); }

cv::Vec3f mirrored(const cv::Vec3f& v, const cv::Vec3f& n) { return n * (2 * v.dot(n)) - v; }

// x^n for n a power of two times 4, quick and the same everywhere.
float lobe(float cosine, int squarings) {
  float v = std::max(cosine, 0.0f);
  for (int i = 0; i < squarings; ++i) v *= v;
  return v;
}

cv::Mat peaks_of(const LightMap& m) {
  const int step = std::max(1, static_cast<int>(k_peak_mm * m.px_per_mm));
  const cv::Size size{(m.height_mm.cols + step - 1) / step, (m.height_mm.rows + step - 1) / step};
  cv::Mat p(size, CV_32FC1, cv::Scalar::all(-10)), wide(size, CV_32FC1);
  for (int y = 0; y < m.height_mm.rows; ++y)
    for (int x = 0; x < m.height_mm.cols; ++x) {
      auto& v = p.at<float>(y / step, x / step);
      v = std::max(v, m.height_mm.at<float>(y, x));
    }
  for (int y = 0; y < size.height; ++y)
    for (int x = 0; x < size.width; ++x) {
      float v = -10;
      for (int dy = -1; dy <= 1; ++dy)
        for (int dx = -1; dx <= 1; ++dx)
          v = std::max(v, p.at<float>(std::clamp(y + dy, 0, size.height - 1),
                                      std::clamp(x + dx, 0, size.width - 1)));
      wide.at<float>(y, x) = v;
    }
  return wide;
}

template <class T>
const T* px_or_null(const cv::Mat& m, int x, int y) {
  return x >= 0 && y >= 0 && x < m.cols && y < m.rows ? m.ptr<T>(y) + x : nullptr;
}

cv::Vec3f bilinear(const cv::Mat& m, float x, float y) {
  const int x0 = std::clamp(static_cast<int>(x), 0, m.cols - 2),
            y0 = std::clamp(static_cast<int>(y), 0, m.rows - 2);
  const float fx = std::clamp(x - static_cast<float>(x0), 0.0f, 1.0f),
              fy = std::clamp(y - static_cast<float>(y0), 0.0f, 1.0f);
  const cv::Vec3w* a = m.ptr<cv::Vec3w>(y0) + x0;
  const cv::Vec3w* b = m.ptr<cv::Vec3w>(y0 + 1) + x0;
  cv::Vec3f c;
  for (int k = 0; k < 3; ++k)
    c[k] = mixed_value(mixed_value(a[0][k], a[1][k], fx), mixed_value(b[0][k], b[1][k], fx), fy) *
           (1.0f / 65535);
  return c;
}

}  // namespace

Scene::Scene(const Board& board, const CameraSpec& camera, const View& view)
    : board_(board),
      camera_(camera),
      eye_(view.eye_mm),
      light_(light_map(board, camera)),
      peaks_(peaks_of(light_)),
      lamp_(lamp_direction(camera, board.spec.side)),
      seed_(static_cast<std::uint32_t>(mixed(camera.seed, 80))) {
  for (int y = 0; y < peaks_.rows; ++y)
    for (int x = 0; x < peaks_.cols; ++x) tallest_ = std::max(tallest_, peaks_.at<float>(y, x));
  Random r(mixed(camera.seed, 81));
  const cv::Size2d s = board.spec.size_mm;
  const cv::Point2d centre{s.width * r.uniform(0.15, 0.85), s.height * r.uniform(0.15, 0.85)};
  const cv::Vec3f to_eye =
      unit({static_cast<float>(eye_.x - centre.x), static_cast<float>(eye_.y - centre.y),
            static_cast<float>(eye_.z)});
  glare_at_ = mirrored(to_eye, {0, 0, 1});
  glare_width_ = static_cast<float>(r.uniform(0.05, 0.14));
}

float Scene::height_at(cv::Point2d p) const {
  const cv::Point2d q = (p - board_.origin_mm) * board_.px_per_mm;
  const float* h = px_or_null<float>(board_.height_mm, static_cast<int>(std::floor(q.x)),
                                     static_cast<int>(std::floor(q.y)));
  return !h || *h < -0.5f ? k_desk_mm : *h * static_cast<float>(camera_.height_scale);
}

float Scene::peak_at(cv::Point2d p) const {
  const int step = std::max(1, static_cast<int>(k_peak_mm * light_.px_per_mm));
  const cv::Point2d q = (p - board_.origin_mm) * (light_.px_per_mm / step);
  const float* h = px_or_null<float>(peaks_, static_cast<int>(std::floor(q.x)),
                                     static_cast<int>(std::floor(q.y)));
  return h ? *h : k_desk_mm;
}

Hit Scene::hit(cv::Point2d plane) const {
  Hit r{plane, 0, (cv::Point2d{eye_.x, eye_.y} - plane) / eye_.z, false, false};
  const double slant = length(r.lean);
  const auto at = [&](double z) { return plane + r.lean * z; };
  const double fine = std::clamp(0.7 / (board_.px_per_mm * std::max(slant, 1e-6)), 0.03, 0.8);
  double z = slant * tallest_ * board_.px_per_mm < 0.5 ? k_flat_mm : tallest_;
  while (z > k_flat_mm) {
    const double peak = peak_at(at(z));
    if (peak < z) {
      z = std::max({peak, z - 0.5 * k_peak_mm / slant, double(k_flat_mm)}) - 1e-3;
      continue;
    }
    const float h = height_at(at(z));
    if (h >= z) {
      double above = z + fine;
      for (int i = 0; i < 4; ++i) {
        const double middle = (above + z) / 2;
        (height_at(at(middle)) >= middle ? z : above) = middle;
      }
      r.at_mm = at(z);
      r.z_mm = static_cast<float>(z);
      r.is_wall = height_at(r.at_mm) - z > 0.35;
      return r;
    }
    z -= fine;
  }
  if (height_at(plane) > -0.5f) return r;
  for (z = 0; z > k_desk_mm; z -= fine)
    if (height_at(at(z)) >= z) {
      r.at_mm = at(z);
      r.z_mm = static_cast<float>(z);
      r.is_wall = true;
      return r;
    }
  r.at_mm = at(k_desk_mm);
  r.z_mm = k_desk_mm;
  r.is_desk = true;
  return r;
}

int Scene::plane_label(cv::Point2d p) const {
  const cv::Point2d q = (p - board_.origin_mm) * board_.px_per_mm;
  const uchar* l = px_or_null<uchar>(board_.labels, static_cast<int>(std::floor(q.x)),
                                     static_cast<int>(std::floor(q.y)));
  return l ? *l : 0;
}

float Scene::map_at(const cv::Mat& map, cv::Point2d p) const {
  const cv::Point2d q = (p - board_.origin_mm) * light_.px_per_mm;
  const float x = static_cast<float>(q.x) - 0.5f, y = static_cast<float>(q.y) - 0.5f;
  if (x < 0 || y < 0 || x >= static_cast<float>(map.cols - 1) ||
      y >= static_cast<float>(map.rows - 1))
    return 1;
  const int x0 = static_cast<int>(x), y0 = static_cast<int>(y);
  const float fx = x - static_cast<float>(x0), fy = y - static_cast<float>(y0);
  const uchar *a = map.ptr<uchar>(y0) + x0, *b = map.ptr<uchar>(y0 + 1) + x0;
  return mixed_value(mixed_value(a[0], a[1], fx), mixed_value(b[0], b[1], fx), fy) * (1.0f / 255);
}

cv::Vec3f Scene::normal_at(float x, float y, float& steep) const {
  const int ix = std::clamp(static_cast<int>(x + 0.5f), 1, board_.height_mm.cols - 2),
            iy = std::clamp(static_cast<int>(y + 0.5f), 1, board_.height_mm.rows - 2);
  const float* row = board_.height_mm.ptr<float>(iy) + ix;
  const float up = board_.height_mm.ptr<float>(iy - 1)[ix],
              down = board_.height_mm.ptr<float>(iy + 1)[ix];
  const float per_mm = static_cast<float>(board_.px_per_mm * 0.5 * camera_.height_scale);
  const float gx = (row[1] - row[-1]) * per_mm, gy = (down - up) * per_mm;
  steep = std::sqrt(gx * gx + gy * gy);
  const float limit = steep > 0.9f ? 0.9f / steep : 1;
  return unit({-gx * limit, -gy * limit, 1});
}

cv::Vec3f Scene::desk_colour(cv::Point2d p) const {
  const float x = static_cast<float>(p.x), y = static_cast<float>(p.y);
  const auto toned = [&](int r, int g, int b, float v) { return linear_bgr_of_srgb(r, g, b) * v; };
  const float fine = fractal(x * 1.3f, y * 1.3f, seed_, 3),
              broad = fractal(x * 0.03f, y * 0.03f, seed_ + 1, 2);
  switch (camera_.background) {
    case Background::wood: {
      const float ring = fractal(x * 0.012f + 3 * broad, y * 0.35f, seed_ + 2, 4);
      return toned(168, 112, 66, 0.55f + 0.6f * ring + 0.15f * fine);
    }
    case Background::mat: {
      const auto near_line = [](float v, float w) { return std::abs(v - std::round(v)) * 10 < w; };
      const bool line = near_line(x / 10, 0.18f) || near_line(y / 10, 0.18f);
      return line ? toned(150, 190, 190, 0.8f) : toned(26, 96, 128, 0.85f + 0.25f * fine);
    }
    case Background::paper:
      return toned(226, 224, 218, 0.95f + 0.06f * fine);
    case Background::cloth: {
      const float weave = 0.8f + 0.2f * noise(x * 2.5f, y * 0.6f, seed_ + 4) +
                          0.2f * noise(x * 0.6f, y * 2.5f, seed_ + 5);
      return toned(96, 98, 108, weave * (0.8f + 0.3f * broad));
    }
    case Background::dark:
      return toned(30, 30, 32, 0.7f + 0.5f * fine);
    case Background::desk:
      break;
  }
  return toned(196, 188, 172, 0.88f + 0.14f * fine + 0.1f * broad);
}

Radiance Scene::radiance(const Hit& hit) const {
  Radiance r;
  r.height_mm = hit.z_mm;
  const float direct_share = static_cast<float>(camera_.direct_share);
  const float vis = map_at(light_.direct, hit.at_mm), sky = map_at(light_.ambient, hit.at_mm);
  if (hit.is_desk) {
    r.bgr =
        desk_colour(hit.at_mm) * (direct_share * vis + (1 - direct_share) * (0.25f + 0.75f * sky));
    return r;
  }
  // The side of a part has the colour of its rim, not of what lies at its foot.
  const double slant = length(hit.lean);
  const cv::Point2d inside =
      hit.is_wall && slant > 0 ? hit.at_mm - hit.lean * (k_rim_mm / slant) : hit.at_mm;
  const cv::Point2d q = (inside - board_.origin_mm) * board_.px_per_mm;
  const float x = static_cast<float>(q.x) - 0.5f, y = static_cast<float>(q.y) - 0.5f;
  const cv::Vec3f albedo = bilinear(board_.albedo, x, y);
  r.label = plane_label(inside);
  float steep = 0;
  cv::Vec3f n = normal_at(x, y, steep);
  if (hit.is_wall) {
    const float s = static_cast<float>(slant) + 1e-6f;
    const cv::Vec3f side{static_cast<float>(hit.lean.x) / s, static_cast<float>(hit.lean.y) / s,
                         0.25f};
    n = unit(side);
  }
  const float facing = std::max(0.0f, n.dot(lamp_)) / lamp_[2];
  const float ambient = (1 - direct_share) * (0.3f + 0.7f * sky) * (0.55f + 0.45f * n[2]);
  const float light = direct_share * vis * std::min(facing, 1.6f) + ambient;
  const uchar* finish =
      board_.finish.ptr<uchar>(std::clamp(static_cast<int>(q.y), 0, board_.finish.rows - 1)) +
      2 * std::clamp(static_cast<int>(q.x), 0, board_.finish.cols - 1);
  const float gloss = static_cast<float>(finish[0]) / 255,
              metal = static_cast<float>(finish[1]) / 255;
  const cv::Vec3f to_eye =
      unit({static_cast<float>(eye_.x - hit.at_mm.x), static_cast<float>(eye_.y - hit.at_mm.y),
            static_cast<float>(eye_.z) - hit.z_mm});
  const cv::Vec3f out = mirrored(to_eye, n);
  const float shine = static_cast<float>(camera_.gloss);
  const float towards_lamp = out.dot(lamp_);
  const float spot =
      vis * gloss * (0.25f * lobe(towards_lamp, 3) + 1.1f * gloss * lobe(towards_lamp, 6));
  const float away = 1 - out.dot(glare_at_);
  const float core = std::max(0.0f, 1 - away / (4 * glare_width_ * glare_width_));
  const float glare =
      static_cast<float>(camera_.glare) * (0.1f + gloss) * 1.3f * core * core * core * core * core;
  // A room: bright above and towards the lamp, dark below.
  const float room = 0.35f + 0.6f * std::max(out[2], 0.0f) + 0.45f * std::max(towards_lamp, 0.0f);
  const float share = metal * shine * (0.35f + 0.5f * gloss);
  const float mirror_bgr = shine * spot + glare;
  for (int k = 0; k < 3; ++k) {
    const float tint = mixed_value(0.35f, albedo[k] * 1.3f, metal);
    r.bgr[k] =
        albedo[k] * mixed_value(light, room * (0.35f + 0.65f * light), share) + tint * mirror_bgr;
  }
  const float whole = r.bgr[0] + r.bgr[1] + r.bgr[2];
  r.mirrored = whole > 0 ? std::min(1.0f, (0.35f + 0.65f * metal) * 3 * mirror_bgr / whole) : 0;
  return r;
}

}  // namespace verdigrid::synthetic
