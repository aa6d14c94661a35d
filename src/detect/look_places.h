// Regions of the guided look: from answers to superpixels, and from what is left to the next
// places.
#pragma once

#include <vector>

#include "detect/guided_look.h"

namespace verdigrid {

// Superpixels of which more than half lies in the region; rising.
std::vector<int> members_of(const LookBase& base, const std::vector<Polygon>& region_px);

// The class most of each superpixel has in a CV_8UC1 map of the working size.
std::vector<Residue> voted_labels(const cv::Mat& labels, const Superpixels& superpixels);

// What the next places are for. Before the first yes: what is most likely residue. After it: what
// an answer changes most; the sure neighbours of what was answered need none.
enum class LookFor { first_yes, most_change };

// What was asked so far: per superpixel, and the superpixels of each answer "not sure".
struct AskedPlaces {
  std::vector<char> is_asked;
  std::vector<std::vector<int>> not_sure;
};

// Coherent regions of superpixels that were not asked, worst first and unlike each other. What
// looks like a place of which a person was not sure comes later: there is nothing to learn from the
// same answer again. `p` and `residue` per superpixel.
std::vector<LookPlace> look_places(const LookBase& base, const std::vector<double>& p,
                                   const std::vector<Residue>& residue, const AskedPlaces& asked,
                                   LookFor aim, int at_most);

}  // namespace verdigrid
