// Copper salts by colour and texture: where the board departs from its surroundings toward
// blue-green, and how much a patch of that looks like a salt rather than a part.
//
// Memberships between 0 and 1, our own rules unless they name a source; set on photos of many
// boards, not fitted to any. May be called from any thread.
#pragma once

#include "detect/patch.h"

namespace verdigrid {

// `smooth` is the working Lab blurred by about 1 px.
SuspectMap copper_salt_suspects(const WorkingImage& image, const cv::Mat& smooth);

// 0 not like a salt .. 1 like a salt in every respect.
double copper_salt_score(const Patch& p);

// The same for a patch close to one that does look like a salt: deposits come in company, and their
// small and plain members need less to be believed.
double company_score(const Patch& p);

}  // namespace verdigrid
