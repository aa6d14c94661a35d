#include "report/document_pdf.h"

#include <fmt/format.h>

#include <algorithm>

#include "report/page.h"

namespace verdigrid {

namespace {

const cv::Size2d k_a4_mm{210, 297};  // ISO 216
constexpr double k_margin_mm = 16, k_foot_mm = 10;
constexpr double k_width_mm = 210 - 2 * k_margin_mm;
constexpr double k_body_mm = 3.2, k_small_mm = 2.7;
constexpr double k_cell_pad_mm = 1.2;
constexpr double k_picture_height_mm = 150;
constexpr Ink k_text{0.1, 0.1, 0.1, 1}, k_quiet{0.34, 0.38, 0.36, 1}, k_line{0.7, 0.74, 0.72, 1},
    k_band{0.93, 0.95, 0.94, 1}, k_warn{0.48, 0.18, 0, 1}, k_warn_band{0.99, 0.95, 0.9, 1};

cv::Size2d fitted(cv::Size px, double width_mm, double height_mm) {
  const double scale = std::min(width_mm / px.width, height_mm / px.height);
  return {px.width * scale, px.height * scale};
}

// Writes block after block from top to bottom, and goes to the next page where one does not fit.
class Flow {
 public:
  Flow(Page& page, std::string title) : page_(page), title_(std::move(title)) {}

  void begin(const ReportDocument& d) {
    y_ += page_.text(d.title, {k_margin_mm, y_}, {6.4, Weight::bold, k_text, k_width_mm}) + 1;
    if (!d.subtitle.empty())
      y_ += page_.text(d.subtitle, {k_margin_mm, y_},
                       {k_body_mm, Weight::regular, k_quiet, k_width_mm}) +
            1;
  }

  void section(const Section& s) {
    make_room(26);  // a heading is not left alone at the foot
    y_ += 5;
    page_.heading(s.heading, y_);
    page_.line({{k_margin_mm, y_}, {k_margin_mm + k_width_mm, y_}}, k_line, 0.4);
    y_ += 2;
    y_ += page_.text(s.heading, {k_margin_mm, y_}, {4.6, Weight::bold, k_text, k_width_mm}) + 1.5;
    for (const Block& block : s.blocks) std::visit(*this, block);
  }

  void end() { foot(); }

  void operator()(const Paragraph& p) {
    const bool is_caution = p.tone == Emphasis::caution;
    const double inset = is_caution ? 4 : 0;
    const PageText style{k_body_mm, p.tone == Emphasis::strong ? Weight::bold : Weight::regular,
                         p.tone == Emphasis::quiet ? k_quiet : k_text, k_width_mm - 2 * inset};
    const double height = page_.text_height(p.text, style) + (is_caution ? 3 : 0);
    make_room(height);
    if (is_caution) {
      page_.fill({k_margin_mm, y_, k_width_mm, height}, k_warn_band);
      page_.fill({k_margin_mm, y_, 1.2, height}, k_warn);
    }
    page_.text(p.text, {k_margin_mm + inset, y_ + (is_caution ? 1.5 : 0)}, style);
    y_ += height + 1.8;
  }

  void operator()(const Table& t) {
    const std::vector<double> widths = column_widths(t);
    if (!t.caption.empty()) {
      make_room(16);
      y_ +=
          page_.text(t.caption, {k_margin_mm, y_}, {k_body_mm, Weight::bold, k_text, k_width_mm}) +
          1;
    }
    table_row(t, t.head, widths, true);
    for (const auto& row : t.rows) {
      const double height = row_height(row, widths, Weight::regular);
      if (y_ + height > bottom()) {
        turn();
        table_row(t, t.head, widths, true);
      }
      table_row(t, row, widths, false);
    }
    y_ += 3;
  }

  void operator()(const Picture& p) {
    const cv::Size2d size = fitted(p.size_px, k_width_mm, k_picture_height_mm);
    make_room(size.height + caption_height(p.caption, k_width_mm));
    page_.picture(p.jpeg, p.size_px, {{k_margin_mm, y_}, size});
    y_ += size.height + 1;
    caption(p.caption, k_margin_mm, k_width_mm);
  }

  void operator()(const SwitchedPicture& l) { (*this)(l.over); }

  void operator()(const Pair& p) {
    const double half = (k_width_mm - 4) / 2;
    const cv::Size2d size = fitted(p.before.size_px, half, k_picture_height_mm);
    make_room(size.height + 5 + caption_height(p.caption, k_width_mm));
    const PageText label{k_small_mm, Weight::bold, k_text};
    page_.text("Before", {k_margin_mm, y_}, label);
    page_.text("After", {k_margin_mm + half + 4, y_}, label);
    y_ += 4.5;
    page_.picture(p.before.jpeg, p.before.size_px, {{k_margin_mm, y_}, size});
    page_.picture(p.after.jpeg, p.after.size_px, {{k_margin_mm + half + 4, y_}, size});
    y_ += size.height + 1;
    caption(p.caption, k_margin_mm, k_width_mm);
  }

  void operator()(const Gallery& g) {
    constexpr size_t k_columns = 4;
    constexpr double k_gap_mm = 4, k_cell_mm = (k_width_mm - 3 * k_gap_mm) / 4;
    for (size_t first = 0; first < g.pictures.size(); first += k_columns) {
      const size_t end = std::min(first + k_columns, g.pictures.size());
      double height = 0;
      for (size_t i = first; i < end; ++i)
        height = std::max(height, fitted(g.pictures[i].size_px, k_cell_mm, k_cell_mm).height + 1 +
                                      caption_height(g.pictures[i].caption, k_cell_mm));
      make_room(height);
      const double top = y_;
      for (size_t i = first; i < end; ++i) {
        const Picture& p = g.pictures[i];
        const double x = k_margin_mm + static_cast<double>(i - first) * (k_cell_mm + k_gap_mm);
        const cv::Size2d size = fitted(p.size_px, k_cell_mm, k_cell_mm);
        page_.picture(p.jpeg, p.size_px, {{x, top}, size});
        page_.text(p.caption, {x, top + size.height + 1},
                   {k_small_mm, Weight::regular, k_quiet, k_cell_mm});
      }
      y_ = top + height + 3;
    }
  }

  void operator()(const TickList& t) {
    for (size_t i = 0; i < t.items.size(); ++i) {
      const PageText style{k_body_mm, Weight::regular, k_text, k_width_mm - 6};
      const double height = std::max(4.0, page_.text_height(t.items[i], style));
      make_room(height);
      page_.outline({k_margin_mm, y_ + 0.3, 3, 3}, k_text, 0.3);
      if (!t.is_ticked.empty() && t.is_ticked[i])
        page_.line({{k_margin_mm + 0.6, y_ + 1.8},
                    {k_margin_mm + 1.3, y_ + 2.6},
                    {k_margin_mm + 2.6, y_ + 0.8}},
                   k_text, 0.5);
      page_.text(t.items[i], {k_margin_mm + 6, y_}, style);
      y_ += height + 1.2;
    }
    y_ += 1.5;
  }

 private:
  static double bottom() { return k_a4_mm.height - k_margin_mm - k_foot_mm; }

  void make_room(double height) {
    if (y_ + height > bottom() && y_ > k_margin_mm) turn();
  }

  void turn() {
    foot();
    page_.next();
    ++number_;
    y_ = k_margin_mm;
  }

  void foot() {
    const double y = k_a4_mm.height - k_margin_mm - 3;
    page_.text(title_, {k_margin_mm, y}, {k_small_mm, Weight::regular, k_quiet, k_width_mm - 20});
    page_.text(fmt::format("{}", number_), {k_margin_mm + k_width_mm, y},
               {k_small_mm, Weight::regular, k_quiet, 0, Anchor::right});
  }

  double caption_height(const std::string& text, double width) const {
    if (text.empty()) return 0;
    return page_.text_height(text, {k_small_mm, Weight::regular, k_quiet, width}) + 2;
  }

  void caption(const std::string& text, double x, double width) {
    if (!text.empty())
      y_ += page_.text(text, {x, y_}, {k_small_mm, Weight::regular, k_quiet, width});
    y_ += 3;
  }

  // In proportion to the longest text of each column, within bounds, so that all fit the page.
  static std::vector<double> column_widths(const Table& t) {
    std::vector<double> weights(t.head.size());
    for (size_t i = 0; i < weights.size(); ++i) {
      size_t longest = t.head[i].size();
      for (const auto& row : t.rows) longest = std::max(longest, row[i].size());
      weights[i] = static_cast<double>(std::clamp<size_t>(longest, 6, 48)) + 2.5;
    }
    double sum = 0;
    for (const double w : weights) sum += w;
    // A small table does not fill the page: about 1.9 mm a letter.
    const double width = std::min(k_width_mm, 1.9 * sum);
    for (double& w : weights) w *= width / sum;
    return weights;
  }

  static PageText cell_style(double width, Weight weight) {
    return {k_small_mm, weight, k_text, width - 2 * k_cell_pad_mm};
  }

  double row_height(const std::vector<std::string>& row, const std::vector<double>& widths,
                    Weight weight) const {
    double height = 0;
    for (size_t i = 0; i < row.size(); ++i)
      height = std::max(height, page_.text_height(row[i], cell_style(widths[i], weight)));
    return height + 2 * k_cell_pad_mm;
  }

  void table_row(const Table& t, const std::vector<std::string>& row,
                 const std::vector<double>& widths, bool is_head) {
    const Weight weight = is_head ? Weight::bold : Weight::regular;
    const double height = row_height(row, widths, weight);
    make_room(height);
    double x = k_margin_mm, width = 0;
    for (const double w : widths) width += w;
    if (is_head) page_.fill({x, y_, width, height}, k_band);
    for (size_t i = 0; i < row.size(); ++i) {
      PageText style = cell_style(widths[i], weight);
      const bool is_number = !t.is_number.empty() && t.is_number[i];
      const bool is_one_line = page_.text_height(row[i], style) < 1.6 * k_small_mm;
      if (is_number && is_one_line) {
        style.anchor = Anchor::right;
        style.width_mm = 0;
        page_.text(row[i], {x + widths[i] - k_cell_pad_mm, y_ + k_cell_pad_mm}, style);
      } else {
        page_.text(row[i], {x + k_cell_pad_mm, y_ + k_cell_pad_mm}, style);
      }
      x += widths[i];
    }
    y_ += height;
    page_.line({{k_margin_mm, y_}, {k_margin_mm + width, y_}}, k_line, 0.2);
  }

  Page& page_;
  std::string title_;
  double y_ = k_margin_mm;
  int number_ = 1;
};

}  // namespace

Bytes document_pdf(const ReportDocument& document) {
  document.check();
  Page page(k_a4_mm, document.title);
  Flow flow(page, document.title);
  flow.begin(document);
  for (const Section& s : document.sections) flow.section(s);
  flow.end();
  return page.pdf();
}

}  // namespace verdigrid
