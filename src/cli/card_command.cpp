// verdigrid card -o card.pdf: the scale card to print.

#include <CLI/CLI.hpp>
#include <memory>

#include "base/files.h"
#include "cli/command.h"
#include "cli/new_file.h"
#include "report/card.h"

namespace verdigrid {

namespace {

struct CardArguments {
  Paper paper = Paper::a4;
  NewFile file;
};

int run_card(const CardArguments& arguments, Session& session) {
  arguments.file.check(".pdf");
  write_file(arguments.file.path, card_pdf(arguments.paper));
  session.messages << "Written to " << arguments.file.path.string()
                   << "; print it at 100 % and measure its 100 mm bar.\n";
  return 0;
}

}  // namespace

CommandRun card_command(CLI::App& arguments) {
  const auto values = std::make_shared<CardArguments>();
  arguments
      .add_option_function<std::string>(
          "--paper",
          [values](const std::string& word) {
            values->paper = word == name(Paper::letter) ? Paper::letter : Paper::a4;
          },
          "Paper: a4 (default) or letter")
      ->check(CLI::IsMember({name(Paper::a4), name(Paper::letter)}))
      ->type_name("PAPER");
  add_new_file_argument(arguments, values->file, "PDF file to write");
  return [values](Session& session) { return run_card(*values, session); };
}

}  // namespace verdigrid
