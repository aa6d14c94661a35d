// verdigrid check PHOTO: is the photo good enough, and what to reshoot.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <memory>

#include "cli/command.h"
#include "cli/photo_arguments.h"
#include "cli/photo_check_json.h"
#include "cli/progress_bar.h"
#include "cli/values.h"
#include "photo/check.h"

namespace verdigrid {

namespace {

struct CheckArguments {
  PhotoArguments photo;
  PhotoCheckOptions options;
  bool prints_json = false;
};

struct Checked {
  Photo photo;
  PhotoCheck check;
};

Checked checked(const CheckArguments& arguments, Session& session) {
  ProgressBar bar(session, "Checking " + arguments.photo.path.filename().string());
  const Work work = bar.work();
  Checked c;
  c.photo = load_photo(arguments.photo.path, arguments.photo.decode);
  work.report(0.4);
  work.check();
  const Rectification r = rectification_by(arguments.photo, c.photo, work.part(0.4, 0.8));
  PhotoCheckOptions options = arguments.options;
  if (r.px_per_mm) options.px_per_mm = r.px_per_mm->value;
  options.tilt_deg = r.tilt_deg;
  if (!r.outline_is_frame) options.board_px = r.outline_px;
  c.check = photo_check(c.photo, options, work.part(0.8, 1));
  return c;
}

int run_check(const CheckArguments& arguments, Session& session) {
  arguments.photo.decode.check();
  arguments.photo.rectify.check();
  arguments.options.check();
  const Checked c = checked(arguments, session);
  if (arguments.prints_json) {
    session.out << photo_check_json(c.photo.meta, c.check);
    return 0;
  }
  session.out << fmt::format("{}: {}\n", c.photo.meta.name, name(c.check.verdict));
  for (const CheckItem& item : c.check.items)
    session.out << fmt::format("  {:<12} {:<8} {}\n", item.id, name(item.verdict), item.sentence);
  return 0;
}

}  // namespace

CommandRun check_command(CLI::App& arguments) {
  const auto values = std::make_shared<CheckArguments>();
  add_photo_argument(arguments, values->photo);
  arguments.add_flag("--json", values->prints_json, "Print the figures as JSON");
  arguments
      .add_option_function<std::string>(
          "--feature-mm",
          [values](const std::string& text) {
            values->options.feature_mm = number_from("--feature-mm", text);
          },
          "Smallest thing that the photo must show (default 0.3)")
      ->type_name("MM");
  add_scale_arguments(arguments, values->photo);
  return [values](Session& session) { return run_check(*values, session); };
}

}  // namespace verdigrid
