// The detector behind one interface: photo + rectification + options -> residue map. The first
// method (colour and texture) and the trained one both stand behind it, so one can replace the
// other.
//
// Nothing outside the outline is flagged. Deterministic: same input, same map, on any number of
// threads.
#pragma once

#include <memory>
#include <string>

#include "base/work.h"
#include "detect/residue.h"
#include "photo/photo.h"
#include "rectify/rectification.h"

namespace verdigrid {

enum class Setting { show_less, normal, show_more };
const char* name(Setting s);  // "show-less", "normal", "show-more"

struct DetectorOptions {
  Setting setting = Setting::normal;
};

class Detector {
 public:
  virtual ~Detector() = default;
  virtual std::string id() const = 0;  // method or model with its version, kept in survey.json
  virtual ResidueMap residue_map(const Photo& photo, const Rectification& rectification,
                                 const DetectorOptions& options, const Work& work) const = 0;
};

// The first method: colour relative to the board's own, texture at two scales, neighbourhood. Needs
// no model file.
std::unique_ptr<Detector> first_method();

}  // namespace verdigrid
