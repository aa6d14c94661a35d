#include "base/error.h"
#include "detect/detector.h"

namespace verdigrid {

const char* name(Setting s) {
  switch (s) {
    case Setting::show_less:
      return "show-less";
    case Setting::normal:
      return "normal";
    case Setting::show_more:
      return "show-more";
  }
  require(false, "a setting is one of three");
  return "";
}

}  // namespace verdigrid
