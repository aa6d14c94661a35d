#include "report/work_sheet.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <opencv2/imgproc.hpp>
#include <set>

#include "base/error.h"
#include "plan/plan_words.h"
#include "report/page.h"
#include "report/signs.h"

namespace verdigrid {

namespace {

const cv::Size2d k_a4_mm{210, 297};  // ISO 216
constexpr double k_margin_mm = 14, k_width_mm = 210 - 2 * k_margin_mm;
constexpr double k_drawing_height_mm = 118;
constexpr double k_letters_mm = 6;  // room for the grid's names round the drawing
constexpr double k_pair_mm = 4.6;   // a line of a pair of pins
constexpr double k_place_mm = 30;   // column of the big place letters
constexpr double k_bottom_mm = 297 - 30;
constexpr Ink k_text{0.1, 0.1, 0.1, 1}, k_quiet{0.34, 0.38, 0.36, 1}, k_grid{0.72, 0.75, 0.74, 1},
    k_part{0.5, 0.5, 0.5, 1}, k_zone{0.2, 0.3, 0.45, 1};

// From the board frame to the page, mirrored for the back.
class BoardDrawing {
 public:
  BoardDrawing(Page& page, const SheetSide& side, const cv::Rect2d& room)
      : page_(page), side_(side), grid_(side.survey.zones.grid) {
    const cv::Rect2d inner(room.x + k_letters_mm, room.y + k_letters_mm,
                           room.width - 2 * k_letters_mm, room.height - 2 * k_letters_mm);
    scale_ = std::min(inner.width / grid_.frame.width, inner.height / grid_.frame.height);
    const cv::Size2d drawn(grid_.frame.width * scale_, grid_.frame.height * scale_);
    box_ = {inner.x + (inner.width - drawn.width) / 2, inner.y, drawn.width, drawn.height};
  }

  double bottom() const { return box_.y + box_.height + k_letters_mm; }

  void draw(const std::set<std::string>& worked_parts) {
    squares();
    outline();
    if (side_.layout != nullptr) {
      zones();
      parts(worked_parts);
    }
    findings();
  }

 private:
  bool is_back() const { return side_.survey.rectification.side == Side::back; }

  cv::Point2d at(cv::Point2d board) const {
    double x = (board.x - grid_.frame.x) * scale_;
    if (is_back()) x = box_.width - x;
    return {box_.x + x, box_.y + (board.y - grid_.frame.y) * scale_};
  }

  std::vector<cv::Point2d> closed(const Ring& ring) const {
    std::vector<cv::Point2d> points;
    for (const cv::Point2d& p : ring) points.push_back(at(p));
    if (!points.empty()) points.push_back(points.front());
    return points;
  }

  void squares() {
    for (int c = 0; c <= grid_.columns; ++c) {
      const double x = grid_.frame.x + c * grid_.square_width();
      page_.line({at({x, grid_.frame.y}), at({x, grid_.frame.br().y})}, k_grid, 0.15);
      if (c < grid_.columns)
        page_.text(fmt::format("{}", c + 1),
                   {at({x + grid_.square_width() / 2, 0}).x, box_.y - k_letters_mm + 1},
                   {3.6, Weight::bold, k_text, 0, Anchor::centre});
    }
    for (int r = 0; r <= grid_.rows; ++r) {
      const double y = grid_.frame.y + r * grid_.square_height();
      page_.line({at({grid_.frame.x, y}), at({grid_.frame.br().x, y})}, k_grid, 0.15);
      if (r < grid_.rows)
        page_.text(row_letters(r),
                   {box_.x - k_letters_mm / 2, at({0, y + grid_.square_height() / 2}).y - 2.2},
                   {3.6, Weight::bold, k_text, 0, Anchor::centre});
    }
  }

  void outline() {
    const Rectification& r = side_.survey.rectification;
    if (r.outline_px.empty() || r.outline_is_frame) {
      page_.outline(box_, k_text, 0.4);
      return;
    }
    Ring ring;
    for (const cv::Point2d& p : r.outline_px.outer) ring.push_back(board_point(r, p));
    page_.line(closed(ring), k_text, 0.4);
  }

  void zones() {
    for (const Zone& zone : side_.layout->zones) {
      if (zone.side && *zone.side != side_.survey.rectification.side) continue;
      page_.dashed(closed(zone.polygon.outer), k_zone, 0.35, 1.5);
      const cv::Rect2d b = bounding_box(zone.polygon.outer);
      page_.text(zone.name, {at({is_back() ? b.br().x : b.x, b.y}) + cv::Point2d(0.8, 0.6)},
                 {3.2, Weight::bold, k_zone});
    }
  }

  void parts(const std::set<std::string>& worked) {
    for (const Part& part : side_.layout->parts) {
      if (part.side != side_.survey.rectification.side) continue;
      const bool is_worked = worked.contains(part.designator);
      const Ring ring = body_ring(part);
      if (!ring.empty())
        page_.line(closed(ring), is_worked ? k_text : k_part, is_worked ? 0.6 : 0.2);
      if (is_worked ||
          (part.has_body() && std::min(part.body.width, part.body.height) * scale_ > 4))
        page_.text(part.designator, at(part.centre) - cv::Point2d(0, 1.3),
                   {is_worked ? 2.6 : 2, is_worked ? Weight::bold : Weight::regular,
                    is_worked ? k_text : k_part, 0, Anchor::centre});
    }
  }

  // Outlines and the class letter, so that a copier without colour keeps them.
  void findings() {
    const Rectification& r = side_.survey.rectification;
    for (const Finding& f : side_.survey.findings.findings) {
      Ink ink = ink_of(f.residue);
      if (ink.r + ink.g + ink.b > 2.7) ink = k_text;  // white does not show on paper
      for (const Polygon& region : f.regions_px) {
        std::vector<cv::Point2f> rough;
        const std::vector<cv::Point2f> outer(region.outer.begin(), region.outer.end());
        cv::approxPolyDP(outer, rough, 0.7, true);
        Ring ring;
        for (const cv::Point2f& p : rough) ring.push_back(board_point(r, p));
        page_.line(closed(ring), ink, 0.5);
      }
      if (f.regions_px.empty()) continue;
      const auto largest = std::max_element(
          f.regions_px.begin(), f.regions_px.end(), [](const Polygon& a, const Polygon& b) {
            return bounding_box(a.outer).area() < bounding_box(b.outer).area();
          });
      const cv::Rect2d b = bounding_box(largest->outer);
      const cv::Point2d corner = at(board_point(r, {b.br().x, b.y}));
      const cv::Rect2d tag(corner.x, corner.y - 2.4, 3, 3);
      page_.fill(tag, ink);
      page_.text(std::string(1, letter(f.residue)), {tag.x + 1.5, tag.y + 0.1},
                 {2.4, Weight::bold, ink_on(ink), 0, Anchor::centre});
    }
  }

  Page& page_;
  const SheetSide& side_;
  const Grid& grid_;
  cv::Rect2d box_;
  double scale_ = 1;
};

std::string parts_of(const WorkItem& item) {
  std::string text;
  for (const ItemPart& p : item.parts) text += (text.empty() ? "" : ", ") + p.designator;
  return text;
}

// What is to be done, in the plan's order, on the sides in `which`; what is only offered is left
// out.
std::vector<const WorkItem*> open_items(const Plan& plan, const std::set<Side>& which) {
  std::vector<const WorkItem*> items;
  for (const WorkItem& item : plan.items)
    if (which.contains(item.side) && !item.done && !item.optional) items.push_back(&item);
  return items;
}

class Sheet {
 public:
  Sheet(const Plan& plan, const std::string& headline)
      : plan_(plan), headline_(headline), page_(k_a4_mm, "Work sheet: " + plan.board) {
    const Estimate e = estimate_of(plan);
    total_ = figures_words(e.total);
    for (const NamedFigures& n : e.items) minutes_[n.name] = minutes_words(n.figures.likely_min);
  }

  // `listed`: this side, and the sides of which there is no survey to draw.
  void side(const SheetSide& side, const std::set<Side>& listed) {
    if (is_begun_) page_.next();
    is_begun_ = true;
    y_ = k_margin_mm;
    const Side which = side.survey.rectification.side;
    head(fmt::format("{}, {} side", plan_.board, name(which)));
    const auto items = open_items(plan_, listed);
    std::set<std::string> worked;
    for (const WorkItem* item : items)
      for (const ItemPart& p : item->parts) worked.insert(p.designator);
    BoardDrawing drawing(page_, side, {k_margin_mm, y_, k_width_mm, k_drawing_height_mm});
    drawing.draw(worked);
    y_ = drawing.bottom() + 1;
    if (items.empty())
      page_.text("No open work item on this side.", {k_margin_mm, y_},
                 {3.4, Weight::regular, k_text, k_width_mm});
    for (const WorkItem* item : items) line_of(*item, which);
    foot();
  }

  Bytes pdf() { return page_.pdf(); }

 private:
  void head(const std::string& what) {
    page_.heading(what, y_);
    y_ += page_.text("Work sheet: " + what, {k_margin_mm, y_},
                     {6, Weight::bold, k_text, k_width_mm}) +
          0.8;
    y_ += page_.text(headline_, {k_margin_mm, y_}, {4, Weight::bold, k_text, k_width_mm}) + 0.6;
    y_ += page_.text("Open work: " + total_ + ". Waiting stands apart.", {k_margin_mm, y_},
                     {3, Weight::regular, k_quiet, k_width_mm}) +
          2;
  }

  void line_of(const WorkItem& item, Side side) {
    const std::string parts = parts_of(item);
    std::string text = item.id + "  " + item.what + (parts.empty() ? "" : ": " + parts);
    if (const std::string block = block_of(plan_, item); !block.empty()) {
      const auto [first, is_new] = said_.emplace(block, item.id);
      text += is_new ? ". Not yet: " + block : ". Not yet, as " + first->second + ".";
    }
    const double left = k_margin_mm + 7 + k_place_mm, width = k_width_mm - 7 - k_place_mm - 20;
    const PageText style{3, Weight::regular, k_text, width};
    const PageText place{4.6, Weight::bold, k_text, k_place_mm - 2};
    std::string where = item.place.empty() ? "board" : item.place;
    if (item.side != side) where = fmt::format("{}: {}", name(item.side), where);
    double height =
        std::max({7.0, page_.text_height(text, style) + 1, page_.text_height(where, place)});
    const double pairs_top = height;
    height += k_pair_mm * static_cast<double>(item.pairs.size());
    if (y_ + height > k_bottom_mm) {
      foot();
      page_.next();
      y_ = k_margin_mm;
      head(fmt::format("{}, {} side, goes on", plan_.board, name(side)));
    }
    page_.outline({k_margin_mm, y_ + 0.6, 4.4, 4.4}, k_text, 0.4);
    page_.text(where, {k_margin_mm + 7, y_}, place);
    page_.text(text, {left, y_ + 0.6}, style);
    for (size_t i = 0; i < item.pairs.size(); ++i)
      pair_line(item.pairs[i], {left, y_ + pairs_top + k_pair_mm * static_cast<double>(i)}, width);
    if (const auto m = minutes_.find(item.id); m != minutes_.end())
      page_.text(m->second, {k_margin_mm + k_width_mm, y_ + 0.6},
                 {3, Weight::regular, k_quiet, 0, Anchor::right});
    y_ += height;
    page_.line({{k_margin_mm, y_}, {k_margin_mm + k_width_mm, y_}}, k_grid, 0.15);
    y_ += 1;
  }

  // With a box of its own: a long list is measured over more than one sitting.
  void pair_line(const NetPair& pair, cv::Point2d at, double width_mm) {
    page_.outline({at.x, at.y + 0.4, 2.6, 2.6}, k_text, 0.3);
    page_.text(words(pair), {at.x + 4.4, at.y}, {2.8, Weight::regular, k_text, width_mm});
  }

  void foot() {
    const double y = k_bottom_mm + 2;
    page_.text(
        "Minutes are likely ones. Unplug first; charged capacitors, picture tubes and mains parts "
        "only by qualified persons and by local codes. Looks never prove chemistry: wet a pH strip "
        "before any cleaner. Gloves, eye shield, ventilation; old solder holds lead. Nothing here "
        "clears the board.",
        {k_margin_mm, y}, {2.6, Weight::regular, k_quiet, k_width_mm});
    page_.text("Name ______________________   Date ______________", {k_margin_mm, y + 11},
               {3.2, Weight::regular, k_text});
  }

  const Plan& plan_;
  std::string headline_, total_;
  std::map<std::string, std::string> minutes_;
  std::map<std::string, std::string> said_;  // what speaks against items, and where it stands
  Page page_;
  double y_ = 0;
  bool is_begun_ = false;
};

}  // namespace

Bytes work_sheet_pdf(const Plan& plan, const std::vector<SheetSide>& sides,
                     const std::string& power_headline) {
  require(!sides.empty(), "a work sheet has a side to draw");
  Sheet sheet(plan, power_headline);
  std::set<Side> rest{Side::front, Side::back};
  for (const SheetSide& side : sides) rest.erase(side.survey.rectification.side);
  for (const SheetSide& side : sides) {
    std::set<Side> listed{side.survey.rectification.side};
    if (&side == &sides.back()) listed.insert(rest.begin(), rest.end());
    sheet.side(side, listed);
  }
  return sheet.pdf();
}

}  // namespace verdigrid
