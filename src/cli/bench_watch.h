// A watched folder: a picture that a microscope camera writes there becomes a close-up of the place
// that is worked on.
#pragma once

#include <filesystem>

#include "cli/plan_place.h"
#include "cli/session.h"

namespace verdigrid {

// Files what arrives from now on, one line each, until it is stopped; with `once` what lies there
// now. Files themselves stay where they are; none is filed twice. Needs a job book (wrong_use).
// Returns the exit code: 1 where a picture could not be read.
int watch_folder(const PlanPlace& place, const std::filesystem::path& folder, bool once,
                 Session& session);

}  // namespace verdigrid
