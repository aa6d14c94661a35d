#include "cli/describe.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <vector>

#include "measure/survey.h"

namespace verdigrid {

namespace {

struct Option {
  std::string name;    // "--out"
  std::string letter;  // "-o", empty for none
  std::string what;
  std::string value;  // "FOLDER", empty for a flag
};

// Named by its place and not by an option.
struct Argument {
  std::string name;  // "PHOTO", "[PHOTO]" where it may be left out, "PHOTOS..."
  std::string what;
};

// A subcommand, or the program itself.
struct Step {
  std::vector<std::string> path;  // empty for the program
  std::string what;
  std::vector<std::string> next;  // names of its subcommands
  std::vector<Argument> arguments;
  std::vector<Option> options;
};

Argument argument_of(const CLI::Option& o) {
  std::string name = o.get_single_name();
  if (o.get_items_expected_max() > 1) name += "...";
  return {o.get_required() ? name : "[" + name + "]", o.get_description()};
}

Option option_of(const CLI::Option& o, const std::string& name) {
  return {"--" + name, o.get_snames().empty() ? "" : "-" + o.get_snames().front(),
          o.get_description(), o.get_expected_max() > 0 ? o.get_type_name() : ""};
}

void add_steps(const CLI::App& app, std::vector<std::string> path, std::vector<Step>& steps) {
  Step step{path, app.get_description(), {}, {}, {}};
  for (const CLI::App* sub : app.get_subcommands({})) step.next.push_back(sub->get_name());
  for (const CLI::Option* o : app.get_options()) {
    if (o->get_positional()) step.arguments.push_back(argument_of(*o));
    for (const std::string& name : o->get_lnames()) step.options.push_back(option_of(*o, name));
  }
  steps.push_back(std::move(step));
  for (const CLI::App* sub : app.get_subcommands({})) {
    path.push_back(sub->get_name());
    add_steps(*sub, path, steps);
    path.pop_back();
  }
}

std::vector<std::string> words_of(const Step& step) {
  std::vector<std::string> words = step.next;
  for (const Option& o : step.options) words.push_back(o.name);
  return words;
}

// In single quotes for a shell of the Bourne family; fish reads it alike.
std::string in_quotes(const std::string& text) {
  std::string q = "'";
  for (const char c : text) q += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return q + "'";
}

// The same for bash and zsh: go down the words typed so far, then offer what fits there.
std::string cases(const std::vector<Step>& steps) {
  std::string text = "  local at='' word\n";
  text += "  for word in \"${typed[@]}\"; do\n    case \"$at $word\" in\n";
  for (const Step& s : steps)
    if (!s.path.empty())
      text += fmt::format("      {0}) at={0} ;;\n",
                          in_quotes(fmt::format(" {}", fmt::join(s.path, " "))));
  text += "    esac\n  done\n  local offer=''\n  case \"$at\" in\n";
  for (const Step& s : steps)
    text += fmt::format("    {}) offer={} ;;\n",
                        in_quotes(s.path.empty() ? "" : fmt::format(" {}", fmt::join(s.path, " "))),
                        in_quotes(fmt::format("{}", fmt::join(words_of(s), " "))));
  return text + "  esac\n";
}

std::string for_bash(const std::vector<Step>& steps) {
  return "# bash completion for verdigrid\n_verdigrid() {\n"
         "  local typed=(\"${COMP_WORDS[@]:1:COMP_CWORD-1}\")\n" +
         cases(steps) +
         "  COMPREPLY=($(compgen -W \"$offer\" -- \"${COMP_WORDS[COMP_CWORD]}\"))\n}\n"
         "complete -o default -o bashdefault -F _verdigrid verdigrid\n";
}

std::string for_zsh(const std::vector<Step>& steps) {
  return "#compdef verdigrid\n_verdigrid() {\n"
         "  local -a typed\n  typed=(\"${(@)words[2,CURRENT-1]}\")\n" +
         cases(steps) + "  compadd -- ${=offer}\n  _files\n}\n_verdigrid \"$@\"\n";
}

std::string for_fish(const std::vector<Step>& steps) {
  std::string text = "# fish completion for verdigrid\n";
  for (const Step& s : steps) {
    std::string when = "__fish_use_subcommand";
    for (size_t i = 0; i < s.path.size(); ++i)
      when = (i == 0 ? "" : when + "; and ") + "__fish_seen_subcommand_from " + s.path[i];
    for (const std::string& next : s.next) {
      const auto sub = std::find_if(steps.begin(), steps.end(), [&](const Step& t) {
        return t.path.size() == s.path.size() + 1 && t.path.back() == next &&
               std::equal(s.path.begin(), s.path.end(), t.path.begin());
      });
      text += fmt::format("complete -c verdigrid -n {} -a {} -d {}\n", in_quotes(when), next,
                          in_quotes(sub->what));
    }
    for (const Option& o : s.options)
      text += fmt::format("complete -c verdigrid -n {} -l {}{}{} -d {}\n", in_quotes(when),
                          o.name.substr(2), o.letter.empty() ? "" : " -s " + o.letter.substr(1),
                          o.value.empty() ? "" : " -r", in_quotes(o.what));
  }
  return text;
}

// Plain text for roff: backslashes, and a dot or quote at the start of a line.
std::string roff(const std::string& text) {
  std::string r;
  bool at_start = true;
  for (const char c : text) {
    if (at_start && (c == '.' || c == '\'')) r += "\\&";
    r += c == '\\' ? std::string("\\e") : c == '-' ? std::string("\\-") : std::string(1, c);
    at_start = c == '\n';
  }
  return r;
}

// One entry of a list: what is typed, and what it does.
std::string man_entry(const std::string& typed, const std::string& what) {
  return fmt::format(".TP\n.B {}\n{}\n", roff(typed), roff(what));
}

std::string for_man(const CLI::App& app, const std::vector<Step>& steps) {
  std::string text = fmt::format(
      ".TH VERDIGRID 1 \"\" \"Verdigrid {}\" \"User commands\"\n.SH NAME\nverdigrid \\- find and "
      "measure likely residue on photos of old circuit boards\n.SH SYNOPSIS\n.B verdigrid\n.RI [ "
      "PHOTO ]\n.br\n.B verdigrid\n.I SUBCOMMAND\n.RI [ OPTIONS ]\n.SH DESCRIPTION\n{}\nWith a "
      "photo or nothing it opens its window.\n.SH SUBCOMMANDS\n",
      program_version(), roff(app.get_description()));
  for (const Step& s : steps) {
    if (s.path.empty()) continue;
    std::string line = fmt::format("verdigrid {}", fmt::join(s.path, " "));
    for (const Argument& a : s.arguments) line += " " + a.name;
    text += fmt::format(".SS {}\n{}\n", roff(line), roff(s.what));
    for (const Argument& a : s.arguments) text += man_entry(a.name, a.what);
    for (const Option& o : s.options)
      if (o.name != "--help")
        text += man_entry((o.letter.empty() ? "" : o.letter + ", ") + o.name +
                              (o.value.empty() ? "" : " " + o.value),
                          o.what);
  }
  text += ".SH EXIT STATUS\n" + roff(app.get_footer()) + "\n";
  return text +
         ".SH CAUTIONS\nIt never clears a board. Mains, charged capacitors, batteries and "
         "chemicals "
         "are for qualified persons, by local codes.\n";
}

}  // namespace

std::string described(const CLI::App& app, DescribeFor wanted) {
  std::vector<Step> steps;
  add_steps(app, {}, steps);
  switch (wanted) {
    case DescribeFor::bash:
      return for_bash(steps);
    case DescribeFor::zsh:
      return for_zsh(steps);
    case DescribeFor::fish:
      return for_fish(steps);
    case DescribeFor::man:
      break;
  }
  return for_man(app, steps);
}

}  // namespace verdigrid
