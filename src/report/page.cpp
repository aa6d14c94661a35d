#include "report/page.h"

#include <cairo/cairo-pdf.h>
#include <pango/pangocairo.h>

#include <cstdlib>
#include <cstring>
#include <memory>

#include "base/error.h"
#include "photo/encode.h"
#include "report/utf8.h"

namespace verdigrid {

namespace {

constexpr int k_picture_quality = 88;

constexpr char k_font[] = "DejaVu Sans";

double pt(double mm) { return mm * 72 / 25.4; }
double mm(double pt) { return pt * 25.4 / 72; }

cairo_status_t append(void* to, const unsigned char* data, unsigned int size) {
  const auto* bytes = reinterpret_cast<const std::byte*>(data);
  static_cast<Bytes*>(to)->insert(static_cast<Bytes*>(to)->end(), bytes, bytes + size);
  return CAIRO_STATUS_SUCCESS;
}

void set_ink(cairo_t* c, const Ink& ink) {
  cairo_set_source_rgba(c, ink.r, ink.g, ink.b, ink.opacity);
}

void trace(cairo_t* c, const std::vector<cv::Point2d>& points_mm) {
  cairo_new_path(c);
  for (const cv::Point2d p : points_mm) cairo_line_to(c, pt(p.x), pt(p.y));
}

void trace(cairo_t* c, const cv::Rect2d& box_mm) {
  cairo_new_path(c);
  cairo_rectangle(c, pt(box_mm.x), pt(box_mm.y), pt(box_mm.width), pt(box_mm.height));
}

}  // namespace

struct Page::Drawing {
  cairo_surface_t* surface;
  cairo_t* context;

  Drawing(cairo_write_func_t write, Bytes* into, cv::Size2d size_pt)
      : surface(cairo_pdf_surface_create_for_stream(write, into, size_pt.width, size_pt.height)),
        context(cairo_create(surface)) {}
  ~Drawing() {
    cairo_destroy(context);
    cairo_surface_destroy(surface);
  }
  Drawing(const Drawing&) = delete;
  Drawing& operator=(const Drawing&) = delete;
};

Page::~Page() = default;

Page::Page(cv::Size2d size_mm, const std::string& title)
    : drawing_(std::make_unique<Drawing>(append, &bytes_,
                                         cv::Size2d(pt(size_mm.width), pt(size_mm.height)))) {
  cairo_pdf_surface_set_metadata(drawing_->surface, CAIRO_PDF_METADATA_TITLE, title.c_str());
  cairo_pdf_surface_set_metadata(drawing_->surface, CAIRO_PDF_METADATA_CREATOR, "Verdigrid");
}

void Page::fill(const cv::Rect2d& box_mm, const Ink& ink) {
  set_ink(drawing_->context, ink);
  trace(drawing_->context, box_mm);
  cairo_fill(drawing_->context);
}

void Page::outline(const cv::Rect2d& box_mm, const Ink& ink, double width_mm) {
  set_ink(drawing_->context, ink);
  cairo_set_line_width(drawing_->context, pt(width_mm));
  trace(drawing_->context, box_mm);
  cairo_stroke(drawing_->context);
}

void Page::line(const std::vector<cv::Point2d>& points_mm, const Ink& ink, double width_mm) {
  set_ink(drawing_->context, ink);
  cairo_set_line_width(drawing_->context, pt(width_mm));
  cairo_set_line_cap(drawing_->context, CAIRO_LINE_CAP_BUTT);
  trace(drawing_->context, points_mm);
  cairo_stroke(drawing_->context);
}

void Page::dashed(const std::vector<cv::Point2d>& points_mm, const Ink& ink, double width_mm,
                  double dash_mm) {
  const double dashes[] = {pt(dash_mm), pt(dash_mm)};
  cairo_set_dash(drawing_->context, dashes, 2, 0);
  line(points_mm, ink, width_mm);
  cairo_set_dash(drawing_->context, nullptr, 0, 0);
}

namespace {

// Freed at the end of its scope.
using TextLayout = std::unique_ptr<PangoLayout, void (*)(gpointer)>;

TextLayout laid_out(cairo_t* c, std::string_view text, const PageText& style) {
  TextLayout layout(pango_cairo_create_layout(c), g_object_unref);
  cairo_font_options_t* options = cairo_font_options_create();
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  pango_cairo_context_set_font_options(pango_layout_get_context(layout.get()), options);
  cairo_font_options_destroy(options);
  pango_context_set_round_glyph_positions(pango_layout_get_context(layout.get()), FALSE);
  PangoFontDescription* font = pango_font_description_new();
  pango_font_description_set_family(font, k_font);
  pango_font_description_set_weight(
      font, style.weight == Weight::bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
  pango_font_description_set_absolute_size(font, pt(style.size_mm) * PANGO_SCALE);
  pango_layout_set_font_description(layout.get(), font);
  pango_font_description_free(font);
  pango_layout_set_line_spacing(layout.get(), 1.15F);
  if (style.width_mm > 0) {
    pango_layout_set_width(layout.get(), static_cast<int>(pt(style.width_mm) * PANGO_SCALE));
    pango_layout_set_wrap(layout.get(), PANGO_WRAP_WORD_CHAR);
  }
  const std::string valid = valid_utf8(text);
  pango_layout_set_text(layout.get(), valid.data(), static_cast<int>(valid.size()));
  return layout;
}

cv::Size2d size_pt(PangoLayout* layout) {
  PangoRectangle extent;
  pango_layout_get_extents(layout, nullptr, &extent);
  return {static_cast<double>(extent.width) / PANGO_SCALE,
          static_cast<double>(extent.height) / PANGO_SCALE};
}

}  // namespace

double Page::text(std::string_view text, cv::Point2d at_mm, const PageText& style) {
  cairo_t* c = drawing_->context;
  const TextLayout layout = laid_out(c, text, style);
  const cv::Size2d size = size_pt(layout.get());
  double x = pt(at_mm.x);
  if (style.anchor == Anchor::centre) x -= size.width / 2;
  if (style.anchor == Anchor::right) x -= size.width;
  set_ink(c, style.ink);
  cairo_move_to(c, x, pt(at_mm.y));
  pango_cairo_show_layout(c, layout.get());
  return mm(size.height);
}

double Page::text_height(std::string_view text, const PageText& style) const {
  return mm(size_pt(laid_out(drawing_->context, text, style).get()).height);
}

void Page::heading(const std::string& title, double y_mm) {
  const std::string there = "page=" + std::to_string(number_) + " pos=[0 " +
                            std::to_string(static_cast<int>(pt(y_mm))) + "]";
  cairo_pdf_surface_add_outline(drawing_->surface, CAIRO_PDF_OUTLINE_ROOT, title.c_str(),
                                there.c_str(), CAIRO_PDF_OUTLINE_FLAG_OPEN);
}

void Page::picture(const cv::Mat& bgr, const cv::Rect2d& box_mm) {
  require(bgr.type() == CV_8UC3 && !bgr.empty(), "a picture on a page is BGR");
  picture(jpeg_bytes(bgr, k_picture_quality), bgr.size(), box_mm);
}

// Cairo writes the JPEG itself instead of the pixels, which are never looked at.
void Page::picture(const Bytes& jpeg, cv::Size size_px, const cv::Rect2d& box_mm) {
  cairo_surface_t* image =
      cairo_image_surface_create(CAIRO_FORMAT_RGB24, size_px.width, size_px.height);
  auto* copy = static_cast<unsigned char*>(std::malloc(jpeg.size()));
  require(copy != nullptr, "there is memory for a picture");
  std::memcpy(copy, jpeg.data(), jpeg.size());
  cairo_surface_set_mime_data(image, CAIRO_MIME_TYPE_JPEG, copy, jpeg.size(), std::free, copy);
  cairo_t* c = drawing_->context;
  cairo_save(c);
  cairo_translate(c, pt(box_mm.x), pt(box_mm.y));
  cairo_scale(c, pt(box_mm.width) / size_px.width, pt(box_mm.height) / size_px.height);
  cairo_set_source_surface(c, image, 0, 0);
  cairo_paint(c);
  cairo_restore(c);
  cairo_surface_destroy(image);
}

void Page::next() {
  cairo_show_page(drawing_->context);
  ++number_;
}

Bytes Page::pdf() {
  require(drawing_ != nullptr, "a page is finished once");
  cairo_show_page(drawing_->context);
  cairo_surface_finish(drawing_->surface);
  const cairo_status_t status = cairo_surface_status(drawing_->surface);
  drawing_.reset();
  if (status != CAIRO_STATUS_SUCCESS)
    throw Error(ErrorKind::no_result, std::string("The PDF page could not be made (") +
                                          cairo_status_to_string(status) + ").");
  return std::move(bytes_);
}

}  // namespace verdigrid
