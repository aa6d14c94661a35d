// The sides of a board as people left them: the newest survey of each with what was answered and
// changed at the window taken in, for plans.
//
// Cost: about 2 s a photo that was worked on; none for the others. Errors as in
// jobbook/plan_record.h; Error{storage} for a damaged photo.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/work.h"
#include "jobbook/job_book.h"
#include "plan/board_facts.h"

namespace verdigrid {

std::vector<SideFacts> reviewed_sides(const JobBook& book, const std::string& board,
                                      double least_confidence, const Work& work);

// One side alone; empty where it was not surveyed.
std::optional<SideFacts> reviewed_side(const JobBook& book, const std::string& board, Side side,
                                       double least_confidence, const Work& work);

}  // namespace verdigrid
