#include "report/canvas.h"

#include <pango/pangocairo.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>

#include "base/colour.h"
#include "base/error.h"
#include "report/utf8.h"

namespace verdigrid {

namespace {

constexpr int k_cairo_side_limit_px = 32767;
constexpr char k_font[] = "DejaVu Sans";

struct Unref {
  void operator()(void* object) const { g_object_unref(object); }
};
using Layout = std::unique_ptr<PangoLayout, Unref>;

void set_ink(cairo_t* c, const Ink& ink) {
  cairo_set_source_rgba(c, ink.r, ink.g, ink.b, ink.opacity);
}

void add_ring(cairo_t* c, const Ring& ring) {
  if (ring.empty()) return;
  cairo_move_to(c, ring[0].x, ring[0].y);
  for (size_t i = 1; i < ring.size(); ++i) cairo_line_to(c, ring[i].x, ring[i].y);
  cairo_close_path(c);
}

void add_area(cairo_t* c, const std::vector<Polygon>& area) {
  cairo_new_path(c);
  cairo_set_fill_rule(c, CAIRO_FILL_RULE_EVEN_ODD);
  for (const Polygon& polygon : area) {
    add_ring(c, polygon.outer);
    for (const Ring& hole : polygon.holes) add_ring(c, hole);
  }
}

void add_box(cairo_t* c, const cv::Rect2d& b, double corner) {
  constexpr double quarter = std::numbers::pi / 2;
  const double r = std::min({corner, b.width / 2, b.height / 2});
  cairo_new_path(c);
  if (r <= 0) {
    cairo_rectangle(c, b.x, b.y, b.width, b.height);
    return;
  }
  cairo_arc(c, b.x + b.width - r, b.y + r, r, -quarter, 0);
  cairo_arc(c, b.x + b.width - r, b.y + b.height - r, r, 0, quarter);
  cairo_arc(c, b.x + r, b.y + b.height - r, r, quarter, 2 * quarter);
  cairo_arc(c, b.x + r, b.y + r, r, 2 * quarter, 3 * quarter);
  cairo_close_path(c);
}
Layout text_layout(cairo_t* c, std::string_view text, const TextStyle& style) {
  Layout layout(pango_cairo_create_layout(c));
  PangoFontDescription* font = pango_font_description_new();
  pango_font_description_set_family_static(font, k_font);
  pango_font_description_set_absolute_size(font, style.size_px * PANGO_SCALE);
  if (style.weight == Weight::bold) pango_font_description_set_weight(font, PANGO_WEIGHT_BOLD);
  pango_layout_set_font_description(layout.get(), font);
  pango_font_description_free(font);
  if (style.width_px > 0) {
    pango_layout_set_width(layout.get(), static_cast<int>(style.width_px * PANGO_SCALE));
    pango_layout_set_wrap(layout.get(), PANGO_WRAP_WORD_CHAR);
    pango_layout_set_height(layout.get(), -style.lines_at_most);
    pango_layout_set_ellipsize(layout.get(), PANGO_ELLIPSIZE_END);
  }
  const std::string valid = valid_utf8(text);
  pango_layout_set_text(layout.get(), valid.c_str(), static_cast<int>(valid.size()));
  return layout;
}

// Strokes that repeat every `s` px in both directions, over the square 0..s and a margin around it.
void add_hatch_strokes(cairo_t* c, Hatching hatch, double s) {
  const auto stroke = [c](double x0, double y0, double x1, double y1) {
    cairo_move_to(c, x0, y0);
    cairo_line_to(c, x1, y1);
  };
  if (hatch == Hatching::rising || hatch == Hatching::crossed)
    for (const double k : {0.0, 1.0, 2.0}) stroke(-s, k * s + s, k * s + s, -s);
  if (hatch == Hatching::falling || hatch == Hatching::crossed)
    for (const double k : {-1.0, 0.0, 1.0}) stroke(-s, k * s - s, 2 * s, k * s + 2 * s);
  if (hatch == Hatching::pluses) {
    stroke(s / 4, s / 2, 3 * s / 4, s / 2);
    stroke(s / 2, s / 4, s / 2, 3 * s / 4);
  }
  if (hatch == Hatching::level || hatch == Hatching::squares) stroke(-s, s / 2, 2 * s, s / 2);
  if (hatch == Hatching::upright || hatch == Hatching::squares) stroke(s / 2, -s, s / 2, 2 * s);
}

// One tile of the hatch, with a contrasting casing so that it shows on any ground.
cairo_surface_t* hatch_tile(Hatching hatch, const Ink& ink, double spacing) {
  const double s = std::max(4.0, std::round(spacing));
  const double width = std::max(1.2, s / 8);
  cairo_surface_t* tile =
      cairo_image_surface_create(CAIRO_FORMAT_ARGB32, static_cast<int>(s), static_cast<int>(s));
  cairo_t* c = cairo_create(tile);
  const Ink casing = with_opacity(ink_on(ink), 0.45 * ink.opacity);
  for (const bool is_casing : {true, false}) {
    set_ink(c, is_casing ? casing : ink);
    cairo_new_path(c);
    if (hatch == Hatching::dots) {
      cairo_arc(c, s / 2, s / 2, is_casing ? 1.7 * width : 1.1 * width, 0, 2 * std::numbers::pi);
      cairo_fill(c);
    } else {
      add_hatch_strokes(c, hatch, s);
      cairo_set_line_width(c, is_casing ? 2 * width : width);
      cairo_stroke(c);
    }
  }
  cairo_destroy(c);
  return tile;
}

void fill_path_with_hatch(cairo_t* c, Hatching hatch, const Ink& ink, double spacing) {
  cairo_surface_t* tile = hatch_tile(hatch, ink, spacing);
  cairo_pattern_t* pattern = cairo_pattern_create_for_surface(tile);
  cairo_pattern_set_extend(pattern, CAIRO_EXTEND_REPEAT);
  cairo_set_source(c, pattern);
  cairo_fill(c);
  cairo_pattern_destroy(pattern);
  cairo_surface_destroy(tile);
}

double relative_luminance(const Ink& ink) { return xyz_from_srgb({ink.r, ink.g, ink.b}).y; }

}  // namespace

Ink ink_from_bgr(const cv::Scalar& bgr, double opacity) {
  return {bgr[2] / 255, bgr[1] / 255, bgr[0] / 255, opacity};
}

Ink with_opacity(Ink ink, double opacity) {
  ink.opacity = opacity;
  return ink;
}

Ink ink_on(const Ink& ground) {
  // Equal contrast ratio (L + 0.05) against black and white lies at 0.179 (WCAG 2.1, 1.4.3).
  return relative_luminance(ground) > 0.179 ? Ink{0.08, 0.08, 0.08, 1} : Ink{1, 1, 1, 1};
}

struct Canvas::Drawing {
  cairo_surface_t* surface;
  cairo_t* context;

  explicit Drawing(cv::Mat& pixels)
      : surface(cairo_image_surface_create_for_data(pixels.data, CAIRO_FORMAT_RGB24, pixels.cols,
                                                    pixels.rows, static_cast<int>(pixels.step[0]))),
        context(cairo_create(surface)) {}
  ~Drawing() {
    cairo_destroy(context);
    cairo_surface_destroy(surface);
  }
  Drawing(const Drawing&) = delete;
  Drawing& operator=(const Drawing&) = delete;
};

Canvas::~Canvas() = default;

Canvas::Canvas(cv::Size size, const Ink& paper) {
  require(size.width > 0 && size.height > 0, "a canvas has a size");
  if (std::max(size.width, size.height) > k_cairo_side_limit_px)
    throw Error(ErrorKind::no_result,
                "The picture would have more than 32767 px a side; ask for a smaller one.");
  pixels_.create(size, CV_8UC4);
  drawing_ = std::make_unique<Drawing>(pixels_);
  require(cairo_status(drawing_->context) == CAIRO_STATUS_SUCCESS, "a canvas can be drawn on");
  cairo_set_line_join(drawing_->context, CAIRO_LINE_JOIN_ROUND);
  cairo_set_line_cap(drawing_->context, CAIRO_LINE_CAP_ROUND);
  set_ink(drawing_->context, paper);
  cairo_paint(drawing_->context);
}

cv::Mat Canvas::bgr() const {
  cairo_surface_flush(drawing_->surface);
  cv::Mat copy;
  cv::cvtColor(pixels_, copy, cv::COLOR_BGRA2BGR);
  return copy;
}

void Canvas::put_picture(const cv::Mat& bgr, cv::Point top_left) {
  require(bgr.type() == CV_8UC3, "a picture on a canvas has three channels");
  const cv::Rect place(top_left, bgr.size());
  require((place & cv::Rect({}, pixels_.size())) == place, "a picture fits its canvas");
  cairo_surface_flush(drawing_->surface);
  cv::Mat target = pixels_(place);
  cv::cvtColor(bgr, target, cv::COLOR_BGR2BGRA);
  cairo_surface_mark_dirty(drawing_->surface);
}

void Canvas::clip_to(const cv::Rect2d& box) {
  cairo_save(drawing_->context);
  add_box(drawing_->context, box, 0);
  cairo_clip(drawing_->context);
}

void Canvas::clip_to(const std::vector<Polygon>& area) {
  cairo_save(drawing_->context);
  add_area(drawing_->context, area);
  cairo_clip(drawing_->context);
}

void Canvas::release() { cairo_restore(drawing_->context); }

void Canvas::fill(const cv::Rect2d& box, const Ink& ink, double corner_px) {
  add_box(drawing_->context, box, corner_px);
  set_ink(drawing_->context, ink);
  cairo_fill(drawing_->context);
}

void Canvas::fill(const std::vector<Polygon>& area, const Ink& ink) {
  add_area(drawing_->context, area);
  set_ink(drawing_->context, ink);
  cairo_fill(drawing_->context);
}

void Canvas::hatch(const std::vector<Polygon>& area, Hatching hatch, const Ink& ink,
                   double spacing_px) {
  add_area(drawing_->context, area);
  fill_path_with_hatch(drawing_->context, hatch, ink, spacing_px);
}

void Canvas::hatch(const cv::Rect2d& box, Hatching hatch, const Ink& ink, double spacing_px) {
  add_box(drawing_->context, box, 0);
  fill_path_with_hatch(drawing_->context, hatch, ink, spacing_px);
}

void Canvas::line(const Ring& points, const Ink& ink, double width_px) {
  if (points.empty()) return;
  cairo_t* c = drawing_->context;
  cairo_new_path(c);
  for (const cv::Point2d& p : points) cairo_line_to(c, p.x, p.y);
  set_ink(c, ink);
  cairo_set_line_width(c, width_px);
  cairo_stroke(c);
}

void Canvas::outline(const std::vector<Polygon>& area, const Ink& ink, double width_px) {
  add_area(drawing_->context, area);
  set_ink(drawing_->context, ink);
  cairo_set_line_width(drawing_->context, width_px);
  cairo_stroke(drawing_->context);
}

void Canvas::outline(const cv::Rect2d& box, const Ink& ink, double width_px, double corner_px) {
  add_box(drawing_->context, box, corner_px);
  set_ink(drawing_->context, ink);
  cairo_set_line_width(drawing_->context, width_px);
  cairo_stroke(drawing_->context);
}

void Canvas::disc(cv::Point2d centre, double radius_px, const Ink& ink) {
  cairo_t* c = drawing_->context;
  cairo_new_path(c);
  cairo_arc(c, centre.x, centre.y, radius_px, 0, 2 * std::numbers::pi);
  set_ink(c, ink);
  cairo_fill(c);
}

void Canvas::ring(cv::Point2d centre, double radius_px, const Ink& ink, double width_px) {
  cairo_t* c = drawing_->context;
  cairo_new_path(c);
  cairo_arc(c, centre.x, centre.y, radius_px, 0, 2 * std::numbers::pi);
  set_ink(c, ink);
  cairo_set_line_width(c, width_px);
  cairo_stroke(c);
}

cv::Size2d Canvas::text_size(std::string_view text, const TextStyle& style) const {
  const Layout layout = text_layout(drawing_->context, text, style);
  PangoRectangle logical;
  pango_layout_get_extents(layout.get(), nullptr, &logical);
  return {static_cast<double>(logical.width) / PANGO_SCALE,
          static_cast<double>(logical.height) / PANGO_SCALE};
}

void Canvas::text(std::string_view text, cv::Point2d at, const TextStyle& style, Anchor anchor) {
  const Layout layout = text_layout(drawing_->context, text, style);
  PangoRectangle logical;
  pango_layout_get_extents(layout.get(), nullptr, &logical);
  const double width = static_cast<double>(logical.width) / PANGO_SCALE;
  const double back = anchor == Anchor::left ? 0 : (anchor == Anchor::centre ? width / 2 : width);
  cairo_new_path(drawing_->context);
  set_ink(drawing_->context, style.ink);
  cairo_move_to(drawing_->context, at.x - back, at.y);
  pango_cairo_show_layout(drawing_->context, layout.get());
}

void Canvas::text_in_middle(std::string_view text, cv::Point2d middle, const TextStyle& style) {
  const Layout layout = text_layout(drawing_->context, text, style);
  PangoRectangle seen;
  pango_layout_get_extents(layout.get(), &seen, nullptr);
  const double x = (seen.x + seen.width / 2.0) / PANGO_SCALE;
  const double y = (seen.y + seen.height / 2.0) / PANGO_SCALE;
  cairo_new_path(drawing_->context);
  set_ink(drawing_->context, style.ink);
  cairo_move_to(drawing_->context, middle.x - x, middle.y - y);
  pango_cairo_show_layout(drawing_->context, layout.get());
}

}  // namespace verdigrid
