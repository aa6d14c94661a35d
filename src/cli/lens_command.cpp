// verdigrid lens PHOTOS -o lens.json: from photos of a chessboard to a lens file.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <memory>

#include "base/error.h"
#include "cli/command.h"
#include "cli/new_file.h"
#include "cli/progress_bar.h"
#include "cli/values.h"
#include "photo/decode.h"
#include "rectify/lens_file.h"

namespace verdigrid {

namespace {

struct LensArguments {
  std::vector<std::filesystem::path> photos;
  LensOptions options;
  DecodeOptions decode;
  NewFile file;
};

LensCalibration calibrated(const LensArguments& arguments, Session& session) {
  ProgressBar bar(session, "Reading the chessboards");
  const Work work = bar.work();
  std::vector<Photo> photos;
  for (const auto& path : arguments.photos) {
    work.check();
    photos.push_back(load_photo(path, arguments.decode));
    work.report(0.4 * double(photos.size()) / double(arguments.photos.size()));
  }
  return calibrated_lens(photos, arguments.options, work.part(0.4, 1));
}

int run_lens(const LensArguments& arguments, Session& session) {
  arguments.options.check();
  arguments.file.check(".json");
  const LensCalibration found = calibrated(arguments, session);
  save_lens(arguments.file.path, found.lens);
  session.out << fmt::format("{} photos used, {} without the whole chessboard; {:.2f} px rms\n",
                             found.used.size(), found.not_used.size(), found.lens.rms_px);
  for (const std::string& name : found.not_used)
    session.messages << name << ": the chessboard is not seen whole; left out.\n";
  session.messages << "Written to " << arguments.file.path.string()
                   << "; use it with verdigrid survey --lens.\n";
  return 0;
}

}  // namespace

CommandRun lens_command(CLI::App& arguments) {
  const auto values = std::make_shared<LensArguments>();
  arguments
      .add_option("PHOTOS", values->photos,
                  "Photos of one flat chessboard from different angles, all by one camera at one "
                  "setting")
      ->required()
      ->type_name("");
  arguments
      .add_option_function<std::string>(
          "--inner-corners",
          [values](const std::string& text) {
            values->options.inner_corners = whole_size_from("--inner-corners", text);
          },
          "Corners inside the chessboard, columns x rows (default 9x6)")
      ->type_name("WxH");
  arguments
      .add_option_function<std::string>(
          "--square-mm",
          [values](const std::string& text) {
            values->options.square_mm = number_from("--square-mm", text);
          },
          "Side of one square (default 25)")
      ->type_name("MM");
  add_new_file_argument(arguments, values->file, "Lens file to write, ending in .json");
  return [values](Session& session) { return run_lens(*values, session); };
}

}  // namespace verdigrid
