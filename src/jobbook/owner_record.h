// Between bench and owner, in the job book: quotes ("quote" records below the unit), the hand-over
// ("hand-over" record) with its days to look again, and the visit that a comeback opens ("visit").
//
// What changes something gives edits for JobBook::change. The owner's own words stand under
// "owner_said" alone, which forget_owner removes like name and contact; nothing else here holds
// data of the owner. Throws Error{wrong_use} where the job is not so far.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "jobbook/job_book.h"
#include "plan/quote.h"

namespace verdigrid {

// Net, all boards of the unit together. Throws as job_cost() does.
JobCost unit_cost(const JobBook& book, const std::string& unit, const Work& work = {});

struct KeptQuote {
  std::string id, who, owner_said;
  Quote quote;
};
std::vector<KeptQuote> quotes_of(const JobBook& book, const std::string& unit);  // oldest first

// A new quote of today's plan; those before stay as they were.
std::vector<Edit> quote_edits(const JobBook& book, const std::string& unit,
                              const QuoteTerms& terms);
// The newest quote becomes sent, agreed or declined today. `call_above` replaces that of the quote.
struct QuoteAnswer {
  QuoteState state = QuoteState::sent;
  std::optional<double> call_above;
  std::string owner_said;
};
std::vector<Edit> answer_edits(const JobBook& book, const std::string& unit,
                               const QuoteAnswer& answer);

// What the owner must be told, as a sentence: the job may now cost more than was agreed, or the
// quote ran out. Empty: nothing, or nothing was quoted.
std::string money_alarm(const JobBook& book, const std::string& unit, const std::string& date);

inline constexpr int k_look_again_months[] = {1, 3, 12};  // common practice, no source

struct LookAgain {
  std::string on;              // date it is due
  std::string done_on, found;  // empty: not yet
};

struct HandOver {
  std::string id, on, who;
  std::vector<std::string> watch;   // what the owner is to watch, in the bench's words
  std::vector<std::string> photos;  // record ids of the photos "handed over"
  std::vector<LookAgain> look_again;
  bool has_come_back = false;  // a later visit was opened
  int number = 1;              // of its unit
};
std::vector<HandOver> hand_overs_of(const JobBook& book, const std::string& unit);  // oldest first

// The unit becomes handed over; days to look again follow.
std::vector<Edit> hand_over_edits(const JobBook& book, const std::string& unit,
                                  const std::vector<std::string>& watch);
// The first open day to look again is done today.
std::vector<Edit> looked_again_edits(const JobBook& book, const std::string& unit,
                                     const std::string& found);

struct Visit {
  std::string id, on, owner_said;
  int number = 2;
  std::vector<std::string> photos;  // handed over the last time, to lay the new ones beside
};
std::vector<Visit> visits_of(const JobBook& book, const std::string& unit);  // from the second on

// A unit that was handed over is received again: a new visit, and its power lock locks again.
std::vector<Edit> came_back_edits(const JobBook& book, const std::string& unit,
                                  const std::string& owner_said);

// Days to look again that are due and open, of all units that are handed over and not back.
struct DueLook {
  std::string unit, on;
};
std::vector<DueLook> due_looks(const JobBook& book, const std::string& date);

}  // namespace verdigrid
