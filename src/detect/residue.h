// Residue classes, named by look and never by chemistry, and the residue map of one photo.
#pragma once

#include <array>
#include <cstdint>
#include <opencv2/core.hpp>
#include <optional>
#include <string_view>

namespace verdigrid {

// The values are the ids in labels.png.
enum class Residue : std::uint8_t {
  none = 0,
  copper_salt,
  leak_film,
  white_salt,
  rust,
  attacked_joint,
  eaten_copper,
  unsure
};
inline constexpr int k_residue_count = 8;  // with none
inline constexpr std::array<Residue, 7> k_residues{
    Residue::copper_salt,    Residue::leak_film,    Residue::white_salt, Residue::rust,
    Residue::attacked_joint, Residue::eaten_copper, Residue::unsure};

std::string_view name(Residue r);         // "copper-salt"; "none" for none
std::string_view description(Residue r);  // plain words: "green to blue salts (verdigris)"
char letter(Residue r);                   // the sign beside the colour: C L W R J E U; '-' for none
cv::Scalar colour_bgr(
    Residue r);  // safe for colour-blind people together with the letter and hatch
std::optional<Residue> residue_named(std::string_view name);

// Both pictures have the size of the photo, CV_8UC1.
struct ResidueMap {
  cv::Mat labels;      // residue ids at the chosen setting
  cv::Mat confidence;  // round(255 x P(any residue)) at every pixel, also where the label is 0
};

}  // namespace verdigrid
