#include "cli/run.h"

#include <catch2/catch.hpp>
#include <sstream>

#include "cli/command.h"
#include "tests/cli/run_here.h"

using namespace verdigrid;

namespace {

bool is_one_line(const std::string& text) {
  return !text.empty() && text.find('\n') == text.size() - 1;
}

}  // namespace

TEST_CASE("help goes to standard output and lists every subcommand", "[cli]") {
  for (const auto& arguments : {std::vector<std::string>{"--help"}, {"help"}, {}}) {
    const test::Ran ran = test::run_here(arguments);
    CHECK(ran.code == 0);
    CHECK(ran.messages.empty());
    for (const Command& command : commands()) {
      CAPTURE(command.name);
      CHECK(ran.out.find(command.name) != std::string::npos);
      CHECK(ran.out.find(command.summary) != std::string::npos);
    }
  }
}

TEST_CASE("every subcommand explains itself in two ways", "[cli]") {
  for (const Command& command : commands()) {
    const test::Ran a = test::run_here({"help", command.name}),
                    b = test::run_here({command.name, "--help"});
    CAPTURE(command.name);
    CHECK(a.code == 0);
    CHECK(b.code == 0);
    CHECK(a.out == b.out);
    CHECK(a.out.find(command.summary) != std::string::npos);
  }
}

TEST_CASE("a subcommand of a subcommand explains itself in two ways and names itself when misused",
          "[cli]") {
  const test::Ran a = test::run_here({"help", "log", "reading"}),
                  b = test::run_here({"log", "reading", "--help"});
  CHECK(a.code == 0);
  CHECK(a.out == b.out);
  CHECK(test::run_here({"help", "log", "soldering"}).messages.find("log --help lists them") !=
        std::string::npos);
  CHECK(test::run_here({"bench", "go"}).messages ==
        "verdigrid: There is no \"bench go\". (see: verdigrid help bench)\n");
  CHECK(test::run_here({"log", "reading", "--colour"})
            .messages.find("(see: verdigrid help log "
                           "reading)") != std::string::npos);
}

TEST_CASE("the version is the project's", "[cli]") {
  const test::Ran ran = test::run_here({"--version"});
  CHECK(ran.code == 0);
  CHECK(ran.out == "verdigrid " VERDIGRID_VERSION "\n");
}

TEST_CASE("wrong use is one sentence on standard error and exit code 2", "[cli]") {
  const std::vector<std::vector<std::string>> wrong{
      {"wash"},
      {"board.jpg"},
      {"--colour"},
      {"help", "wash"},
      {"survey"},
      {"survey", "a.jpg", "--colour"},
      {"survey", "a.jpg", "--side", "left"},
      {"survey", "a.jpg", "--turn", "45"},
      {"survey", "a.jpg", "--setting", "loud"},
      {"survey", "a.jpg", "--board-mm", "160"},
      {"survey", "a.jpg", "--corners", "1,1", "2,2"},
      {"survey", "a.jpg", "--distance-mm", "30"},
      {"survey", "a.jpg", "--points", "1,1", "2,2"},
      {"survey", "a.jpg", "--card-bar-mm", "99"},
      {"survey", "a.jpg", "--pixel-limit", "-1"},
      {"survey", "a.jpg", "--feature-mm", "0"},
      {"survey", "a.jpg", "b.jpg"},
  };
  for (const auto& arguments : wrong) {
    const test::Ran ran = test::run_here(arguments);
    CAPTURE(arguments, ran.messages);
    CHECK(ran.code == 2);
    CHECK(ran.out.empty());
    CHECK(is_one_line(ran.messages));
    CHECK(ran.messages.starts_with("verdigrid: "));
  }
}

TEST_CASE("a photo in place of a subcommand is answered with the way to survey it", "[cli]") {
  CHECK(test::run_here({"my board.jpg"}).messages.find("verdigrid survey \"my board.jpg\"") !=
        std::string::npos);
}

TEST_CASE("a missing photo is bad input", "[cli]") {
  const test::Ran ran = test::run_here({"survey", "/nowhere/board.jpg"});
  CHECK(ran.code == 3);
  CHECK(is_one_line(ran.messages));
  CHECK(ran.messages.find("/nowhere/board.jpg") != std::string::npos);
}

TEST_CASE("output that cannot be written is a storage error", "[cli]") {
  std::ostringstream messages;
  std::ostream full(nullptr);  // refuses every byte
  Session session{full, messages, false, {}};
  CHECK(run_program({"--version"}, session) == 6);
  CHECK(is_one_line(messages.str()));
}

TEST_CASE("nothing or a photo asks for the window, everything else for a subcommand", "[cli]") {
  const std::string file = VERDIGRID_SOURCE_DIR "/LICENSE";
  CHECK(asks_for_window({}));
  CHECK(asks_for_window({file}));
  for (const auto& arguments : {std::vector<std::string>{"survey"},
                                {"help"},
                                {"--version"},
                                {"survey", file},
                                {file, file},
                                {"/nowhere/board.jpg"},
                                {VERDIGRID_SOURCE_DIR}}) {
    CAPTURE(arguments);
    CHECK_FALSE(asks_for_window(arguments));
  }
}
