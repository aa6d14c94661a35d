// verdigrid look PHOTO|SURVEY_DIR: a person answers a few places, and each answer teaches the
// survey.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <iostream>
#include <memory>
#include <opencv2/imgproc.hpp>
#include <sstream>

#include "base/error.h"
#include "base/files.h"
#include "base/sha256.h"
#include "cli/command.h"
#include "cli/compared_photo.h"
#include "cli/detector_arguments.h"
#include "cli/photo_arguments.h"
#include "cli/progress_bar.h"
#include "detect/review.h"
#include "detect/training_example.h"
#include "photo/encode.h"

namespace verdigrid {

namespace {

namespace fs = std::filesystem;

constexpr const char* k_keys =
    "y yes, n no, u not sure, each with or without a class after y; p X,Y [X,Y ...] points at "
    "residue that was missed; b takes the last answer back; q ends";
constexpr int k_least_crop_px = 400;  // so that a crop shows what lies round a place

struct LookArguments {
  PhotoArguments photo;
  DetectorArguments detector;
  fs::path folder;
  fs::path photo_of_survey;            // empty: looked for beside the survey
  fs::path training;                   // empty: no training data
  bool says_more_than_survey = false;  // an option that a survey folder leaves no room for
};

struct Dialogue {
  Photo photo;
  std::string detector_id;
  LookBase base;
  std::vector<Answer> answers;
  std::vector<MapEdit> edits;  // made at the window: kept as they are
  Look look;
};

fs::path review_file(const LookArguments& a) { return a.folder / "review.json"; }

// The automatic map of the survey in the folder, or one made now of the photo.
Dialogue begun(const LookArguments& a, Session& session, const Work& work) {
  if (auto kept = survey_of_folder(a.photo.path, a.photo_of_survey, "--photo", a.photo.decode)) {
    if (a.says_more_than_survey)
      throw Error(ErrorKind::wrong_use,
                  "A survey brings its own map, straightening and scale; leave the options of the "
                  "detector and the scale away, or give the photo instead of the folder.");
    Dialogue d{std::move(kept->photo), kept->survey.detector_id, {}, {}, {}, {}};
    d.base = look_base(d.photo, kept->survey.rectification, kept->survey.map, work.part(0.5, 1));
    return d;
  }
  if (!a.photo_of_survey.empty())
    throw Error(ErrorKind::wrong_use, "--photo names the photo of a survey folder; " +
                                          a.photo.path.string() + " is none.");
  const ChosenDetector chosen = detector_by(a.detector);
  if (!chosen.remark.empty()) session.messages << chosen.remark << '\n';
  Dialogue d{load_photo(a.photo.path, a.photo.decode), chosen.detector->id(), {}, {}, {}, {}};
  const Rectification r = rectification_by(a.photo, d.photo, work.part(0.1, 0.3));
  const ResidueMap map = chosen.detector->residue_map(d.photo, r, {}, work.part(0.3, 0.8));
  d.base = look_base(d.photo, r, map, work.part(0.8, 1));
  return d;
}

Dialogue opened(const LookArguments& a, Session& session) {
  ProgressBar bar(session, "Looking at " + a.photo.path.filename().string());
  Dialogue d = begun(a, session, bar.work());
  if (fs::exists(review_file(a))) {
    const Review review = load_review(review_file(a));
    check_fits(review, d.photo, review_file(a).string());
    d.answers = review.plain_answers();
    d.edits = review.edits;
  }
  d.look = look_after(d.base, d.answers);
  return d;
}

Review review_of(const Dialogue& d) {
  return verdigrid::review_of(d.photo, d.detector_id, d.base, d.answers, d.edits);
}

// The place with its outline, and some of what lies round it.
cv::Mat crop_of(const Photo& photo, const LookPlace& place) {
  cv::Rect box = place.crop_px;
  const int wider = std::max(0, k_least_crop_px - box.width) / 2;
  const int higher = std::max(0, k_least_crop_px - box.height) / 2;
  box = cv::Rect(box.x - wider, box.y - higher, box.width + 2 * wider, box.height + 2 * higher) &
        cv::Rect({0, 0}, photo.size_px());
  cv::Mat crop = photo.bgr(box).clone();
  for (const Polygon& region : place.region_px) {
    std::vector<cv::Point> ring;
    for (const cv::Point2d& p : region.outer) ring.emplace_back(p - cv::Point2d(box.tl()));
    cv::polylines(crop, ring, true, cv::Scalar(0, 0, 255), 1, cv::LINE_AA);
  }
  return crop;
}

bool shows_place(const LookArguments& a, const Dialogue& d, Session& session) {
  if (d.look.is_finished || d.look.places.empty()) return false;
  const LookPlace& place = d.look.places.front();
  const std::string name = fmt::format("place-{:02}.jpg", d.answers.size() + 1);
  write_file(a.folder / name, jpeg_bytes(crop_of(d.photo, place)));
  session.out << fmt::format("{}: {}, {:.0f} %, at {},{}?\n", name, verdigrid::name(place.residue),
                             100 * place.confidence, place.crop_px.x + place.crop_px.width / 2,
                             place.crop_px.y + place.crop_px.height / 2)
              << std::flush;
  return true;
}

// The stroke of "X,Y X,Y"; throws Error{bad_input}.
std::vector<cv::Point2d> stroke_from(std::istringstream& words, const Photo& photo) {
  std::vector<cv::Point2d> stroke;
  for (std::string word; words >> word;) {
    cv::Point2d p;
    char comma = 0;
    std::istringstream pair(word);
    pair.imbue(std::locale::classic());
    if (!(pair >> p.x >> comma >> p.y) || comma != ',' || !pair.eof() || p.x < 0 || p.y < 0 ||
        p.x > photo.size_px().width - 1 || p.y > photo.size_px().height - 1)
      throw Error(ErrorKind::bad_input, "\"" + word + "\" is no point X,Y of the photo.");
    stroke.push_back(p);
  }
  if (stroke.empty()) throw Error(ErrorKind::bad_input, "p needs a point: p X,Y.");
  return stroke;
}

std::optional<Residue> class_from(std::istringstream& words) {
  std::string word;
  if (!(words >> word)) return std::nullopt;
  const auto residue = residue_named(word);
  if (!residue) throw Error(ErrorKind::bad_input, "\"" + word + "\" is no residue class.");
  return residue;
}

// The answer that a line means; throws Error{bad_input} for a line that means none.
Answer answer_from(const std::string& key, std::istringstream& words, const Dialogue& d) {
  if (key == "p")
    return {
        pointed_region(d.base, stroke_from(words, d.photo)), AnswerKind::yes, Asked::pointed, {}};
  Answer a{d.look.places.front().region_px, AnswerKind::yes, Asked::shown, {}};
  if (key == "y")
    a.residue = class_from(words);
  else if (key == "n")
    a.kind = AnswerKind::no;
  else if (key == "u")
    a.kind = AnswerKind::not_sure;
  else
    throw Error(ErrorKind::bad_input, fmt::format("\"{}\" is no answer: {}.", key, k_keys));
  return a;
}

// Takes one line in; every answer is in the file before the next place is shown.
void take(const std::string& key, std::istringstream& words, const LookArguments& a, Dialogue& d) {
  if (key == "b") {
    if (d.answers.empty()) throw Error(ErrorKind::bad_input, "There is no answer to take back.");
    d.answers.pop_back();
  } else {
    d.answers.push_back(answer_from(key, words, d));
  }
  save_review(review_file(a), review_of(d));
  d.look = look_after(d.base, d.answers);
}

constexpr const char* k_training = "training.json";
constexpr const char* k_labels = "labels.png";
constexpr const char* k_photo = "photo.png";

// The photo's pixels without what its file says of place and person, what was said of it as labels,
// and the description of both.
void write_training(NewFolder& folder, const Dialogue& d) {
  const Review review = review_of(d);
  const Bytes labels = png_bytes(training_labels(review));
  write_file(folder.path() / k_photo, png_bytes(d.photo.bgr));
  write_file(folder.path() / k_labels, labels);
  write_file(folder.path() / k_training,
             std::string_view(training_json(review, k_photo, k_labels, sha256_hex(labels))));
  folder.commit();
}

int run_look(const LookArguments& a, Session& session) {
  a.photo.decode.check();
  a.photo.rectify.check();
  std::error_code failed;
  fs::create_directories(a.folder, failed);
  if (failed)
    throw Error(ErrorKind::storage, a.folder.string() + ": cannot be made; name another folder.");
  Dialogue d = opened(a, session);
  std::optional<NewFolder> training;
  if (!a.training.empty())
    training.emplace(a.training, std::vector<std::string>{k_training, k_labels, k_photo});
  session.messages << k_keys << ".\n";
  bool is_asking = shows_place(a, d, session);
  for (std::string line; is_asking && std::getline(std::cin, line);) {
    std::istringstream words(line);
    std::string key;
    if (!(words >> key)) continue;
    if (key == "q") break;
    try {
      take(key, words, a, d);
      is_asking = shows_place(a, d, session);
    } catch (const Error& e) {
      if (e.kind() != ErrorKind::bad_input) throw;
      session.messages << e.what() << '\n';
    }
  }
  if (is_asking)
    session.out << fmt::format("ended with places left, up to {:.0f} %\n",
                               100 * d.look.nothing_left_above);
  else
    session.out << fmt::format("nothing left above {:.0f} %\n", 100 * d.look.nothing_left_above);
  save_review(review_file(a), review_of(d));  // also when nothing was answered
  session.messages << fmt::format("{} answers in {}; survey --review takes them in.\n",
                                  d.answers.size(), review_file(a).string());
  if (training) {
    write_training(*training, d);
    session.messages << fmt::format(
        "Training data in {}: only places whose class you said teach.\n", a.training.string());
  }
  return 0;
}

}  // namespace

CommandRun look_command(CLI::App& arguments) {
  const auto values = std::make_shared<LookArguments>();
  add_photo_argument(arguments, values->photo);
  arguments.get_option("PHOTO")->description(
      "Overhead photo of one side of a board, or the folder of a survey of one");
  arguments
      .add_option("-o,--out", values->folder,
                  "Folder for review.json and the crops; an older review there goes on")
      ->required()
      ->type_name("FOLDER");
  arguments
      .add_option("--photo", values->photo_of_survey,
                  "Photo of the survey; looked for in its folder, beside it and here otherwise")
      ->type_name("FILE");
  arguments
      .add_option("--training", values->training,
                  "At the end, write the answers as training data: the photo, its labels and a "
                  "description")
      ->type_name("FOLDER");
  const std::vector<CLI::Option*> own = arguments.get_options({});
  add_detector_arguments(arguments, values->detector);
  add_scale_arguments(arguments, values->photo);
  return [values, own, &arguments](Session& session) {
    const std::vector<CLI::Option*> all = arguments.get_options({});
    values->says_more_than_survey = std::any_of(all.begin(), all.end(), [&](const CLI::Option* o) {
      return o->count() > 0 && std::find(own.begin(), own.end(), o) == own.end();
    });
    return run_look(*values, session);
  };
}

}  // namespace verdigrid
