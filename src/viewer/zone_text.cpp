#include "viewer/zone_text.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace verdigrid {

std::string zones_tsv(const std::vector<const ZoneRow*>& rows, bool has_mm) {
  std::string text = has_mm ? "name\taffected_mm2\tlow_mm2\thigh_mm2\tpercent" : "name\tpercent";
  for (const Residue c : k_residues)
    text += fmt::format("\t{}_{}", name(c), has_mm ? "mm2" : "percent");
  text += "\tunseen_percent\tfirst_word\tparts_reached\n";
  for (const ZoneRow* r : rows) {
    text += r->name;
    if (has_mm)
      text += fmt::format("\t{:.4f}\t{:.4f}\t{:.4f}", r->affected.area.value, r->affected.area.low,
                          r->affected.area.high);
    text += fmt::format("\t{:.4f}", r->affected.percent.value);
    for (const Residue c : k_residues) {
      const Amount& a = r->by_class[static_cast<size_t>(c)];
      text += fmt::format("\t{:.4f}", has_mm ? a.area.value : a.percent.value);
    }
    text += fmt::format("\t{:.1f}\t{}\t{}\n", r->unseen.total_percent, name(r->severity),
                        fmt::join(r->parts_reached, " "));
  }
  return text;
}

}  // namespace verdigrid
