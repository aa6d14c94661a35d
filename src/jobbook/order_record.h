// Parts in the job book: what every board's plan asks for and how far each part is ("parts" record
// below the board), the drawer ("drawer" record) and the orders that were placed ("order" records).
//
// What changes something gives edits for JobBook::change, so that who keeps a history of his own
// can undo them. Throws Error{wrong_use} for parts that no plan asks for, Error{no_result} where
// there is nothing to order or take. Owner data is never read.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "jobbook/job_book.h"
#include "plan/part_order.h"

namespace verdigrid {

// Of all units that are not handed over, oldest board first. Values come from the layout of the
// board's type or from the plan; one of another board revision is shown and never ordered.
std::vector<NeededPart> needed_parts(const JobBook& book);

// Of one unit, whatever its state.
std::vector<NeededPart> needed_parts_of(const JobBook& book, const std::string& unit);

struct PartPlace {
  std::string board, designator;  // record id; "C12"
};

// Only what is set is changed.
struct PartUpdate {
  std::optional<OrderState> state;
  std::optional<std::string> order, substitute;
  std::optional<std::string> value;  // as read by a person; it may be ordered then
  std::optional<double> volts, diameter_mm, height_mm, spacing_mm;
};
std::vector<Edit> part_edits(const JobBook& book, const std::vector<PartPlace>& parts,
                             const PartUpdate& change);

std::vector<StockRow> drawer_of(const JobBook& book);
// Adds to a row of the same spec and note, or takes away with a negative count (wrong_use where
// fewer lie there).
std::vector<Edit> stock_edits(const JobBook& book, const StockRow& change);
// Takes what fits out of the drawer, for the parts that need it.
std::vector<Edit> taking_edits(const JobBook& book, const OrderOptions& options);

struct PlacedOrder {
  std::string id, from, on, who;  // from: where it was ordered; may be empty
  std::string csv;                // as it was placed
  int parts = 0, arrived = 0;     // pieces
};
std::vector<PlacedOrder> placed_orders(const JobBook& book);  // oldest first

// Every part that may be ordered becomes ordered; the new order's id is that of the first edit.
std::vector<Edit> order_edits(const JobBook& book, const OrderOptions& options,
                              const std::string& from);
std::vector<Edit> arrival_edits(const JobBook& book, const std::string& order);

}  // namespace verdigrid
