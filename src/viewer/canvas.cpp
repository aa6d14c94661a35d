#include "viewer/canvas.h"

#include <algorithm>
#include <array>

#include "viewer/canvas_painter.h"
#include "viewer/panels.h"

namespace verdigrid {

namespace {

constexpr double k_true_pixels_from_scale = 4;  // above it, photo pixels are shown as squares
constexpr float k_residue_strength = 0.34f;
constexpr float k_by_labels = -1;  // the shader shows the survey's own labels

// Pictures of one revision get their own numbers.
enum Picture : std::uint32_t {
  photo_smooth,
  photo_true,
  labels,
  confidence,
  unseen,
  compared_before,
  compared_after,
  compared_classes,
  paired_before,
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

PhotoCanvas::PhotoCanvas(const DataFiles& data)
    : photo_(data.get("shaders/canvas.vert"), data.get("shaders/photo.frag")),
      residue_(data.get("shaders/canvas.vert"), data.get("shaders/residue.frag")),
      unseen_(data.get("shaders/canvas.vert"), data.get("shaders/unseen.frag")),
      difference_(data.get("shaders/canvas.vert"), data.get("shaders/difference.frag")) {}

const Texture* PhotoCanvas::tile(const Layer& layer, const Visible& v) {
  const TileKey key{layer.picture, static_cast<std::uint16_t>(v.level),
                    static_cast<std::uint16_t>(v.column), static_cast<std::uint16_t>(v.row)};
  if (const Texture* t = tiles_.find(key)) return t;
  return tiles_.make(key, layer.filter,
                     [&] { return tile_pixels(*layer.pyramid, v.level, v.column, v.row); });
}

void PhotoCanvas::draw_photo(const Layer& layer, const std::vector<Visible>& visible) {
  std::vector<const Texture*> textures;
  for (const Visible& v : visible) textures.push_back(tile(layer, v));
  // The coarsest tile stands in for what is not there yet, so nothing flashes. It is asked for in
  // every frame, so that it stays.
  const int last = layer.pyramid->level_count() - 1;
  const Texture* coarsest = tile(layer, {last, 0, 0});
  if (coarsest && std::count(textures.begin(), textures.end(), nullptr) > 0)
    painter_.draw(photo_, quad_of(*layer.pyramid, last, 0, 0), {coarsest});
  for (size_t i = 0; i < visible.size(); ++i)
    if (textures[i])
      painter_.draw(photo_,
                    quad_of(*layer.pyramid, visible[i].level, visible[i].column, visible[i].row),
                    {textures[i]});
}

void PhotoCanvas::draw_overlay(const Shader& shader, const std::vector<Layer>& layers,
                               const std::vector<Visible>& visible) {
  for (const Visible& v : visible) {
    const Texture* a = tile(layers[0], v);
    const Texture* b = layers.size() > 1 ? tile(layers[1], v) : a;
    if (a && b)
      painter_.draw(shader, quad_of(*layers[0].pyramid, v.level, v.column, v.row), {a, b});
  }
}

void PhotoCanvas::draw(const Desk& desk, const ViewerState& state, cv::Size framebuffer,
                       double per_screen) {
  tiles_.begin_frame();
  const ComparedPictures* pair = compared_now(desk, state);
  if (!pair && !desk.derived().photo_pyramid) return;
  if (is_pairing(desk, state)) return draw_pairing(desk, state, framebuffer, per_screen);
  const auto draw_in = [&](const View& view, const cv::Rect2d& screen) {
    if (screen.width < 1 || screen.height < 1) return;
    const Frame frame{view, screen, framebuffer, per_screen};
    pair ? draw_pair(*pair, state, frame) : draw_work(desk, state, frame);
  };
  draw_in(state.view, state.canvas);
  const cv::Rect2d loupe = loupe_screen(state);
  if (loupe.empty()) return;
  View close = state.view;
  close.centre_px = *state.cursor_px;
  close.scale = loupe_scale(state);
  draw_in(close, loupe);
}

// Both photos as they are, side by side.
void PhotoCanvas::draw_pairing(const Desk& desk, const ViewerState& state, cv::Size framebuffer,
                               double per_screen) {
  const Derived& d = desk.derived();
  const std::uint32_t before = d.earlier_revision * picture_count + paired_before,
                      after = d.photo_revision * picture_count + photo_smooth;
  for (size_t half = 0; half < 2; ++half) {
    const Frame frame{state.pairing.views[half], pairing_half(state, half), framebuffer,
                      per_screen};
    if (frame.screen.width < 1 || frame.screen.height < 1) continue;
    draw_plain(half == 0 ? *d.earlier->pyramid : *d.photo_pyramid, half == 0 ? before : after,
               state, frame);
  }
}

void PhotoCanvas::begin(const Frame& f) {
  const cv::Rect area(cvRound(f.screen.x * f.per_screen), cvRound(f.screen.y * f.per_screen),
                      cvRound(f.screen.width * f.per_screen),
                      cvRound(f.screen.height * f.per_screen));
  painter_.begin(area, f.framebuffer, ndc_from_photo(f.view, f.screen));
}

std::vector<PhotoCanvas::Visible> PhotoCanvas::visible_tiles(const Pyramid& photo,
                                                             const Frame& f) const {
  const int level = level_for(f.view.scale * f.per_screen, photo.level_count());
  const cv::Rect2d seen = visible_px(f.view, f.screen);
  const cv::Point2d middle(seen.x + seen.width / 2, seen.y + seen.height / 2);
  const cv::Size count = photo.tiles(level);
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
  return visible;
}

void PhotoCanvas::draw_work(const Desk& desk, const ViewerState& state, const Frame& frame) {
  const Derived& d = desk.derived();
  const std::vector<Visible> visible = visible_tiles(*d.photo_pyramid, frame);
  begin(frame);
  photo_.use();
  photo_.set("exposure", state.exposure);
  photo_.set("contrast", state.contrast);
  const bool is_true = frame.view.scale * frame.per_screen > k_true_pixels_from_scale;
  draw_photo({d.photo_pyramid.get(),
              d.photo_revision * picture_count + (is_true ? photo_true : photo_smooth),
              is_true ? Filter::nearest : Filter::linear},
             visible);
  const std::uint32_t base = d.survey_revision * picture_count;
  const bool is_bare = state.step == Step::straighten || state.step == Step::receive;
  if (state.layers.residue && d.labels && d.confidence && !is_bare) {
    std::array<ImVec4, k_residue_count> colours;
    for (int i = 0; i < k_residue_count; ++i)
      colours[static_cast<size_t>(i)] = residue_colour(static_cast<Residue>(i));
    use_classes(colours, state.threshold.value_or(k_by_labels));
    draw_overlay(residue_,
                 {{d.labels.get(), base + labels, Filter::nearest},
                  {d.confidence.get(), base + confidence, Filter::nearest}},
                 visible);
  }
  if (state.layers.unseen && d.unseen)
    draw_overlay(unseen_, {{d.unseen.get(), base + unseen, Filter::nearest}}, visible);
  painter_.end();
}

void PhotoCanvas::use_classes(const std::array<ImVec4, k_residue_count>& colours, float threshold) {
  residue_.use();
  residue_.set("labels", 0);
  residue_.set("confidence", 1);
  residue_.set("threshold", threshold);
  residue_.set("strength", k_residue_strength);
  std::array<cv::Vec4f, k_residue_count> values;
  for (size_t i = 0; i < values.size(); ++i)
    values[i] = {colours[i].x, colours[i].y, colours[i].z, 1};
  residue_.set_colours("colours", values.data(), k_residue_count);
}

// What became of the residue, over either photo.
void PhotoCanvas::draw_changes(const ComparedPictures& pair, const Frame& frame) {
  static_assert(k_change_class_count == k_residue_count, "the shader has one colour per class");
  std::array<ImVec4, k_residue_count> colours;
  for (int i = 0; i < k_change_class_count; ++i)
    colours[static_cast<size_t>(i)] = change_colour(static_cast<ChangeClass>(i));
  begin(frame);
  use_classes(colours, k_by_labels);
  draw_overlay(
      residue_,
      {{pair.classes.get(), pair.revision * picture_count + compared_classes, Filter::nearest}},
      visible_tiles(*pair.classes, frame));
  painter_.end();
}

void PhotoCanvas::draw_plain(const Pyramid& photo, std::uint32_t picture, const ViewerState& state,
                             const Frame& frame) {
  begin(frame);
  photo_.use();
  photo_.set("exposure", state.exposure);
  photo_.set("contrast", state.contrast);
  draw_photo({&photo, picture, Filter::linear}, visible_tiles(photo, frame));
  painter_.end();
}

void PhotoCanvas::draw_difference(const ComparedPictures& pair, float gain, const Frame& frame) {
  const std::uint32_t base = pair.revision * picture_count;
  begin(frame);
  difference_.use();
  difference_.set("before", 0);
  difference_.set("after", 1);
  difference_.set("gain", gain);
  draw_overlay(difference_,
               {{pair.before.get(), base + compared_before, Filter::linear},
                {pair.after.get(), base + compared_after, Filter::linear}},
               visible_tiles(*pair.before, frame));
  painter_.end();
}

void PhotoCanvas::draw_pair(const ComparedPictures& pair, const ViewerState& state,
                            const Frame& frame) {
  const std::uint32_t base = pair.revision * picture_count;
  const auto draw_before = [&](const Frame& f) {
    draw_plain(*pair.before, base + compared_before, state, f);
    if (state.layers.residue) draw_changes(pair, f);
  };
  const auto draw_after = [&](const Frame& f) {
    draw_plain(*pair.after, base + compared_after, state, f);
    if (state.layers.residue) draw_changes(pair, f);
  };
  switch (state.compare.mode) {
    case CompareMode::before:
      return draw_before(frame);
    case CompareMode::after:
      return draw_after(frame);
    case CompareMode::blink:
      return state.compare.shows_after ? draw_after(frame) : draw_before(frame);
    case CompareMode::difference:
      return draw_difference(pair, state.compare.gain, frame);
    case CompareMode::side_by_side: {
      Frame left = frame, right = frame;
      left.screen.width = right.screen.width = frame.screen.width / 2;
      right.screen.x += left.screen.width;
      draw_before(left);
      return draw_after(right);
    }
    case CompareMode::swipe: {
      draw_after(frame);
      // The same place of the photo plane as in the whole, cut off at the line.
      Frame left = frame;
      left.screen.width *= state.compare.swipe_at;
      if (left.screen.width < 1) return;
      left.view.centre_px =
          photo_from_screen(frame.view, frame.screen, (left.screen.tl() + left.screen.br()) * 0.5);
      return draw_before(left);
    }
  }
}

}  // namespace verdigrid
