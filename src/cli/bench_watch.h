// A watched folder: a picture that a microscope camera writes there becomes a close-up of the place
// that is worked on, and is placed on the photo of its side.
#pragma once

#include <filesystem>

#include "cli/plan_place.h"
#include "cli/session.h"
#include "detect/detector.h"

namespace verdigrid {

// Files what arrives from now on until it is stopped, with `once` what lies there now: a line where
// it is filed, and a line where it lies on its side's photo or why it has no place there. Files
// themselves stay where they are; none is filed twice. Needs a job book (wrong_use). Returns the
// exit code: 1 where a picture could not be read.
int watch_folder(const PlanPlace& at, const std::filesystem::path& folder, bool once,
                 const Detector& detector, Session& session);

}  // namespace verdigrid
