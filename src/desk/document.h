// What a person decided about one photo, and what is saved of it: choices for straightening, notes,
// answers. Changed only by commands.
//
// A value, small enough to be kept whole for undo. Saved as the body of a "work" record below the
// photo in the job book. Photo px as everywhere.
#pragma once

#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "base/geometry.h"
#include "compare/warp.h"
#include "detect/detector.h"
#include "detect/guided_look.h"
#include "detect/map_edit.h"
#include "jobbook/entities.h"
#include "layout/layout.h"
#include "rectify/rectify.h"

namespace verdigrid {

enum class NoteKind { pin, arrow, outline };
enum class NoteState { suspect, to_do, done };
const char* name(NoteKind kind);
const char* name(NoteState state);

struct Note {
  int id = 0;  // 1.., never used twice in one document
  NoteKind kind = NoteKind::pin;
  Ring points_px;  // pin: 1, arrow: 2 (tip last), outline: 3 or more
  std::string text;
  NoteState state = NoteState::suspect;
  std::string part;  // designator, if any
  bool wants_rework = false;
  std::string photo_sha256;  // a close-up that shows the place; empty: none
  bool operator==(const Note&) const = default;
};

// Where the scale of the straightened board comes from.
struct ScaleChoice {
  std::optional<cv::Size2d> board_mm;
  std::vector<cv::Point2d> corners_px;  // none: found by itself
  std::vector<cv::Point2d> points_px;   // two points a known distance apart
  std::optional<double> distance_mm;
  bool uses_card = false;
  Side side = Side::front;
  int turn_deg = 0;
  bool operator==(const ScaleChoice&) const = default;
};

struct Document {
  std::string photo_name, photo_sha256;
  ScaleChoice scale;
  Setting setting = Setting::normal;
  Answer3 battery_in = Answer3::unknown;  // "battery still in?"
  std::vector<std::string> peeks;  // what was looked at beyond this photo: "back", "under chips and
                                   // sockets", designators of parts that were looked under
  std::vector<Answer> answers;     // of the guided look, in order
  std::vector<MapEdit> edits;      // of the residue map, by hand, in order
  std::shared_ptr<const Layout> layout;  // null: none; kept as a file of the job book
  std::string layout_sha256;             // of its file; empty: none
  std::vector<Note> notes;
  int next_note_id = 1;
  std::string compared_with_sha256;      // an earlier photo of this board and side; empty: none
  std::vector<PointPair> compare_pairs;  // by hand, first: the earlier photo; used from three on
  bool is_dry = false;                   // logged: the board was dry when this photo was taken
};
bool operator==(const Document& a, const Document& b);

RectifyOptions rectify_options(const ScaleChoice& choice);

// Format "verdigrid-work", version 2 (version 1 had neither edits nor a layout). The layout stands
// in it by its SHA-256 only: who reads a document fetches it.
nlohmann::json to_json(const Document& document);
Document document_from(const nlohmann::json& body);  // throws Error{bad_input} naming the field

}  // namespace verdigrid
