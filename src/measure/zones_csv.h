// zones.csv: one line per square and one for the whole board (RFC 4180, UTF-8, comma, decimal point
// whatever the locale, units in the headers).
#pragma once

#include <string>

#include "measure/zone_table.h"

namespace verdigrid {

std::string zones_csv(const ZoneTable& table);

}  // namespace verdigrid
