// The two sides of a board.
#pragma once

namespace verdigrid {

enum class Side { front, back };
const char* name(Side side);  // "front", "back"

}  // namespace verdigrid
