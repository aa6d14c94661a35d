#include <imgui.h>
#include <imgui_internal.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <sstream>

#include "photo/encode.h"
#include "tests/viewer/screen.h"
#include "viewer/widgets.h"

using namespace verdigrid;

namespace {

// Orders and Owner read the shelf when they are opened; nothing else may be asked for by drawing.
bool asks_for_nothing(const Screen& screen) {
  return std::all_of(screen.actions.begin(), screen.actions.end(), [](const DeskAction& action) {
    return std::holds_alternative<ReadShelf>(action);
  });
}

}  // namespace

TEST_CASE("an empty desk asks for a photo, and Ctrl+O opens the chooser") {
  const OpenDesk open;
  Screen screen;
  screen.frame(open.desk);
  CHECK(screen.actions.empty());
  CHECK_FALSE(screen.state.picker.is_open);
  screen.frame(open.desk, {{GLFW_KEY_O, true}});
  CHECK(screen.state.picker.is_open);
}

TEST_CASE("the first thing shown for a photo is the most suspect place, and one key answers it") {
  OpenDesk open;
  open.photo();
  Screen screen;
  screen.frame(open.desk);
  const LookPlace* place = current_place(open.desk);
  REQUIRE(place);
  const cv::Point2d middle(place->crop_px.x + place->crop_px.width / 2.0,
                           place->crop_px.y + place->crop_px.height / 2.0);
  CHECK(screen.state.canvas.contains(
      screen_from_photo(screen.state.view, screen.state.canvas, middle)));

  screen.frame(open.desk, {{GLFW_KEY_N}});
  const auto* answer = screen.action<GiveAnswer>();
  REQUIRE(answer);
  CHECK(answer->answer.kind == AnswerKind::no);
  CHECK(answer->answer.asked == Asked::shown);
  open.desk.perform(*answer);
  CHECK(open.desk.document()->answers.size() == 1);
}

TEST_CASE("number keys go through the steps, other keys wait while text is typed") {
  OpenDesk open;
  open.photo();
  Screen screen;
  for (size_t i = 0; i < step_table().size(); ++i) {
    screen.frame(open.desk, {{key_of_step(i)}});
    CHECK(screen.state.step == step_table()[i].step);
    screen.frame(open.desk);
  }
  screen.frame(open.desk, {{GLFW_KEY_PAGE_UP, true}});
  CHECK(screen.state.step == step_table()[step_table().size() - 2].step);
  for (int i = 0; i < 2; ++i) screen.frame(open.desk, {{GLFW_KEY_PAGE_DOWN, true}});
  ImGui::GetIO().WantTextInput = true;
  screen.state.keys = {{GLFW_KEY_1}};
  ImGui::NewFrame();
  ImGui::GetIO().WantTextInput = true;
  draw_window(open.desk, screen.state, screen.actions, {1280, 800});
  ImGui::Render();
  CHECK(screen.state.step == step_table().back().step);
}

TEST_CASE("Ctrl+Z undoes and Ctrl+Shift+Z does it again") {
  OpenDesk open;
  open.photo();
  Screen screen;
  screen.frame(open.desk, {{GLFW_KEY_Z, true}});
  CHECK(screen.action<Undo>());
  screen.frame(open.desk, {{GLFW_KEY_Z, true, true}});
  CHECK(screen.action<Redo>());
}

TEST_CASE("a click with the pin tool makes a note at that place of the photo") {
  OpenDesk open;
  open.photo();
  Screen screen;
  screen.state.step = Step::notes;
  screen.frame(open.desk);
  screen.frame(open.desk, {{GLFW_KEY_P}});
  const cv::Point2d at(screen.state.canvas.x + 200, screen.state.canvas.y + 300);
  const cv::Point2d wanted = photo_from_screen(screen.state.view, screen.state.canvas, at);
  screen.click(open.desk, at);
  const auto* added = screen.action<AddNote>();
  REQUIRE(added);
  CHECK(added->note.kind == NoteKind::pin);
  CHECK(cv::norm(added->note.points_px[0] - wanted) < 1);
}

TEST_CASE("a click with the pointer asks the desk to take a missed place in") {
  OpenDesk open;
  open.photo();
  Screen screen;
  screen.frame(open.desk);
  screen.frame(open.desk, {{GLFW_KEY_X}});
  CHECK(screen.state.tool == Tool::point);
  screen.click(open.desk, {screen.state.canvas.x + 300, screen.state.canvas.y + 300});
  CHECK(screen.action<PointAt>());
}

TEST_CASE("the card without a photo stays whole within a low window at twice the scale") {
  OpenDesk open;
  for (const char* file : {"a.jpg", "b.jpg", "c.jpg", "d.jpg", "e.jpg"}) {
    const std::filesystem::path photo = open.scratch.folder / file;
    // Another picture each: one that is known goes on with its own work.
    write_file(photo, jpeg_bytes(cv::Mat(480, 640, CV_8UC3, cv::Scalar::all(file[0]))));
    open.desk.perform(OpenPhotoFile{photo});
    open.finish();
  }
  open.desk.perform(CloseWork{});
  open.finish();
  REQUIRE(open.desk.recent_work().size() > 1);
  Screen screen(2, {1920, 1080});
  for (int i = 0; i < 3; ++i) screen.frame(open.desk);
  const ImGuiWindow* const card = ImGui::FindWindowByName("start");
  REQUIRE(card != nullptr);
  const cv::Rect2d canvas = screen.state.canvas;
  CHECK(card->Pos.y >= canvas.y);
  CHECK(card->Pos.y + card->Size.y <= canvas.y + canvas.height + 1);
  CHECK(card->ScrollMax.y == 0);
}

TEST_CASE("text breaks at spaces, never within a figure") {
  const Screen screen;
  const std::string text = "averaged over each 36th of the board at most 0.0924 mm; 35 % agree";
  ImGui::NewFrame();
  for (float width = 20; width < 500; width += 7) {
    const std::string lines = in_lines(text, width);
    std::string joined = lines;
    std::replace(joined.begin(), joined.end(), '\n', ' ');
    CHECK(joined == text);
    std::istringstream each(lines);
    for (std::string line; std::getline(each, line);)
      if (line.find(' ') != std::string::npos) CHECK(ImGui::CalcTextSize(line.c_str()).x <= width);
  }
  CHECK(in_lines("one\n\ntwo", 500) == "one\n\ntwo");
  ImGui::EndFrame();
}

TEST_CASE("every step is drawn at twice the scale without asking for anything") {
  OpenDesk open;
  open.photo();
  Screen screen(2);
  for (const StepRow& row : step_table()) {
    screen.state.step = row.step;
    screen.frame(open.desk);
    screen.frame(open.desk);
    CHECK(asks_for_nothing(screen));
    CHECK(ImGui::GetDrawData()->TotalVtxCount > 100);
  }
}

TEST_CASE("Ctrl and arrows go through the tabs of every step, one at a time") {
  OpenDesk open;
  open.photo();
  open.desk.perform(MakePlan{});
  open.finish();
  Screen screen;
  for (const StepRow& row : step_table()) {
    go_to_step(screen.state, row.step);
    for (int i = 0; i < 2; ++i) screen.frame(open.desk);
    const int count = screen.state.tabs.count;
    INFO(row.name);
    for (int i = 1; i <= count; ++i) {
      CHECK(screen.state.tabs.open == i - 1);
      screen.frame(open.desk, {{GLFW_KEY_RIGHT, true}});
      for (int frame = 0; frame < 2; ++frame) screen.frame(open.desk);
      CHECK(screen.state.tabs.open == i % count);
    }
    CHECK(asks_for_nothing(screen));
  }
}

TEST_CASE("the page of keys names every step and what its keys do") {
  const OpenDesk open;
  Screen screen;
  screen.frame(open.desk, {{GLFW_KEY_F1}});
  CHECK(screen.state.help_is_open);
  screen.frame(open.desk);
  CHECK(ImGui::GetDrawData()->TotalVtxCount > 2000);
  screen.frame(open.desk, {{GLFW_KEY_ESCAPE}});
  screen.frame(open.desk);
  CHECK_FALSE(screen.state.help_is_open);
  for (const StepRow& row : step_table()) {
    INFO(row.name);
    CHECK(row.keys.empty() == (row.take_keys == nullptr));
  }
}

TEST_CASE("Tab takes the keys into the panel, Escape gives them back to the photo") {
  OpenDesk open;
  open.photo();
  Screen screen;
  screen.state.step = Step::survey;
  screen.frame(open.desk);
  const cv::Point2d middle = screen.state.view.centre_px;
  screen.frame(open.desk, {{GLFW_KEY_TAB}});
  CHECK(screen.state.keys_in_panel);
  screen.frame(open.desk, {{GLFW_KEY_RIGHT}});
  CHECK(screen.state.view.centre_px == middle);
  screen.frame(open.desk, {{GLFW_KEY_ESCAPE}});
  CHECK_FALSE(screen.state.keys_in_panel);
  screen.state.view.scale = 4;
  screen.frame(open.desk, {{GLFW_KEY_RIGHT}});
  CHECK(screen.state.view.centre_px != middle);
}
