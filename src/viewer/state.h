// What the window shows and how, beside the document: view, step, drafts. Never saved with the
// work.
#pragma once

#include <array>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "desk/desk.h"
#include "desk/view.h"
#include "gl/window.h"
#include "viewer/file_listing.h"
#include "viewer/theme.h"

namespace verdigrid {

// In the order of the job; each has a row in viewer/steps.cpp.
enum class Step {
  receive,
  straighten,
  look,
  survey,
  layout,
  notes,
  plan,
  bench,
  clocks,
  power_lock,
  recheck,
  orders,
  owner
};

enum class Tool {
  look,
  point,    // at something missed
  measure,  // a distance
  area,     // of a polygon
  pin,
  arrow,
  outline,  // note
  brush,
  eraser,
  draw,  // residue by its outline
  split,
  zone_outline,
  zone_rectangle,
  zone_squares,
  stamp,  // a part
};

struct Layers {
  bool residue = true, rings = true, grid = true, unseen = false, outline = true, notes = true,
       zones = true, parts = true, loupe = false;
};

// Fields being typed, kept between frames and committed when the field is left.
struct Drafts {
  float board_mm[2] = {0, 0};
  bool focuses_size = false;  // the board's size is typed next
  float distance_mm = 0;
  std::vector<cv::Point2d> corners_px;  // while one is dragged
  int dragged_corner = -1;
  std::vector<cv::Point2d> tool_px;   // points placed with the current tool
  bool is_closed = false;             // they are a closed outline (area)
  int note_id = 0;                    // whose text is being typed
  std::string note_field, note_text;  // label of that field, and what stands in it
  std::uint32_t for_revision = 0;     // photo the scale drafts belong to
  ScaleChoice scale_seen;             // that they were taken from
};

// What the brush leaves and how wide it is.
struct BrushChoice {
  Residue residue = Residue::unsure;
  double radius_screen = 12;  // screen px, so that zooming in makes it finer on the board
};

// What is typed and chosen under Layout, kept between frames.
struct LayoutDrafts {
  std::string zone_name;
  std::string selected_zone, selected_part;
  std::string name_of, text, note;  // of the row being edited: whose, its new name, its note
  size_t package = 0;               // into package_table()
  std::string designator = "U1";
  float rotation_deg = 0;
  int columns = 1, rows = 1;
  float column_step = 0, row_step = 0;  // board units
  std::string board_type;
  bool board_type_is_edited = false;
  bool shows_learned = false;
  Ring points_px;                               // of the chosen zone while one is dragged
  int dragged_point = -1, selected_point = -1;  // index into its outline
};

// What is being typed under Receive.
struct ReceiveDrafts {
  std::string field, text;  // label of the field being typed in, and what stands in it
  std::string kit_name;
  size_t kit_word = 0;
};

// What is chosen and typed under Plan.
struct PlanDrafts {
  std::string selected;  // id of an item
  std::string item;      // whose fields are being edited
  WorkItem seen;         // as it was when they were taken from it
  std::string what;
  float quantity = 1, actual = 0;
  Operation operation = Operation::photograph;
  std::string strip_place;
  float strip_ph = 7;
  bool strip_rinsed = false;
};

// What is chosen and typed under Power lock.
struct LockDrafts {
  std::optional<LockCondition> selected;
  std::string photo, photo_sha256, value, rail, note;
  std::string supply, rail_name;
  std::vector<SupplyRail> rails;
  float nominal_v = 5, measured_v = 0, load_a = 0;
  float limit_a = 0, points[3][2] = {};
  Told smell_or_heat = Told::not_known;
  std::vector<TestVerdict> verdicts;
};

// What is asked and typed under Bench.
struct BenchDrafts {
  enum class Asks { nothing, problem, lost, stays_off } asks = Asks::nothing;
  std::string word, note, note_seen, name;
  bool focuses_word = false;
  bool is_polarity = false;  // of the reading that is typed
  std::string print, old_part, meter;
  std::optional<BenchPlace> shown;  // that the view last went to
};

// What is typed under Clocks.
struct ClockDrafts {
  std::string what, place, then;
  float minutes = 0;
};
struct WashDrafts {
  BathKind kind = BathKind::rinse;
  std::string bath = "distilled water", detergent, removed;
  Neutraliser neutraliser = Neutraliser::weak_acid;
  float minutes = 0;
  bool is_ultrasonic = false;
  DryingWay way = DryingWay::open_air;
  float hours = 0, celsius = 54;
  float grams = 0, limit_g = 0.5f;
};

// What is chosen and typed under Orders.
struct OrderDrafts {
  bool offered = false, this_unit = false;
  std::string from;
  std::string selected;  // board id and designator of the part that is open
  std::string value, substitute;
  float volts = 0, diameter = 0, height = 0, spacing = 0;
  StockRow stock{{PartKind::aluminium_radial, "", 0, 0, 0, 0}, 1, ""};
};

// What is chosen and typed under Owner.
struct OwnerDrafts {
  float tax_percent = 0, call_above = 0, money_per_hour = 0;
  int valid_days = 30;
  std::string of_quote;  // id of the quote whose terms these are, to begin with
  std::string owner_said, watch, found;
  ActualsBy by = ActualsBy::operation;
};

// How two aligned photos are shown.
enum class CompareMode { before, after, blink, side_by_side, swipe, difference };
inline constexpr std::array k_compare_modes{CompareMode::before, CompareMode::after,
                                            CompareMode::blink,  CompareMode::side_by_side,
                                            CompareMode::swipe,  CompareMode::difference};
const char* name(CompareMode mode);

struct CompareView {
  CompareMode mode = CompareMode::swipe;
  float swipe_at = 0.5f;     // share of the canvas's width that shows the photo before
  float gain = 3;            // of the difference
  int selected = 0;          // id of a change
  bool shows_after = false;  // which one the blinking shows now; set by the window's clock
};

// The tabs of the panel that was drawn last.
struct TabsState {
  int open = 0, count = 0;
  std::optional<int> wanted;  // to be opened in the next frame
};

// Pairs of points set by hand in both photos, each half of the canvas with a view of its own.
struct PairingView {
  bool is_on = false, needs_fit = true;
  std::array<View, 2> views;            // before, after
  size_t active = 0;                    // that the keys move
  std::optional<cv::Point2d> first_px;  // in the photo before; its partner is placed next
};

// A small picture of a file as a texture.
struct FilePicture {
  ImTextureID id = nullptr;  // null: none, or not made yet
  float aspect = 1;          // width over height
};

enum class PickFor { photo, layout, inbox, watch };

struct FilePicker {
  bool is_open = false;
  PickFor what = PickFor::photo;
  std::vector<std::filesystem::path> chosen;  // of a layout: several files of one board
  std::filesystem::path folder;
  std::string filter;
  std::filesystem::path listed_for;  // the folder that `files` belong to
  std::vector<ListedFile> files;

  void open_for(PickFor wanted) {
    is_open = true;
    what = wanted;
    chosen.clear();
    listed_for.clear();
  }
};

struct ViewerState {
  Theme theme;
  View view;
  std::vector<KeyPress> keys;  // pressed since the last frame
  cv::Rect2d canvas;           // screen px, set every frame
  bool needs_fit = true;
  Step step = Step::look;
  Tool tool = Tool::look;
  Layers layers;
  float panel_width = 400;  // design px
  float start_height = 0;   // of the card without a photo, as it was last drawn
  // On the confidence map, live, for looking; empty: the labels of the survey's own setting.
  std::optional<float> threshold;
  float exposure = 1, contrast = 1;  // for looking only
  size_t place_shown =
      static_cast<size_t>(-1);  // how many answers there were when the view last went to a place
  int selected_finding = 0;     // id
  int merge_from = 0;           // id of the finding that the next chosen one is merged with
  bool scrolls_to_selected = false;
  bool relabels = false;  // the next letter is a class
  enum class Rows { squares, zones, parts } rows = Rows::squares;
  std::optional<NoteState> notes_shown;  // empty: all
  int selected_note = 0;                 // id
  BrushChoice brush;
  LayoutDrafts layout;
  ReceiveDrafts receive;
  CompareView compare;
  PairingView pairing;
  PlanDrafts plan;
  LockDrafts lock;
  OrderDrafts orders;
  OwnerDrafts owner;
  TabsState tabs;
  BenchDrafts bench;
  ClockDrafts clock;
  WashDrafts wash;
  int utc_offset_min = 0;  // of the clock on the wall
  // A crop of the open photo as a texture; empty or null result: none yet, draw a plain ground.
  std::function<ImTextureID(cv::Rect crop_px)> picture_of;
  // Of a photo file, and of a photo in the job book by its SHA-256; empty in tests.
  std::function<FilePicture(const std::filesystem::path&)> picture_of_file;
  std::function<FilePicture(const std::string&)> picture_of_kept;
  bool focuses_panel = false;            // once
  bool keys_in_panel = false;            // arrows and Space go to the panel, not to the photo
  std::optional<cv::Point2d> cursor_px;  // photo px under the cursor
  bool help_is_open = false;
  bool wants_to_quit = false, wants_new_fonts = false;
  float zoom = 1;  // of the whole window
  FilePicker picker;
  Drafts drafts;
};

// Whether the key was pressed since the last frame; held keys count again only with `repeats`.
enum class Held { once, repeats };
bool was_pressed(const ViewerState& state, int key, Held held = Held::once);

using Actions = std::vector<DeskAction>;

// No tool, nothing half placed.
void put_tool_down(ViewerState& state);

}  // namespace verdigrid
