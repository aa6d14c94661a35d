// Several overlapping photos of one side joined into one picture of it: each placed on the others
// by the registration core, all fitted together, exposure and colour evened, and every place taken
// from the photo that shows it sharpest and with least glare, with seams led round what stands
// above the board.
//
// The joined picture lies in the view of the first photo, grown to hold the others, without lens
// distortion; straighten and scale it like any photo. Photos BGR CV_8UC3. Same photos and options,
// same picture. May be called from any thread. Cost: a registration per photo and about a second
// per 10 megapixels of the result.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "base/interval.h"
#include "base/work.h"
#include "compare/plane_map.h"
#include "compare/registration.h"
#include "photo/photo.h"

namespace verdigrid {

inline constexpr size_t k_most_joined = 60;  // photos

struct JoinOptions {
  RegistrationOptions registration;
  double least_overlap = 0.08;  // of a photo, for a pair that is fitted, 0..1
  double pixel_limit_mp = 200;  // of the joined picture, above 0
  int seam_long_side_px = 700;  // seams are led at this size, 100..4000
  double feather_px = 3;        // width over which neighbours are mixed at a seam, 0..100
  void check() const;           // throws Error{wrong_use} naming the field
};

// One photo's place in the joined picture.
struct JoinedPhoto {
  std::string name;
  PlaneMap photo_from_joined;  // its first lens is none
  // Per channel B, G, R: what is added to the logarithm of light, and times the squared distance
  // from the photo's middle in its longer sides (corners that a lens leaves dark).
  std::array<std::array<double, 2>, 3> light{};
  double share = 0;  // of the joined picture that it gives
};

struct Joined {
  cv::Mat bgr;     // CV_8UC3; black where no photo shows anything
  cv::Mat source;  // CV_8UC1: index of the photo + 1, 0 none; of the seams, before mixing
  std::vector<JoinedPhoto> photos;
  Interval rms_px;  // how far overlapping photos are off each other, px of the joined picture
  double worst_px = 0;
  std::vector<std::string> remarks;
};

// Two photos or more. Throws Error{bad_input} for fewer or too small ones, Error{no_result} naming
// the photo that was not placed on any other.
Joined joined(const std::vector<Photo>& photos, const JoinOptions& options = {},
              const Work& work = {});

}  // namespace verdigrid
