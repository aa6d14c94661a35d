#include "report/bench_pages.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/error.h"
#include "plan/edit_plan.h"
#include "plan/ledger.h"
#include "plan/work_region.h"
#include "report/page.h"
#include "report/photo_view.h"
#include "report/signs.h"

namespace verdigrid {

namespace {

const cv::Size2d k_a4_mm{210, 297};  // ISO 216
constexpr double k_margin_mm = 12, k_gap_mm = 6, k_crop_mm = 84;
constexpr int k_crop_px = 900, k_places_a_page = 2;
constexpr double k_width_mm = 210 - 2 * k_margin_mm;
constexpr Ink k_text{0.1, 0.1, 0.1, 1}, k_quiet{0.36, 0.36, 0.36, 1}, k_line{0.55, 0.55, 0.55, 1},
    k_alarm{0.72, 0.08, 0.04, 1};

// Both ends of each pair as dots with the line between them; the pair's number stands beside each
// dot along the line, since several pairs may begin at one pin.
void draw_pairs(Canvas& canvas, const PhotoView& view, const BenchPageSide& side,
                const std::vector<NetPair>& pairs) {
  constexpr double k_dot_px = 7, k_number_px = 15, k_beside_px = 24;
  const TextStyle style{22, Weight::bold, k_text};
  for (size_t i = 0; side.layout && i < pairs.size(); ++i) {
    const auto ends = pair_px(*side.survey, *side.layout, pairs[i]);
    if (!ends) continue;
    const Ring line = on_canvas(view, Ring{(*ends)[0], (*ends)[1]});
    const cv::Point2d along = line[1] - line[0];
    const cv::Point2d beside =
        along * (std::min(k_beside_px, cv::norm(along) / 3) / std::max(1.0, cv::norm(along)));
    canvas.line(line, {1, 1, 1, 0.9}, 6);
    canvas.line(line, {0.1, 0.1, 0.1, 1}, 2.5);
    for (const cv::Point2d& p : line) {
      canvas.disc(p, k_dot_px + 2, {1, 1, 1, 1});
      canvas.disc(p, k_dot_px, k_text);
    }
    for (const cv::Point2d& p : {line[0] + beside, line[1] - beside}) {
      canvas.disc(p, k_number_px + 2, k_text);
      canvas.disc(p, k_number_px, {1, 1, 1, 1});
      canvas.text_in_middle(std::to_string(i + 1), p, style);
    }
  }
}

// The crop turned as the board reads, the region framed.
cv::Mat place_crop(const BenchPageSide& side, const cv::Rect2d& region,
                   const std::vector<NetPair>& pairs) {
  PhotoView view;
  view.crop_px = work_crop_px(*side.survey, region);
  view.turn_deg = side.survey->rectification.turn_deg;
  view.scale = double(k_crop_px) / view.crop_px.width;
  Canvas canvas(view.shown_size(), {1, 1, 1, 1});
  canvas.put_picture(shown_picture(side.photo->bgr, view), {0, 0});
  const cv::Rect2d frame = bounding_box(on_canvas(
      view, Ring{region.tl(), {region.br().x, region.y}, region.br(), {region.x, region.br().y}}));
  canvas.outline(frame, {1, 1, 1, 1}, 9);
  canvas.outline(frame, k_alarm, 4);
  draw_pairs(canvas, view, side, pairs);
  if (side.survey->rectification.px_per_mm)
    draw_scale_bar(canvas, side.survey->rectification.px_per_mm->value * view.scale,
                   0.35 * k_crop_px, {26, k_crop_px - 26.0}, 48);
  return canvas.bgr();
}

struct Drawer {
  Page& page;
  const Plan& plan;
  const BenchLog& log;
  const std::map<Side, BenchPageSide>& sides;

  void box(cv::Point2d at, const char* label) const {
    page.outline({at.x, at.y, 6, 6}, k_text, 0.5);
    page.text(label, {at.x + 8, at.y + 0.4}, {4.6, Weight::regular, k_text});
  }

  void crop(const BenchStep& step, const WorkItem& w, cv::Point2d at) const {
    const auto side = sides.find(w.side);
    const cv::Rect2d frame{at.x, at.y, k_crop_mm, k_crop_mm};
    const auto region =
        side == sides.end()
            ? std::nullopt
            : work_region_px(*side->second.survey, side->second.layout.get(), w, step.place.part);
    if (region)
      page.picture(place_crop(side->second, *region, w.pairs), frame);
    else
      page.text(side == sides.end() ? "This side was not photographed." : "Whole board.",
                {at.x + 4, at.y + k_crop_mm / 2}, {4, Weight::regular, k_quiet, k_crop_mm - 8});
    page.outline(frame, k_line, 0.3);
  }

  const Layout* layout_of(const WorkItem& w) const {
    const auto side = sides.find(w.side);
    return side == sides.end() ? nullptr : side->second.layout.get();
  }

  // With a box each, down to `bottom` at most; gives where the next line begins.
  double pair_lines(const std::vector<NetPair>& pairs, cv::Point2d at, double width,
                    double bottom) const {
    constexpr size_t k_large_lines = 9;
    const double size = pairs.size() > k_large_lines ? 2.6 : 3.2, pitch = 1.34 * size;
    for (size_t i = 0; i < pairs.size(); ++i, at.y += pitch) {
      if (i + 1 < pairs.size() && at.y + 2 * pitch > bottom) {
        page.text(fmt::format("and {} more: see the work sheet", pairs.size() - i), at,
                  {size, Weight::regular, k_text, width});
        return at.y + pitch;
      }
      page.outline({at.x, at.y + 0.3, 0.85 * size, 0.85 * size}, k_text, 0.3);
      page.text(fmt::format("{}  {}", i + 1, words(pairs[i])), {at.x + 1.4 * size, at.y},
                {size, Weight::regular, k_text, 0});
    }
    return at.y;
  }

  void place(const BenchStep& step, double top) const {
    const WorkItem& w = item_of(plan, step.place.item);
    crop(step, w, {k_margin_mm, top});
    const double x = k_margin_mm + k_crop_mm + k_gap_mm, width = 210 - k_margin_mm - x;
    double y = top - 1.5;
    const auto line = [&](const std::string& text, double size, Weight weight, const Ink& ink) {
      if (!text.empty()) y += page.text(text, {x, y}, {size, weight, ink, width}) + 1.6;
    };
    line(step.place.part.empty() ? w.id : w.id + "  " + step.place.part, 13, Weight::bold, k_text);
    line(w.what, 7, Weight::bold, k_text);
    line(w.place.empty() ? fmt::format("whole board, {}", name(w.side))
                         : fmt::format("{}, {}", w.place, name(w.side)),
         6, Weight::regular, k_text);
    line(part_words(plan, step.place), 5, Weight::regular, k_text);
    line(orientation_words(layout_of(w), log, step.place.part), 4.4, Weight::regular, k_text);
    if (!step.problem.empty()) line("Problem: " + step.problem, 4.6, Weight::bold, k_alarm);
    if (const std::string block = block_of(plan, w); !block.empty())
      line("Not yet: " + block, 3.6, Weight::bold, k_alarm);
    y = pair_lines(w.pairs, {x, y}, width, top + k_crop_mm);
    for (const Advice& a : advice_for(plan, w))
      if (y < top + k_crop_mm - 4) line(words(a), 2.9, Weight::regular, k_quiet);
    const double foot = top + k_crop_mm + 5;
    box({k_margin_mm, foot}, "done");
    box({k_margin_mm + 34, foot}, "problem");
    page.line({{k_margin_mm + 66, foot + 6}, {k_margin_mm + 134, foot + 6}}, k_line, 0.3);
    page.text("minutes ________", {k_margin_mm + 140, foot + 0.4}, {4.6, Weight::regular, k_text});
    // Nothing comes off where no part is worked on.
    if (step.place.part.empty() && w.stage != Stage::take_off) return;
    box({k_margin_mm, foot + 11}, "off");
    box({k_margin_mm + 34, foot + 11}, "bagged, bag ____");
    box({k_margin_mm + 94, foot + 11}, "back on");
    box({k_margin_mm + 140, foot + 11}, "lost");
  }
};

double draw_head(Page& page, const BenchPageFacts& facts, const BenchLog& log, size_t places) {
  double y = k_margin_mm;
  y += page.text(fmt::format("Bench pages: {}, {}", facts.unit, facts.board), {k_margin_mm, y},
                 {6, Weight::bold, k_text, k_width_mm}) +
       1;
  y += page.text(fmt::format("{}.   {} place{} left.   Ledger: {}.", facts.power, places,
                             places == 1 ? "" : "s", ledger_words(ledger(log))),
                 {k_margin_mm, y}, {3.6, Weight::bold, k_text, k_width_mm}) +
       1;
  if (!facts.note.empty())
    y += page.text("Shift note: " + facts.note, {k_margin_mm, y},
                   {4, Weight::regular, k_text, k_width_mm}) +
         1;
  return y + 2;
}

void draw_foot(Page& page) {
  page.text(
      "Unplug first; charged capacitors, picture tubes and mains parts only by qualified persons "
      "and by local codes. Gloves and eye shield. Old solder holds lead: wash your hands. No heat "
      "with alcohol or a battery on the board.",
      {k_margin_mm, 283}, {2.7, Weight::regular, k_quiet, k_width_mm});
}

}  // namespace

Bytes bench_pages_pdf(const Plan& plan, const BenchLog& log,
                      const std::map<Side, BenchPageSide>& sides, const BenchPageFacts& facts) {
  for (const auto& [side, s] : sides)
    require(s.photo && s.survey && s.photo->size_px() == s.survey->photo_size_px,
            "a side of bench pages has its survey's photo");
  Page page(k_a4_mm, fmt::format("Bench pages: {}, {}", facts.unit, facts.board));
  const auto steps = bench_steps(plan, log);
  const Drawer drawer{page, plan, log, sides};
  double top = draw_head(page, facts, log, steps.size());
  if (steps.empty())
    page.text("No place of work is left in this plan. That is no clearance.", {k_margin_mm, top},
              {6, Weight::regular, k_text, k_width_mm});
  for (size_t i = 0; i < steps.size(); ++i) {
    if (i > 0 && i % k_places_a_page == 0) {
      draw_foot(page);
      page.next();
      top = draw_head(page, facts, log, steps.size());
    }
    drawer.place(steps[i], top + static_cast<double>(i % k_places_a_page) * (k_crop_mm + 36));
  }
  draw_foot(page);
  return page.pdf();
}

}  // namespace verdigrid
