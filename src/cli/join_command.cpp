// verdigrid join PHOTOS: overlapping photos of one side as one straight picture of it.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <memory>

#include "base/error.h"
#include "base/files.h"
#include "cli/command.h"
#include "cli/photo_arguments.h"
#include "cli/progress_bar.h"
#include "compare/join.h"
#include "compare/straight.h"
#include "photo/decode.h"
#include "photo/encode.h"
#include "rectify/rectification_file.h"

namespace verdigrid {

namespace {

constexpr const char* k_side = "side.png";
constexpr const char* k_rectification = "side.rectification.json";
constexpr const char* k_seams = "seams.jpg";

struct JoinArguments {
  std::vector<std::filesystem::path> photos;
  std::filesystem::path folder;
  PhotoArguments scale;
  JoinOptions options;
};

Photo as_photo(const Joined& joined) {
  Photo photo;
  photo.bgr = joined.bgr;
  photo.meta.name = k_side;
  photo.meta.format = "PNG";
  photo.meta.stored_size_px = joined.bgr.size();
  return photo;
}

// The joined picture with its seams drawn, for looking at.
cv::Mat seams_picture(const Joined& joined) {
  cv::Mat picture = joined.bgr.clone();
  for (int y = 1; y < picture.rows; ++y)
    for (int x = 1; x < picture.cols; ++x) {
      const uchar here = joined.source.at<uchar>(y, x);
      if (here != joined.source.at<uchar>(y - 1, x) || here != joined.source.at<uchar>(y, x - 1))
        picture.at<cv::Vec3b>(y, x) = {0, 255, 255};
    }
  return picture;
}

int run_join(const JoinArguments& a, Session& session) {
  a.scale.decode.check();
  a.scale.rectify.check();
  a.options.check();
  NewFolder folder(a.folder, {k_side, k_rectification, k_seams});
  ProgressBar bar(session, "Joining");
  const Work work = bar.work();
  std::vector<Photo> photos;
  for (const auto& path : a.photos) {
    photos.push_back(load_photo(path, a.scale.decode));
    work.check();
  }
  const Joined all = joined(photos, a.options, work.part(0.1, 0.7));
  const Photo photo = as_photo(all);
  const Rectification r = rectification_by(a.scale, photo, work.part(0.7, 0.8));
  const Straight straight = straightened(photo, r, {}, work.part(0.8, 0.9));
  write_file(folder.path() / k_seams, jpeg_bytes(seams_picture(all)));
  write_file(folder.path() / k_side, png_bytes(straight.bgr));
  save_rectification(folder.path() / k_rectification, straight.rectification);
  work.check();
  folder.commit();
  session.out << fmt::format("Joined: {} photos to {}x{} px\n", all.photos.size(),
                             straight.bgr.cols, straight.bgr.rows);
  session.out << fmt::format(
      "Seams: {:.2f} px rms (95 %: {:.2f} to {:.2f}), 19 of 20 places within {:.1f} px\n",
      all.rms_px.value, all.rms_px.low, all.rms_px.high, all.worst_px);
  for (const JoinedPhoto& p : all.photos)
    session.out << fmt::format("  {}: {:.0f} % of the picture\n", p.name, 100 * p.share);
  for (const std::string& remark : all.remarks) session.messages << remark << '\n';
  for (const std::string& remark : r.remarks) session.messages << remark << '\n';
  session.messages << "Written to " << a.folder.string()
                   << "; survey it with --rectification side.rectification.json.\n";
  return 0;
}

}  // namespace

CommandRun join_command(CLI::App& app) {
  const auto values = std::make_shared<JoinArguments>();
  app.add_option("PHOTOS", values->photos,
                 "Two or more photos of one side, each overlapping another by a third")
      ->required()
      ->expected(2, 60)
      ->type_name("");
  app.add_option("-o,--out", values->folder,
                 "Folder for side.png, its rectification and the seams, new or of an older join")
      ->required()
      ->type_name("FOLDER");
  add_scale_arguments(app, values->scale);
  return [values](Session& session) { return run_join(*values, session); };
}

}  // namespace verdigrid
