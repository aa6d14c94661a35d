#include "viewer/canvas.h"

#include <algorithm>
#include <array>

namespace verdigrid {

namespace {

constexpr double k_true_pixels_from_scale = 4;  // above it, photo pixels are shown as squares
constexpr float k_residue_strength = 0.34f;

// Pictures of one revision get their own numbers.
enum Picture : std::uint32_t {
  photo_smooth,
  photo_true,
  labels,
  confidence,
  unseen,
  picture_count
};

cv::Matx33d ndc_from_photo(const View& view, const cv::Rect2d& canvas) {
  const cv::Point2d o = screen_from_photo(view, canvas, {0, 0}),
                    x = screen_from_photo(view, canvas, {1, 0}) - o,
                    y = screen_from_photo(view, canvas, {0, 1}) - o;
  const double kx = 2 / canvas.width, ky = -2 / canvas.height;
  return {kx * x.x, kx * y.x, kx * (o.x - canvas.x) - 1,
          ky * x.y, ky * y.y, ky * (o.y - canvas.y) + 1,
          0,        0,        1};
}

// The part of a tile's texture that its content covers, apron left out.
QuadSource quad_of(const Pyramid& p, int level, int column, int row) {
  const cv::Rect2d r = tile_rect_px(p, level, column, row);
  const double k = 1 << level;
  return {r, {1.0 / k_tile_px, 1.0 / k_tile_px, r.width / k / k_tile_px, r.height / k / k_tile_px}};
}

}  // namespace

Canvas::Canvas(const DataFiles& data)
    : photo_(data.get("shaders/canvas.vert"), data.get("shaders/photo.frag")),
      residue_(data.get("shaders/canvas.vert"), data.get("shaders/residue.frag")),
      unseen_(data.get("shaders/canvas.vert"), data.get("shaders/unseen.frag")) {}

const Texture* Canvas::tile(const Layer& layer, const Visible& v) {
  const TileKey key{layer.picture, static_cast<std::uint16_t>(v.level),
                    static_cast<std::uint16_t>(v.column), static_cast<std::uint16_t>(v.row)};
  if (const Texture* t = tiles_.find(key)) return t;
  return tiles_.make(key, layer.filter,
                     [&] { return tile_pixels(*layer.pyramid, v.level, v.column, v.row); });
}

void Canvas::draw_photo(const Layer& layer, const std::vector<Visible>& visible) {
  // The coarsest tile stands in for what is not there yet, so nothing flashes.
  const int last = layer.pyramid->level_count() - 1;
  if (const Texture* t = tile(layer, {last, 0, 0}))
    painter_.draw(photo_, quad_of(*layer.pyramid, last, 0, 0), {t});
  for (const Visible& v : visible)
    if (const Texture* t = tile(layer, v))
      painter_.draw(photo_, quad_of(*layer.pyramid, v.level, v.column, v.row), {t});
}

void Canvas::draw_overlay(const Shader& shader, const std::vector<Layer>& layers,
                          const std::vector<Visible>& visible) {
  for (const Visible& v : visible) {
    const Texture* a = tile(layers[0], v);
    const Texture* b = layers.size() > 1 ? tile(layers[1], v) : a;
    if (a && b)
      painter_.draw(shader, quad_of(*layers[0].pyramid, v.level, v.column, v.row), {a, b});
  }
}

void Canvas::draw(const Desk& desk, const ViewerState& state, cv::Size framebuffer,
                  double per_screen) {
  const Derived& d = desk.derived();
  tiles_.begin_frame();
  if (!d.photo_pyramid || state.canvas.width < 1 || state.canvas.height < 1) return;
  const double scale = state.view.scale * per_screen;
  const int level = level_for(scale, d.photo_pyramid->level_count());
  const cv::Rect2d seen = visible_px(state.view, state.canvas);
  const cv::Point2d middle(seen.x + seen.width / 2, seen.y + seen.height / 2);
  const cv::Size count = d.photo_pyramid->tiles(level);
  const double span = k_tile_content_px * static_cast<double>(1 << level);
  std::vector<Visible> visible;
  for (int row = std::max(0, static_cast<int>(seen.y / span));
       row < count.height && row * span <= seen.br().y; ++row)
    for (int column = std::max(0, static_cast<int>(seen.x / span));
         column < count.width && column * span <= seen.br().x; ++column)
      visible.push_back({level, column, row});
  std::sort(visible.begin(), visible.end(), [&](const Visible& a, const Visible& b) {
    const auto off = [&](const Visible& v) {
      return cv::norm(cv::Point2d((v.column + 0.5) * span, (v.row + 0.5) * span) - middle);
    };
    return off(a) < off(b);
  });

  const cv::Rect area(cvRound(state.canvas.x * per_screen), cvRound(state.canvas.y * per_screen),
                      cvRound(state.canvas.width * per_screen),
                      cvRound(state.canvas.height * per_screen));
  painter_.begin(area, framebuffer, ndc_from_photo(state.view, state.canvas));
  photo_.use();
  photo_.set("exposure", state.exposure);
  photo_.set("contrast", state.contrast);
  const bool is_true = scale > k_true_pixels_from_scale;
  draw_photo({d.photo_pyramid.get(),
              d.photo_revision * picture_count + (is_true ? photo_true : photo_smooth),
              is_true ? Filter::nearest : Filter::linear},
             visible);
  const std::uint32_t base = d.survey_revision * picture_count;
  if (state.layers.residue && d.labels && d.confidence) {
    residue_.use();
    residue_.set("labels", 0);
    residue_.set("confidence", 1);
    residue_.set("threshold", state.threshold);
    residue_.set("strength", k_residue_strength);
    std::array<cv::Vec4f, k_residue_count> colours;
    for (int i = 0; i < k_residue_count; ++i) {
      const ImVec4 c = residue_colour(static_cast<Residue>(i));
      colours[static_cast<size_t>(i)] = {c.x, c.y, c.z, 1};
    }
    residue_.set_colours("colours", colours.data(), k_residue_count);
    draw_overlay(residue_,
                 {{d.labels.get(), base + labels, Filter::nearest},
                  {d.confidence.get(), base + confidence, Filter::nearest}},
                 visible);
  }
  if (state.layers.unseen && d.unseen)
    draw_overlay(unseen_, {{d.unseen.get(), base + unseen, Filter::nearest}}, visible);
  painter_.end();
}

}  // namespace verdigrid
