#include "base/side.h"

namespace verdigrid {

const char* name(Side side) { return side == Side::front ? "front" : "back"; }

}  // namespace verdigrid
