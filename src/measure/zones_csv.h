// zones.csv: one line per square, one per zone of the layout and one for the whole board;
// parts.csv: one line per part of the layout. RFC 4180, UTF-8, comma, decimal point whatever the
// locale, units in the headers.
#pragma once

#include <string>

#include "measure/zone_table.h"

namespace verdigrid {

std::string zones_csv(const ZoneTable& table);
std::string parts_csv(const ZoneTable& table);

// RFC 4180: a field with a comma, a quote or a line end stands in quotes, quotes are doubled.
std::string csv_field(const std::string& text);

}  // namespace verdigrid
