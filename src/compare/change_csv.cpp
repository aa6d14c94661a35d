#include <fmt/format.h>

#include "compare/comparison_file.h"
#include "measure/zones_csv.h"

namespace verdigrid {

namespace {

void add_rows(std::string& text, const char* kind, const std::vector<ChangeRow>& rows) {
  for (const ChangeRow& r : rows) {
    text += fmt::format("{},{},{:.7g},{:.4g}", kind, csv_field(r.name), r.area, r.compared_percent);
    for (const Interval* i : {&r.before, &r.after, &r.removed})
      text += fmt::format(",{:.7g},{:.7g},{:.7g}", i->value, i->low, i->high);
    if (r.removed_percent)
      text += fmt::format(",{:.4g},{:.4g},{:.4g}", r.removed_percent->value, r.removed_percent->low,
                          r.removed_percent->high);
    else
      text += ",,,";
    text += fmt::format(",{:.7g},{:.7g},{:.7g},{:.7g},{:.7g},{:.7g},{}\r\n", r.fresh.value,
                        r.fresh.low, r.fresh.high, r.uncertain_gone, r.uncertain_new,
                        r.part_changed, csv_field(words(r.verdict)));
  }
}

}  // namespace

std::string zones_change_csv(const ChangeTable& table) {
  const char* unit = table.has_mm ? "mm2" : "board_px2";
  std::string text = fmt::format("kind,name,area_{},compared_percent", unit);
  for (const char* what : {"before", "after", "removed"})
    text += fmt::format(",{0}_{1},{0}_low95_{1},{0}_high95_{1}", what, unit);
  text += fmt::format(
      ",removed_percent,removed_low95_percent,removed_high95_percent,new_{0},new_low95_{0},"
      "new_high95_{0},uncertain_gone_{0},uncertain_new_{0},part_changed_{0},verdict\r\n",
      unit);
  add_rows(text, "square", table.squares);
  add_rows(text, "zone", table.zones);
  add_rows(text, "part", table.parts);
  add_rows(text, "board", {table.total});
  return text;
}

}  // namespace verdigrid
