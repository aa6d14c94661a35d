// Parts of a whole shelf, from needed to fitted, and the lines in which they are bought together.
//
// Pure. The job book gives the parts (jobbook/order_record.h). Money in the currency of the plans.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "plan/ledger.h"
#include "plan/part_spec.h"

namespace verdigrid {

enum class OrderState { needed, in_drawer, ordered, arrived, fitted };
inline constexpr OrderState k_order_states[] = {OrderState::needed, OrderState::in_drawer,
                                                OrderState::ordered, OrderState::arrived,
                                                OrderState::fitted};
const char* name(OrderState state);  // "needed", "in the drawer", "ordered", "arrived", "fitted"
std::optional<OrderState> order_state_named(std::string_view text);

// Where a part is when the ledger of the bench has its word in it: one that is here and was put
// back on after that is fitted. Nobody says it twice, and coming off again takes it back.
// `said_at`: when the state was said; "YYYY-MM-DD" alone means from that day's start.
OrderState state_with_ledger(OrderState said, const std::string& said_at,
                             const std::string& designator, const std::vector<LedgerRow>& ledger);

struct NeededPart {
  std::string unit, unit_name, board, board_name;  // ids and names
  std::string designator;
  PartSpec spec;
  std::string value_from;  // where the value comes from: "layout, revision B", "told by Ada"
  std::string why_not;     // why it must not be ordered, as a sentence; empty: it may
  std::string substitute;  // what is fitted in its place, in words; empty: its like
  OrderState state = OrderState::needed;
  std::string order;      // id of the order it is in
  bool optional = false;  // offered by the plan, not counted
  std::optional<double> price;
  std::string currency;
};

// Parts that are bought as one.
struct OrderLine {
  PartSpec spec;
  std::string substitute;
  std::vector<size_t> parts;  // into the parts it was made from
  std::optional<double> price_each;
  std::string currency;
};

struct OrderOptions {
  bool offered = false;  // also what plans only offer
  std::string unit;      // id: this unit alone; empty: the whole shelf
};

// Parts that are needed and may be ordered, alike in all of value, voltage, diameter, height, lead
// spacing and substitute; by kind, then value.
std::vector<OrderLine> order_lines(const std::vector<NeededPart>& parts,
                                   const OrderOptions& options = {});

// RFC 4180; no owner data.
std::string order_csv(const std::vector<OrderLine>& lines, const std::vector<NeededPart>& parts);

// What lies in the drawer, as a simple list.
struct StockRow {
  PartSpec spec;
  int count = 0;
  std::string note;  // series, date code, where it lies
  bool operator==(const StockRow&) const = default;
};

// What of the drawer serves which needed part: each piece once, the nearest voltage first.
struct Taking {
  size_t part = 0, row = 0;  // into the parts and the rows
  std::string substitute;    // "25 V for 16 V, from the drawer"; empty: its like
};
std::vector<Taking> takings_of(const std::vector<NeededPart>& parts,
                               const std::vector<StockRow>& drawer,
                               const OrderOptions& options = {});

}  // namespace verdigrid
