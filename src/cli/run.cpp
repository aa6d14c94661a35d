#include "cli/run.h"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <filesystem>
#include <map>
#include <new>

#include "base/error.h"
#include "cli/command.h"
#include "cli/describe.h"
#include "measure/survey.h"

namespace verdigrid {

namespace {

constexpr int k_wrong_use = static_cast<int>(ErrorKind::wrong_use);
constexpr int k_internal = static_cast<int>(ErrorKind::internal);
constexpr int k_storage = static_cast<int>(ErrorKind::storage);
constexpr size_t k_option_column = 34;

constexpr char k_purpose[] =
    "Finds likely electrolyte residue and verdigris on photos of old circuit boards, and measures "
    "it.";
constexpr char k_exit_codes[] =
    "Exit codes: 0 done, 1 partly done, 2 wrong use, 3 bad input, 4 internal fault, 5 no result,\n"
    "6 storage, 130 interrupted. Data goes to standard output, messages to standard error.\n"
    "Nothing it prints clears a board: what a photo does not show, no program can find.";

// The whole command line: the program's own options and every subcommand.
struct CommandLine {
  CLI::App app{k_purpose, "verdigrid"};
  std::map<std::string, CommandRun> actions;
  std::vector<std::string> help_for;  // "log", "reading"
  std::string describe_for;

  CommandLine() {
    app.require_subcommand(0, 1);
    app.set_version_flag("--version", "verdigrid " + program_version());
    app.footer(k_exit_codes);
    app.get_formatter()->column_width(k_option_column);
    for (const Command& command : commands()) {
      CLI::App* sub = app.add_subcommand(command.name, command.summary);
      actions[command.name] = command.set_up(*sub);
    }
    CLI::App* help = app.add_subcommand("help", "Explain a subcommand: verdigrid help survey");
    help->add_option("SUBCOMMAND", help_for, "Name of a subcommand, and of one of its own")
        ->type_name("");
    actions["help"] = [this](Session& session) { return print_help(session); };
    CLI::App* describe =
        app.add_subcommand("describe", "Print the completions for a shell, or the manual page");
    describe->add_option("FOR", describe_for, "bash, zsh, fish or man")
        ->required()
        ->check(CLI::IsMember({"bash", "zsh", "fish", "man"}));
    actions["describe"] = [this](Session& session) { return describe_all(session); };
  }

  const CLI::App* subcommand(const std::string& name) const {
    return actions.contains(name) ? app.get_subcommand(name) : nullptr;
  }
  // As far as the words name subcommands of each other: "log reading".
  std::string named(const std::vector<std::string>& words) const {
    std::string names;
    const CLI::App* at = nullptr;
    for (const std::string& word : words) {
      at = at ? nested(*at, word) : subcommand(word);
      if (!at) break;
      names += (names.empty() ? "" : " ") + word;
    }
    return names;
  }
  // The word that stands where a subcommand of a subcommand should: "go" of "bench go".
  std::string unknown_after(const std::vector<std::string>& words) const {
    const CLI::App* at = words.size() > 1 ? subcommand(words[0]) : nullptr;
    const auto any = [](const CLI::App*) { return true; };
    if (!at || at->get_subcommands(any).empty() || at->get_require_subcommand_min() == 0) return {};
    return nested(*at, words[1]) || words[1].starts_with('-') ? std::string() : words[1];
  }
  static const CLI::App* nested(const CLI::App& in, const std::string& name) {
    const auto found =
        in.get_subcommands([&name](const CLI::App* one) { return one->get_name() == name; });
    return found.empty() ? nullptr : found.front();
  }

  int describe_all(Session& session) const {
    const std::pair<const char*, DescribeFor> kinds[] = {{"bash", DescribeFor::bash},
                                                         {"zsh", DescribeFor::zsh},
                                                         {"fish", DescribeFor::fish},
                                                         {"man", DescribeFor::man}};
    for (const auto& [word, kind] : kinds)
      if (describe_for == word) session.out << described(app, kind);
    return 0;
  }

  int print_help(Session& session) const {
    const CLI::App* about = &app;
    std::string full_name = "verdigrid";
    for (const std::string& word : help_for) {
      const CLI::App* next = about == &app ? subcommand(word) : nested(*about, word);
      if (!next)
        throw Error(
            ErrorKind::wrong_use,
            fmt::format("There is no subcommand \"{}\"; {} --help lists them.", word, full_name));
      about = next;
      full_name += " " + word;
    }
    session.out << app.get_formatter()->make_help(about, full_name, CLI::AppFormatMode::Normal);
    return 0;
  }
};

// What was meant by a first word that is no subcommand.
std::string unknown_word_sentence(const std::string& word) {
  if (word.find('.') != std::string::npos || word.find('/') != std::string::npos)
    return fmt::format(
        "\"{}\" is no subcommand; to survey a photo: verdigrid survey \"{}\" -o FOLDER", word,
        word);
  return fmt::format("There is no subcommand \"{}\"; verdigrid --help lists them.", word);
}

int explain_wrong_use(const CommandLine& line, const std::vector<std::string>& arguments,
                      const CLI::ParseError& error, Session& session) {
  const std::string first = arguments.empty() ? "" : arguments.front();
  const std::string known = line.named(arguments);
  if (known.empty() && !first.starts_with('-')) {
    session.messages << "verdigrid: " << unknown_word_sentence(first) << '\n';
    return k_wrong_use;
  }
  std::string sentence = error.what();
  if (const std::string unknown = line.unknown_after(arguments); !unknown.empty())
    sentence = fmt::format("There is no \"{} {}\".", known, unknown);
  std::replace(sentence.begin(), sentence.end(), '\n', ' ');
  session.messages << "verdigrid: " << sentence << " (see: verdigrid help"
                   << (known.empty() ? "" : " " + known) << ")\n";
  return k_wrong_use;
}

int run_chosen(CommandLine& line, Session& session) {
  const auto chosen = line.app.get_subcommands();
  if (chosen.empty()) {
    session.out << line.app.help();
    return 0;
  }
  return line.actions.at(chosen.front()->get_name())(session);
}

int run_arguments(const std::vector<std::string>& arguments, Session& session) {
  CommandLine line;
  try {
    line.app.parse(std::vector<std::string>(arguments.rbegin(), arguments.rend()));
  } catch (const CLI::Success& wanted) {  // --help, --version
    return line.app.exit(wanted, session.out, session.messages);
  } catch (const CLI::ParseError& error) {
    return explain_wrong_use(line, arguments, error, session);
  }
  return run_chosen(line, session);
}

}  // namespace

bool asks_for_window(const std::vector<std::string>& arguments) {
  if (arguments.empty()) return true;
  const auto all = commands();
  const bool is_command =
      arguments[0] == "help" || std::any_of(all.begin(), all.end(), [&](const Command& command) {
        return arguments[0] == command.name;
      });
  std::error_code code;
  return arguments.size() == 1 && !is_command &&
         std::filesystem::is_regular_file(arguments[0], code);
}

int run_program(const std::vector<std::string>& arguments, Session& session) {
  int code = k_internal;
  try {
    code = run_arguments(arguments, session);
  } catch (const Error& error) {
    session.messages << "verdigrid: " << error.what() << '\n';
    code = error.exit_code();
  } catch (const std::bad_alloc&) {
    session.messages << "verdigrid: There is not enough memory for this picture; close other "
                        "programs or use a smaller one.\n";
  } catch (const std::exception& error) {
    session.messages << "verdigrid: Internal fault: " << error.what()
                     << ". Please report it with the input that led here.\n";
  }
  session.out.flush();
  if (!session.out && code == 0) {
    session.messages << "verdigrid: The output could not be written whole; free some space or "
                        "choose another place for it.\n";
    code = k_storage;
  }
  return code;
}

}  // namespace verdigrid
