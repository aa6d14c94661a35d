// verdigrid tag JOBBOOK UNIT -o tags.pdf: printed tags for a board's front and back.

#include <CLI/CLI.hpp>
#include <memory>

#include "base/files.h"
#include "cli/command.h"
#include "cli/job_book_place.h"
#include "jobbook/entities.h"
#include "jobbook/tags.h"
#include "report/tag_sheet.h"

namespace verdigrid {

namespace {

struct TagArguments {
  JobBookPlace place;
  std::filesystem::path file;
};

int run_tag(const TagArguments& a, Session& session) {
  JobBook book = opened_job_book(a.place.book, {}, Open::existing);
  const std::string board = board_named(book, a.place.unit, a.place.board);
  std::vector<TagLabel> labels;
  for (const Side side : {Side::front, Side::back})
    labels.push_back({tag_for(book, {a.place.unit, board, side}), a.place.unit,
                      unit_from(book.get(a.place.unit).body).name,
                      board_from(book.get(board).body).name, side});
  write_file(a.file, tag_sheet_pdf(labels));
  session.messages << "Written to " << a.file.string()
                   << ". Photograph a tag, then the pictures that belong to it; 'verdigrid jobbook "
                      "inbox' files them.\n";
  return 0;
}

}  // namespace

CommandRun tag_command(CLI::App& arguments) {
  const auto values = std::make_shared<TagArguments>();
  arguments.add_option("JOBBOOK", values->place.book, "Folder of the job book")->required();
  arguments.add_option("UNIT", values->place.unit, "Id of the unit")->required();
  arguments.add_option("--board", values->place.board, "Name of the board (default \"board 1\")");
  arguments.add_option("-o,--out", values->file, "The PDF to write")->required();
  return [values](Session& session) { return run_tag(*values, session); };
}

}  // namespace verdigrid
