// Polarity and value of a part as three witnesses tell them: the print on the board, the old part
// and the meter. They must agree, else ASK; the print wins nothing by itself.
//
// A witness is text as it was read; "none" means that someone looked and it says nothing. Polarity
// is where the negative end (of a chip: pin 1) lies on the arrival photo: up, down, left or right.
// Pure values.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "plan/plan.h"

namespace verdigrid {

enum class ReadingOf { value, polarity };
const char* name(ReadingOf what);  // "value", "polarity"
std::optional<ReadingOf> reading_of_named(std::string_view text);

inline constexpr const char* k_says_nothing = "none";

struct PartReading {
  std::string designator;
  ReadingOf what = ReadingOf::value;
  std::string print, old_part, meter;  // empty: not read yet
  bool operator==(const PartReading&) const = default;
};

// Aluminium electrolytics are commonly sold within 20 %: IEC 60062 tolerance letter M.
inline constexpr double k_value_tolerance = 0.2;

struct PartAgreement {
  bool agrees = false;
  std::string value;  // what they agree on, as the part or the print writes it
  std::string ask;    // "ASK: ..." as a sentence, where they do not
};
// Agreed only where every witness was asked, two or more say something, and all say the same.
PartAgreement agreement_of(const PartReading& reading);

// The newest of each part and kind, in the order in which they were first read.
std::vector<PartReading> newest_readings(const std::vector<PartReading>& readings);

// A number with its unit: "47u", "47 uF", "4k7", "2R2". Empty for anything else.
struct PartValue {
  double value = 0;  // in F, H or ohm
  char unit = 0;     // 'F', 'H', 'R'; 0: not said
};
std::optional<PartValue> part_value(std::string_view text);

// Whether a value may stand on an order list, and why not.
struct OrderValue {
  bool may_be_ordered = false;
  std::string value;
  std::string why;  // why not, or what it rests on, as a sentence
};

// `board_revision`: of the board itself; empty: nobody has told it. The newest reading of the part
// on this board decides; without one, its layout's value counts unless it is of another revision.
OrderValue order_value(const ItemPart& part, const std::string& board_revision,
                       const std::vector<PartReading>& readings);

}  // namespace verdigrid
