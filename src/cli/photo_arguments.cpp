#include "cli/photo_arguments.h"

#include <CLI/CLI.hpp>

#include "base/error.h"
#include "cli/values.h"
#include "rectify/lens_file.h"
#include "rectify/rectification_file.h"

namespace verdigrid {

namespace {

constexpr char k_scale_group[] = "Straighten and scale (best first)";

// An option that holds a number, a size or points, read without the locale.
template <typename Read>
CLI::Option* add_value(CLI::App& arguments, const std::string& name, const char* type,
                       const char* help, Read read) {
  return arguments
      .add_option_function<std::string>(
          name, [name, read](const std::string& text) { read(name, text); }, help)
      ->type_name(type);
}

template <typename Read>
CLI::Option* add_points(CLI::App& arguments, const std::string& name, int count, const char* help,
                        Read read) {
  return arguments
      .add_option_function<std::vector<std::string>>(
          name, [name, read](const std::vector<std::string>& texts) { read(name, texts); }, help)
      ->expected(count)
      ->type_name("X,Y");
}

void add_board_arguments(CLI::App& arguments, PhotoArguments& into) {
  RectifyOptions& r = into.rectify;
  CLI::Option* board =
      add_value(arguments, "--board-mm", "WxH",
                "Measured width x height of the board as its front reads; its outline is found",
                [&r](auto& name, auto& text) { r.board_mm = size_from(name, text); })
          ->group(k_scale_group);
  add_points(arguments, "--corners", 4,
             "Corners of the board in photo pixels, clockwise from the one seen top left; with "
             "--board-mm",
             [&r](auto& name, auto& texts) { r.corners_px = points_from(name, texts); })
      ->needs(board)
      ->group(k_scale_group);
}

void add_card_arguments(CLI::App& arguments, PhotoArguments& into) {
  RectifyOptions& r = into.rectify;
  CLI::Option* card = arguments
                          .add_flag_callback(
                              "--card", [&r] { r.card = r.card.value_or(CardUse{}); },
                              "The printed scale card is in view (verdigrid card prints one)")
                          ->group(k_scale_group);
  const auto add_card_value = [&](const char* name, const char* help, auto field) {
    add_value(arguments, name, "MM", help,
              [&r, field](auto& option, auto& text) {
                if (!r.card) r.card = CardUse{};
                (*r.card).*field = number_from(option, text);
              })
        ->needs(card)
        ->group(k_scale_group);
  };
  add_card_value("--card-bar-mm", "Measured length of the card's 100 mm bar",
                 &CardUse::measured_bar_mm);
  add_card_value("--card-height-mm", "Height of the board's surface above the card",
                 &CardUse::height_mm);
  add_card_value("--camera-mm", "Distance from the camera to the card",
                 &CardUse::camera_distance_mm);
}

void add_distance_arguments(CLI::App& arguments, PhotoArguments& into) {
  RectifyOptions& r = into.rectify;
  CLI::Option* points =
      add_points(arguments, "--points", 2, "Two points in photo pixels; with --distance-mm",
                 [&r](auto& name, auto& texts) { r.points_px = points_from(name, texts); })
          ->group(k_scale_group);
  CLI::Option* distance =
      add_value(arguments, "--distance-mm", "MM", "Distance between the two points",
                [&r](auto& name, auto& text) { r.distance_mm = number_from(name, text); })
          ->group(k_scale_group);
  points->needs(distance);
  distance->needs(points);
}

void add_file_arguments(CLI::App& arguments, PhotoArguments& into) {
  arguments
      .add_option("--rectification", into.rectification_file,
                  "Use the one kept for another photo from the same camera position")
      ->type_name("FILE")
      ->group(k_scale_group);
  arguments
      .add_option("--keep-rectification", into.keep_rectification,
                  "Keep the one made for this photo")
      ->type_name("FILE")
      ->group(k_scale_group);
  arguments.add_option("--lens", into.lens_file, "Lens file made by verdigrid lens")
      ->type_name("FILE")
      ->group(k_scale_group);
}

void add_side_arguments(CLI::App& arguments, PhotoArguments& into) {
  RectifyOptions& r = into.rectify;
  arguments
      .add_option_function<std::string>(
          "--side", [&r](const std::string& s) { r.side = s == "back" ? Side::back : Side::front; },
          "Side of the board that the photo shows: front (default) or back")
      ->check(CLI::IsMember({"front", "back"}))
      ->type_name("SIDE")
      ->group(k_scale_group);
  arguments
      .add_option_function<std::string>(
          "--turn", [&r](const std::string& s) { r.turn_deg = std::stoi(s); },
          "Turn the photo clockwise first, so that the board reads upright: 0, 90, 180 or 270")
      ->check(CLI::IsMember({"0", "90", "180", "270"}))
      ->type_name("DEGREES")
      ->group(k_scale_group);
}

}  // namespace

void add_photo_argument(CLI::App& arguments, PhotoArguments& into) {
  arguments
      .add_option("PHOTO", into.path,
                  "Overhead photo of one side of a board: JPEG, PNG, TIFF, WebP, BMP or HEIC")
      ->required()
      ->type_name("");
  add_value(
      arguments, "--pixel-limit", "MP", "Refuse photos of more megapixels than this (default 200)",
      [&into](auto& name, auto& text) { into.decode.pixel_limit_mp = number_from(name, text); });
}

void add_scale_arguments(CLI::App& arguments, PhotoArguments& into) {
  add_board_arguments(arguments, into);
  add_card_arguments(arguments, into);
  add_distance_arguments(arguments, into);
  add_file_arguments(arguments, into);
  add_side_arguments(arguments, into);
}

Rectification rectification_by(const PhotoArguments& arguments, const Photo& photo,
                               const Work& work) {
  Rectification result;
  if (!arguments.rectification_file.empty()) {
    if (arguments.rectify.board_mm || arguments.rectify.card ||
        !arguments.rectify.points_px.empty())
      throw Error(
          ErrorKind::wrong_use,
          "--rectification brings its own scale; leave --board-mm, --card and --points out.");
    result = load_rectification(arguments.rectification_file);
    check_fits(result, photo.size_px(), photo.meta.name);
  } else {
    RectifyOptions options = arguments.rectify;
    if (!arguments.lens_file.empty()) options.lens = load_lens(arguments.lens_file);
    result = rectify(photo, options, work);
  }
  if (!arguments.keep_rectification.empty())
    save_rectification(arguments.keep_rectification, result);
  return result;
}

}  // namespace verdigrid
