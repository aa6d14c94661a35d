// The folder that a survey leaves: tables, label pictures, and the pictures for people.
#pragma once

#include <string>

#include "base/files.h"
#include "base/work.h"
#include "measure/survey.h"
#include "photo/photo.h"

namespace verdigrid {

// Draws the pictures, writes everything and commits `folder`; gives the text of survey.json.
std::string write_survey_folder(NewFolder& folder, const Photo& photo, const Survey& survey,
                                const Work& work);

}  // namespace verdigrid
