// A photo check as JSON: format "verdigrid-photo-check", version 1, schema
// assets/schema/photo-check.schema.json.
#pragma once

#include <string>

#include "photo/check.h"
#include "photo/photo.h"

namespace verdigrid {

std::string photo_check_json(const PhotoMeta& photo, const PhotoCheck& check);

}  // namespace verdigrid
