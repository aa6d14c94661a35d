// The zone table as text for other programs. Pure.
#pragma once

#include <string>
#include <vector>

#include "measure/zone_table.h"

namespace verdigrid {

// Tab-separated, one line per row and a head line with units; decimal points whatever the locale.
std::string zones_tsv(const std::vector<const ZoneRow*>& rows, bool has_mm);

}  // namespace verdigrid
