// verdigrid join PHOTOS: overlapping photos of one side as one straight picture of it; and a plain
// and a cross-polarised photo as two layers of it.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <memory>

#include "base/error.h"
#include "base/files.h"
#include "cli/command.h"
#include "cli/photo_arguments.h"
#include "cli/progress_bar.h"
#include "compare/join.h"
#include "compare/light_layers.h"
#include "compare/straight.h"
#include "photo/decode.h"
#include "photo/encode.h"
#include "rectify/rectification_file.h"

namespace verdigrid {

namespace {

constexpr const char* k_side = "side.png";
constexpr const char* k_rectification = "side.rectification.json";
constexpr const char* k_seams = "seams.jpg";
constexpr const char* k_plain = "side.plain.png";
constexpr const char* k_cross = "side.cross-polarised.png";
constexpr const char* k_layers = "layers.json";

struct JoinArguments {
  std::vector<std::filesystem::path> photos;
  std::filesystem::path folder, cross_polarised;
  PhotoArguments scale;
  JoinOptions options;
  LightLayerOptions layers;
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

void check_inputs(const JoinArguments& a) {
  a.scale.decode.check();
  a.scale.rectify.check();
  a.options.check();
  a.layers.check();
  if (a.cross_polarised.empty() && a.photos.size() < 2)
    throw Error(ErrorKind::wrong_use, "One photo cannot be joined: name two or more of one side.");
  if (a.photos.size() > k_most_joined)
    throw Error(ErrorKind::wrong_use,
                fmt::format("{} photos are too many to join: name {} at most.", a.photos.size(),
                            k_most_joined));
  if (!a.cross_polarised.empty() && a.photos.size() > 1)
    throw Error(ErrorKind::wrong_use,
                "--cross-polarised goes with one plain photo; join several of each first.");
}

int run_layers(const JoinArguments& a, Session& session) {
  NewFolder folder(a.folder, {k_side, k_plain, k_cross, k_rectification, k_layers});
  ProgressBar bar(session, "Laying one photo on the other");
  const Work work = bar.work();
  const Photo plain = load_photo(a.photos.front(), a.scale.decode),
              cross = load_photo(a.cross_polarised, a.scale.decode);
  work.check();
  const Rectification r = rectification_by(a.scale, plain, work.part(0.1, 0.2));
  const LightLayers layers = light_layers(plain, r, cross, a.layers, work.part(0.2, 0.8));
  Photo picture = plain;
  const auto write = [&](const char* name, const cv::Mat& bgr) {
    work.check();
    picture.bgr = bgr;
    const Straight straight = straightened(picture, r, {});
    write_file(folder.path() / name, png_bytes(straight.bgr));
    return straight.rectification;
  };
  write(k_plain, plain.bgr);
  write(k_cross, layers.cross_polarised);
  save_rectification(folder.path() / k_rectification, write(k_side, layers.without_glare));
  write_file(folder.path() / k_layers, layers_json(layers, plain, cross));
  folder.commit();
  const Interval& rms = layers.alignment.rms_after_px;
  session.out << fmt::format(
      "Layers: {} and {} (cross-polarised), {:.2f} px rms (95 %: {:.2f} to {:.2f})\n",
      plain.meta.name, cross.meta.name, rms.value, rms.low, rms.high);
  session.out << fmt::format("Glare: {:.2f} % of the board in the plain photo, {:.2f} % in both\n",
                             layers.glare_percent, layers.left_percent);
  for (const auto* remarks : {&layers.alignment.remarks, &r.remarks})
    for (const std::string& remark : *remarks) session.messages << remark << '\n';
  session.messages << "Written to " << a.folder.string()
                   << "; survey side.png with --rectification side.rectification.json.\n";
  return 0;
}

int run_join(const JoinArguments& a, Session& session) {
  check_inputs(a);
  if (!a.cross_polarised.empty()) return run_layers(a, session);
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
                 "Two or more photos of one side, each overlapping another by a third; one with "
                 "--cross-polarised")
      ->required()
      ->type_name("");
  app.add_option("-o,--out", values->folder,
                 "Folder for side.png, its rectification and the seams, new or of an older join")
      ->required()
      ->type_name("FOLDER");
  app.add_option(
         "--cross-polarised", values->cross_polarised,
         "The same side through crossed polarisers, from any place: both become layers of one "
         "side, and side.png shows the plain one with its glare taken from the other")
      ->type_name("PHOTO");
  add_scale_arguments(app, values->scale);
  return [values](Session& session) { return run_join(*values, session); };
}

}  // namespace verdigrid
