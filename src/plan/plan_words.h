// The plan as text: for the command line, a bench sheet, a report.
#pragma once

#include <string>

#include "plan/plan.h"
#include "plan/worth.h"

namespace verdigrid {

std::string minutes_words(double minutes);  // "45 min", "3 h 5 min", "2 days 4 h"

// "likely 1 h 5 min, allow up to 2 h 10 min"
std::string figures_words(const Figures& figures);

// "net /RESET: U3 pin 5 to R12 pin 1", a line each with `indent` before it.
std::string pair_lines(const WorkItem& item, const std::string& indent);

// "W3": what, where, how long, method, what speaks against it; several lines.
std::string item_words(const Plan& plan, const WorkItem& item, const Figures* figures);

// All of it: figures, grade with reasons, what is refused, items by stage, parts to order.
std::string plan_words(const Plan& plan);

}  // namespace verdigrid
