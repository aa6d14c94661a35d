// survey.json as text and back; used inside this folder (pictures are read and written by
// survey_file.cpp).
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "measure/survey.h"

namespace verdigrid {

// `pictures`: labels.png and confidence.png first, then the others.
std::string survey_json(const Survey& survey, const std::vector<PictureName>& pictures);

// The survey without its pixels (map, finding_of_px); its `pictures` hold all names. Throws as in
// survey_file.h.
Survey survey_from_json(std::string_view text, const std::string& where);

}  // namespace verdigrid
