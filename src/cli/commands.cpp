#include <array>

#include "cli/command.h"

namespace verdigrid {

std::span<const Command> commands() {
  static constexpr std::array k_commands{
      Command{"survey", "Find, show and measure likely residue on a photo of a board",
              survey_command},
      Command{"look", "Answer a few places of a photo; each answer teaches its survey",
              look_command},
      Command{"check", "Say whether a photo is good enough, and what to reshoot", check_command},
      Command{"card", "Print the scale card that gives photos their scale", card_command},
      Command{"lens", "Measure a camera's lens from photos of a chessboard", lens_command},
      Command{"jobbook", "Receive units, keep their photos and surveys, find them again",
              jobbook_command},
      Command{"boardtype", "What is known of every board of one type, and where it leaks first",
              boardtype_command},
      Command{"tag", "Print tags that file the photos taken after them", tag_command},
      Command{"layout", "Import, check, draw, tie and place the layout of a board type",
              layout_command},
      Command{"plan", "What to do with a board, how long, how much, and what must not be done",
              plan_command},
      Command{"bench", "Work at the bench, one place at a time, with a timer", bench_command},
      Command{"log", "Parts off and on, readings, wash and drying, clocks, shift notes",
              log_command},
      Command{"lock", "What still forbids power, first power and its test record", lock_command},
      Command{"order",
              "Parts over the whole shelf: needed, in the drawer, ordered, arrived, fitted",
              order_command},
      Command{"quote", "What a job may cost, told to the owner, answered and told again",
              quote_command},
      Command{"handover", "The sheet for the owner, days to look again, and what comes back",
              handover_command},
      Command{"rates", "The minutes, money and prices that estimates are made with", rates_command},
      Command{"report", "Write the report of a survey or a unit as HTML or PDF", report_command},
      Command{"compare", "Say what a wash removed, what stayed and what is new on one side",
              compare_command},
      Command{"batch", "Survey many photos, and go on where an earlier run was stopped",
              batch_command},
      Command{"gather", "One table or job book from the results of batches", gather_command},
      Command{"export", "Give the findings of a survey to other programs", export_command},
      Command{"import", "Take in regions that another program drew", import_command},
      Command{"close-up", "Place a close-up on the photo of its side and measure finer there",
              close_up_command},
      Command{"join", "Join overlapping photos of one side into one straight picture",
              join_command},
  };
  return k_commands;
}

}  // namespace verdigrid
