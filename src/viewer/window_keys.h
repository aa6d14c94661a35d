// What the keys of a frame do: those of the whole window with Ctrl, those of the canvas, those of a
// step. UI thread only.
#pragma once

#include "viewer/state.h"

namespace verdigrid {

void take_keys(const Desk& desk, ViewerState& state, Actions& actions);

}  // namespace verdigrid
