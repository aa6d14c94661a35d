#include "measure/survey_fields.h"

namespace verdigrid {

namespace {

constexpr int k_largest_grid = 10'000;
constexpr std::array k_severities{Severity::none, Severity::surface, Severity::copper_attacked,
                                  Severity::ask_first};

Interval interval(JsonFields f, double most) {
  const Interval i{f.number("value"), f.number("low"), f.number("high")};
  if (!(0 <= i.low && i.low <= i.value && i.value <= i.high && i.high <= most))
    f.refuse("value", "must lie between low and high, none below 0");
  f.finish();
  return i;
}

Amount amount(JsonFields f) {
  Amount a;
  a.px = static_cast<long>(at_least_0(f, "px"));
  a.area = interval(f.object("area"), std::numeric_limits<double>::infinity());
  a.percent = interval(f.object("percent"), 100);
  f.finish();
  return a;
}

Unseen unseen(JsonFields f) {
  const Unseen u{percent(f, "glare_percent"), percent(f, "blur_percent"),
                 percent(f, "under_parts_percent"), percent(f, "outside_photo_percent"),
                 percent(f, "total_percent")};
  f.finish();
  return u;
}

ZoneRow zone_row(const nlohmann::json& j, JsonFields f) {
  ZoneRow row;
  row.name = f.text("name");
  row.area = at_least_0(f, "area");
  row.area_in_photo = at_least_0(f, "area_in_photo");
  row.severity = word(f, "severity", k_severities);
  row.affected = amount(f.object("affected"));
  JsonFields classes = f.object("by_class");
  for (const Residue r : k_residues)
    row.by_class[static_cast<size_t>(r)] = amount(classes.object(std::string(name(r))));
  classes.finish();
  row.findings = ids(j, f, "findings");
  row.parts_reached = f.texts("parts_reached");
  row.unseen = unseen(f.object("unseen"));
  row.astm_d610 = between(f, "astm_d610", 0, 10);
  row.iso10289 = between(f, "iso10289", 0, 10);
  row.iso4628_3 = between(f, "iso4628_3", 0, 5);
  f.finish();
  return row;
}

constexpr std::array k_sides{Side::front, Side::back};
constexpr std::array k_reaches{Reach::none, Reach::near, Reach::touched};

PartRow part_row(const nlohmann::json& j, JsonFields f) {
  PartRow part;
  const std::optional<PartKind> kind = part_kind_named(f.text("kind"));
  if (!kind) f.refuse("kind", "is no kind of part");
  part.kind = *kind;
  part.side = word(f, "side", k_sides);
  part.reach = word(f, "reach", k_reaches);
  part.joints = between(f, "joints", 0, std::numeric_limits<int>::max());
  part.joints_reached = between(f, "joints_reached", 0, part.joints);
  f.allow("hides");
  if (!f.has("hides")) f.refuse("hides", "is missing");
  part.hides = f.truth_or("hides", false);
  JsonFields row = f.object("row");
  part.row = zone_row(j["row"], row);
  f.finish();
  return part;
}

Grid grid(JsonFields f, bool has_mm) {
  const std::vector<double> r = f.numbers("frame", 4);
  Grid g{{r[0], r[1], r[2], r[3]},
         between(f, "columns", 1, k_largest_grid),
         between(f, "rows", 1, k_largest_grid),
         has_mm};
  if (!(g.frame.width > 0 && g.frame.height > 0)) f.refuse("frame", "must have a positive size");
  f.finish();
  return g;
}

}  // namespace

std::optional<std::string> text_if(JsonFields& f, const std::string& key) {
  f.allow(key);
  if (!f.has(key)) return std::nullopt;
  return f.text(key);
}

std::optional<double> number_if(JsonFields& f, const std::string& key) {
  f.allow(key);
  if (!f.has(key)) return std::nullopt;
  return f.number(key);
}

double at_least_0(JsonFields& f, const std::string& key) {
  const double v = f.number(key);
  if (!(v >= 0)) f.refuse(key, "must be 0 or more");
  return v;
}

double percent(JsonFields& f, const std::string& key) {
  const double v = f.number(key);
  if (!(v >= 0 && v <= 100)) f.refuse(key, "must lie between 0 and 100");
  return v;
}

int between(JsonFields& f, const std::string& key, int low, int high) {
  const int v = f.whole(key);
  if (v < low || v > high) f.refuse(key, fmt::format("must lie between {} and {}", low, high));
  return v;
}

std::vector<int> ids(const nlohmann::json& list, JsonFields& f, const std::string& key) {
  f.allow(key);
  std::vector<int> result;
  if (!list.contains(key) || !list[key].is_array()) f.refuse(key, "must be a list of finding ids");
  for (const nlohmann::json& id : list[key]) {
    if (!id.is_number_integer() || id < 1 || id > std::numeric_limits<int>::max())
      f.refuse(key, "must be a list of finding ids");
    result.push_back(id.get<int>());
  }
  return result;
}

ZoneTable zone_table_of(const nlohmann::json& j, JsonFields& f) {
  ZoneTable table;
  const std::string unit = f.text("unit");
  if (unit != "mm" && unit != "board px") f.refuse("unit", "must be \"mm\" or \"board px\"");
  table.has_mm = unit == "mm";
  table.grid = grid(f.object("grid"), table.has_mm);
  table.total = zone_row(j["board"], f.object("board"));
  std::vector<JsonFields> squares = f.objects("squares");
  for (size_t i = 0; i < squares.size(); ++i)
    table.squares.push_back(zone_row(j["squares"][i], squares[i]));
  std::vector<JsonFields> zones = f.objects("zones");
  for (size_t i = 0; i < zones.size(); ++i)
    table.zones.push_back(zone_row(j["zones"][i], zones[i]));
  std::vector<JsonFields> parts = f.objects("parts");
  for (size_t i = 0; i < parts.size(); ++i)
    table.parts.push_back(part_row(j["parts"][i], parts[i]));
  return table;
}

}  // namespace verdigrid
