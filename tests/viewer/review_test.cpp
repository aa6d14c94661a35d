// The survey's review at the panel and on the canvas: what a key, a click or a stroke asks for, and
// what the desk makes of it.
#include <catch2/catch.hpp>
#include <opencv2/imgproc.hpp>

#include "tests/viewer/screen.h"
#include "viewer/zone_text.h"

using namespace verdigrid;

namespace {

// A board with two findings, the survey step open, the first finding selected.
struct Surveyed {
  OpenDesk open;
  Screen screen;
  Surveyed() {
    open.photo();
    screen.state.step = Step::survey;
    screen.frame(open.desk);
    screen.frame(open.desk, {{GLFW_KEY_J}});
  }
  const Findings& findings() const { return open.desk.derived().survey->findings; }
  long flagged_px() const { return open.desk.derived().survey->zones.total.affected.px; }
  long labelled_px() const { return cv::countNonZero(open.desk.derived().survey->map.labels); }
  void key(KeyPress k) {
    screen.frame(open.desk, {k});
    screen.perform(open);
  }
};

}  // namespace

TEST_CASE("J selects the worst finding and shows it, K goes back round to the last") {
  Surveyed s;
  REQUIRE(s.findings().findings.size() == 2);
  CHECK(s.screen.state.selected_finding == s.findings().findings[0].id);
  CHECK(s.screen.state.canvas.contains(s.screen.on_screen(s.findings().findings[0].centre_px)));
  s.key({GLFW_KEY_K});
  CHECK(s.screen.state.selected_finding == s.findings().findings[1].id);
}

TEST_CASE("a dismissed finding leaves the list and every area; undo brings all of it back") {
  Surveyed s;
  const long before = s.labelled_px(), area = s.findings().findings[0].area_px;
  const ZoneTable zones = s.open.desk.derived().survey->zones;
  s.key({GLFW_KEY_X});
  CHECK(s.findings().findings.size() == 1);
  CHECK(s.labelled_px() == before - area);
  REQUIRE(s.open.desk.document()->edits.size() == 1);
  CHECK(s.open.desk.derived().survey->review == ReviewCounts{0, 1});
  CHECK(s.open.desk.history().undo_label() == "Dismiss finding 1");
  s.key({GLFW_KEY_Z, true});
  CHECK(s.open.desk.document()->edits.empty());
  CHECK(s.open.desk.derived().survey->zones == zones);
  s.key({GLFW_KEY_Y, true});
  CHECK(s.labelled_px() == before - area);
}

TEST_CASE("an accepted finding keeps its area and is certain; relabelling asks for a letter") {
  Surveyed s;
  const long before = s.labelled_px();
  s.key({GLFW_KEY_A});
  CHECK(s.findings().findings[0].confidence == Approx(1));
  CHECK(s.labelled_px() == before);
  const int id = s.screen.state.selected_finding;
  s.key({GLFW_KEY_T});
  CHECK(s.screen.state.relabels);
  s.key({GLFW_KEY_R});  // rust, and no quarter turn
  CHECK_FALSE(s.screen.state.relabels);
  CHECK(s.screen.state.view.quarter_turns == 0);
  const auto& list = s.findings().findings;
  CHECK(std::any_of(list.begin(), list.end(),
                    [](const Finding& f) { return f.residue == Residue::rust; }));
  CHECK(s.labelled_px() == before);
  static_cast<void>(id);
}

TEST_CASE("a stroke with the brush is residue of the chosen class, as wide as the brush") {
  Surveyed s;
  const long before = s.labelled_px();
  s.key({GLFW_KEY_F});
  s.key({GLFW_KEY_B});
  CHECK(s.screen.state.tool == Tool::brush);
  s.screen.state.brush.residue = Residue::white_salt;
  const cv::Point2d from(320, 275), to(380, 275);
  s.screen.drag(s.open.desk, {s.screen.on_screen(from), s.screen.on_screen((from + to) * 0.5),
                              s.screen.on_screen(to)});
  const auto* asked = s.screen.action<BrushResidue>();
  REQUIRE(asked);
  const double radius = asked->radius_px;
  CHECK(radius == Approx(s.screen.state.brush.radius_screen / s.screen.state.view.scale));
  s.screen.perform(s.open);
  const cv::Mat& labels = s.open.desk.derived().survey->map.labels;
  CHECK(labels.at<uchar>(275, 350) == static_cast<uchar>(Residue::white_salt));
  // A capsule, within a pixel all round.
  const double length = cv::norm(to - from),
               capsule = 2 * radius * length + CV_PI * radius * radius,
               border = 2 * length + 2 * CV_PI * radius;
  CHECK(std::abs(static_cast<double>(s.labelled_px() - before) - capsule) < border);
}

TEST_CASE("the eraser takes away what it passes over and nothing else") {
  Surveyed s;
  const Finding f = s.findings().findings[0];
  const long before = s.labelled_px();
  s.key({GLFW_KEY_E});
  s.screen.click(s.open.desk, s.screen.on_screen(f.centre_px));
  s.screen.perform(s.open);
  const double r = s.screen.state.brush.radius_screen / s.screen.state.view.scale;
  const double gone = static_cast<double>(before - s.labelled_px());
  CHECK(gone > 0);
  CHECK(gone <= CV_PI * (r + 1) * (r + 1));
}

TEST_CASE("an outline round something missed becomes a finding of its own") {
  Surveyed s;
  s.key({GLFW_KEY_F});
  s.key({GLFW_KEY_O});
  s.screen.state.brush.residue = Residue::leak_film;
  const std::vector<cv::Point2d> corners{{350, 256}, {400, 256}, {400, 290}, {350, 290}};
  for (const cv::Point2d p : corners) s.screen.click(s.open.desk, s.screen.on_screen(p));
  CHECK(s.screen.state.drafts.tool_px.size() == 4);
  s.screen.click(s.open.desk, s.screen.on_screen(corners[0]));
  REQUIRE(s.screen.action<DrawResidue>());
  s.screen.perform(s.open);
  const auto& list = s.findings().findings;
  const auto drawn = std::find_if(list.begin(), list.end(),
                                  [](const Finding& f) { return f.residue == Residue::leak_film; });
  REQUIRE(drawn != list.end());
  CHECK(drawn->area_px == Approx(50 * 34).margin(2 * 84));
  CHECK(drawn->confidence == Approx(1));
}

TEST_CASE("a line across a finding makes two of it; merging makes one again") {
  Surveyed s;
  const Finding f = s.findings().findings[0];
  const cv::Point2d c = f.centre_px;
  const double up = f.box_px.height;
  s.key({GLFW_KEY_S});
  s.screen.click(s.open.desk, s.screen.on_screen({c.x, c.y - 0.4 * up}));
  s.screen.click(s.open.desk, s.screen.on_screen({c.x, c.y + 0.4 * up}));
  REQUIRE(s.screen.action<SplitFinding>());
  s.screen.perform(s.open);
  REQUIRE(s.findings().findings.size() == 3);
  long together = 0;
  for (const Finding& g : s.findings().findings) together += g.area_px;
  CHECK(together == s.labelled_px());

  // The two halves: those whose boxes lie in the old one.
  std::vector<int> halves;
  for (const Finding& g : s.findings().findings)
    if ((g.box_px & f.box_px) == g.box_px) halves.push_back(g.id);
  REQUIRE(halves.size() == 2);
  s.screen.state.tool = Tool::look;
  s.screen.state.selected_finding = halves[0];
  s.key({GLFW_KEY_M, false, true});
  CHECK(s.screen.state.merge_from == halves[0]);
  s.screen.actions.clear();
  select_finding(s.open.desk, s.screen.state, s.screen.actions, halves[1], Go::stay);
  s.screen.perform(s.open);
  CHECK(s.findings().findings.size() == 2);
}

TEST_CASE("a click on a finding in the photo selects it") {
  Surveyed s;
  s.key({GLFW_KEY_F});
  s.screen.frame(s.open.desk);
  s.screen.state.selected_finding = 0;
  const Finding f = s.findings().findings[1];
  s.screen.click(s.open.desk, s.screen.on_screen(f.centre_px));
  CHECK(s.screen.state.selected_finding == f.id);
}

TEST_CASE("what a person decided is not asked about again") {
  Surveyed s;
  for (const Finding& f : std::vector<Finding>(s.findings().findings)) {
    s.open.desk.perform(DrawResidue{{cv::Point2d(f.box_px.tl()) - cv::Point2d(20, 20),
                                     {f.box_px.br().x + 20.0, f.box_px.y - 20.0},
                                     cv::Point2d(f.box_px.br()) + cv::Point2d(20, 20),
                                     {f.box_px.x - 20.0, f.box_px.br().y + 20.0}},
                                    Residue::rust});
    s.open.finish();
  }
  for (const MapEdit& e : s.open.desk.document()->edits)
    for (const LookPlace& p : s.open.desk.derived().look->places)
      CHECK_FALSE(contains(e.region_px[0], cv::Point2d(p.crop_px.x + p.crop_px.width / 2.0,
                                                       p.crop_px.y + p.crop_px.height / 2.0)));
}

TEST_CASE("the zone table copies as tab-separated text with a head line and one line per row") {
  Surveyed s;
  const ZoneTable& z = s.open.desk.derived().survey->zones;
  std::vector<const ZoneRow*> rows;
  for (const ZoneRow& r : z.squares) rows.push_back(&r);
  const std::string text = zones_tsv(rows, z.has_mm);
  CHECK(std::count(text.begin(), text.end(), '\n') == static_cast<long>(rows.size()) + 1);
  const auto tabs = [](const std::string& line) {
    return std::count(line.begin(), line.end(), '\t');
  };
  const std::string head = text.substr(0, text.find('\n'));
  CHECK(tabs(text) == tabs(head) * (static_cast<long>(rows.size()) + 1));
  CHECK_THAT(head, Catch::Contains("leak-film_percent"));  // no scale: never mm2
}
