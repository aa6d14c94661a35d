// The records of the receiving desk as types: unit, kit item, board, photo, and their JSON bodies.
//
// from_json of a body that lacks a field takes the default; a field of the wrong type throws
// Error{bad_input} naming the field. Dates are "YYYY-MM-DD". All text is UTF-8 and comes back as it
// was.
#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "jobbook/job_book.h"
#include "rectify/rectification.h"

namespace verdigrid {

enum class Answer3 { unknown, yes, no };
const char* name(Answer3 a);  // "don't know", "yes", "no"

struct Signature {
  std::string who, at;  // time as in the job book
};

struct Battery {
  Answer3 fitted = Answer3::unknown;
  std::string kind;  // "NiCd barrel", "lithium coin", ... ; empty: not known
  Answer3 leaking = Answer3::unknown;
  Answer3 keeps_data = Answer3::unknown;   // calibration, keys or settings
  std::string data_kept;                   // what, in words
  std::optional<Signature> data_saved;     // the data was read out first
  std::optional<Signature> loss_accepted;  // the owner accepts the loss
  std::string removed_on;                  // date; empty: still fitted
  double volts = 0;                        // printed; 0: not known
};

// Why the battery must not be taken out yet, as a sentence; empty when nothing speaks against it.
std::string battery_removal_block(const Battery& battery);

// Entry record: the groups of Spectrum 5.0 "object entry" (Collections Trust), plus what
// electronics needs (common practice, no source).
struct Unit {
  std::string name;  // what it is, in words
  std::string entry_number;
  std::string owner, owner_contact;
  std::string received_on;  // date
  std::string condition, completeness, description;
  std::string reason, entry_method;
  int items = 1;
  std::string requirements, return_on, insurance, packing, extra, location;
  std::optional<Signature> handed_in_by, received_by;
  std::string make, model, serial, revision;
  std::string missing_parts, previous_repair, smell, mains_voltage, last_known_to_work,
      strip_reading;
  Battery battery;
  Answer3 picture_tube = Answer3::unknown, mains_capacitors = Answer3::unknown,
          nests = Answer3::unknown;
  Answer3 wet = Answer3::unknown;
  bool is_supply = false;          // a supply is a unit of its own
  std::string state = "received";  // see k_unit_states
};

inline constexpr const char* k_unit_states[] = {"received",         "surveyed", "planned",
                                                "at the bench",     "washed",   "rechecked",
                                                "cleared for test", "tested",   "handed over"};

struct KitItem {
  std::string what;  // "board", "card", "supply", "drive", "panel", "cable", ...
  std::string name, slot;
  bool looked_at = false;
  std::string board;  // id of the board record, when it is one
};

struct Board {
  std::string name, type;  // type: id of a board-type record or empty
  std::string revision, note;
  std::string size_mm;  // "WxH" as measured; empty: not measured
};

inline constexpr const char* k_photo_roles[] = {"arrival",        "in the case", "close-up",
                                                "under a socket", "after wash",  "reworked",
                                                "tested",         "handed over", "came back"};

struct KeptPhoto {
  std::string sha256, name, role = "arrival";
  Side side = Side::front;
  std::string captured_at, note;
  int width_px = 0, height_px = 0;
  // Why a close-up was found nowhere on its side; empty: not tried, or placed.
  std::string no_place;
};

// False for a close-up or a look under a socket: they do not speak for their side.
bool shows_side(const KeptPhoto& photo);

// Cautions that this unit calls for before anyone touches it, in order of harm.
std::vector<std::string> cautions(const Unit& unit);

nlohmann::json to_body(const Unit& unit);
nlohmann::json to_body(const KitItem& item);
nlohmann::json to_body(const Board& board);
nlohmann::json to_body(const KeptPhoto& photo);
Unit unit_from(const nlohmann::json& body);
KitItem kit_item_from(const nlohmann::json& body);
Board board_from(const nlohmann::json& body);
KeptPhoto kept_photo_from(const nlohmann::json& body);

// The photo with these bytes that was kept last; empty: none has them.
std::optional<Record> kept_photo_with(const JobBook& book, const std::string& sha256);

}  // namespace verdigrid
