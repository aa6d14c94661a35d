#include <fmt/format.h>

#include <set>

#include "base/error.h"
#include "base/files.h"
#include "layout/layout_words.h"
#include "plan/plan.h"
#include "plan/plan_json.h"

namespace verdigrid {

namespace {

constexpr std::uintmax_t k_largest_file = 64u << 20;
constexpr double k_most = 100'000;  // minutes or pieces
constexpr std::array k_severities{Severity::none, Severity::surface, Severity::copper_attacked,
                                  Severity::ask_first};

PartKind kind_from(JsonFields& f, const std::string& key) {
  const std::string text = f.text_or(key, "unknown");
  if (const auto kind = part_kind_named(text)) return *kind;
  f.refuse(key, "\"" + text + "\" is no kind of part");
}

ItemPart part_from(JsonFields& f) {
  ItemPart p;
  p.designator = f.text("designator");
  p.kind = kind_from(f, "kind");
  p.value = f.text_or("value", "");
  p.rating = f.text_or("rating", "");
  p.package = f.text_or("package", "");
  p.revision = f.text_or("revision", "");
  f.finish();
  return p;
}

PinName pin_from(JsonFields f) {
  PinName p{f.text("designator"), f.text_or("pin", "")};
  f.finish();
  return p;
}

NetPair pair_from(JsonFields& f) {
  NetPair p{f.text("net"), pin_from(f.object("from")), pin_from(f.object("to"))};
  f.finish();
  return p;
}

template <class E>
E named_value(JsonFields& f, const std::string& key,
              std::optional<E> (*value_named)(std::string_view)) {
  const std::string text = f.text(key);
  if (const auto value = value_named(text)) return *value;
  f.refuse(key, "\"" + text + "\" is not known");
}

double positive(JsonFields& f, const std::string& key) {
  const double v = amount_or(f, key, 0, k_most);
  if (v == 0) f.refuse(key, "must be above 0");
  return v;
}

std::optional<double> minutes_if(JsonFields& f, const std::string& key) {
  f.allow(key);
  if (!f.has(key)) return std::nullopt;
  return amount_or(f, key, 0, k_most);
}

void read_state(JsonFields& f, WorkItem& w) {
  f.allow("minutes");
  if (f.has("minutes")) w.minutes = triple_from(f, "minutes");
  if (w.operation == Operation::other && !w.minutes)
    f.refuse("minutes", "are missing: other work is in no rate table");
  w.waiting_min = minutes_if(f, "waiting_min");
  w.done = f.truth_or("done", false);
  w.done_by = f.text_or("done_by", "");
  w.done_on = f.text_or("done_on", "");
  w.actual_min = minutes_if(f, "actual_min");
}

WorkItem item_from(JsonFields& f, const nlohmann::json& object) {
  WorkItem w;
  w.id = f.text("id");
  w.operation = named_value<Operation>(f, "operation", operation_named);
  w.stage = named_value<Stage>(f, "stage", stage_named);
  w.what = f.text("what");
  w.place = f.text_or("place", "");
  w.side = f.word_or("side", k_sides, Side::front);
  w.quantity = positive(f, "quantity");
  w.damaged = f.truth_or("damaged", false);
  w.optional = f.truth_or("optional", false);
  for (JsonFields& p : f.objects("parts")) w.parts.push_back(part_from(p));
  for (JsonFields& p : f.objects("pairs")) w.pairs.push_back(pair_from(p));
  f.allow("findings");
  if (f.has("findings")) w.findings = ids(object, f, "findings");
  w.reason = f.text_or("reason", "");
  read_state(f, w);
  f.finish();
  return w;
}

PlanSide side_from(JsonFields& f) {
  PlanSide s;
  s.side = f.word_or("side", k_sides, Side::front);
  s.photo = f.text_or("photo", "");
  s.photo_sha256 = f.text_or("photo_sha256", "");
  s.detector = f.text_or("detector", "");
  s.findings = f.whole_or("findings", 0);
  s.unseen_percent = percent(f, "unseen_percent");
  s.severity = word(f, "severity", k_severities);
  s.has_mm = f.truth_or("has_mm", false);
  s.has_layout = f.truth_or("has_layout", false);
  f.finish();
  return s;
}

void check_ids(const Plan& plan, JsonFields& f) {
  std::set<std::string> seen;
  for (const WorkItem& w : plan.items)
    if (!seen.insert(w.id).second) f.refuse("items", w.id + " stands there twice");
  if (seen.contains(fmt::format("W{}", plan.next_id)))
    f.refuse("next_id", "is the id of an item; it must be the next free one");
}

}  // namespace

Plan plan_from_json(std::string_view text, std::string_view where) {
  const nlohmann::json document = parsed_json(text, where);
  JsonFields f(document, "", std::string(where));
  check_heading(f, where, "verdigrid-plan", k_plan_version);
  Plan plan;
  plan.board = f.text_or("board", "");
  for (JsonFields& s : f.objects("sides")) plan.sides.push_back(side_from(s));
  for (const std::string& text_of_kind : f.texts("fitted")) {
    const auto kind = part_kind_named(text_of_kind);
    if (!kind) f.refuse("fitted", "\"" + text_of_kind + "\" is no kind of part");
    plan.fitted.push_back(*kind);
  }
  JsonFields known = f.object("known");
  plan.known = known_from(known);
  std::vector<JsonFields> items = f.objects("items");
  for (size_t i = 0; i < items.size(); ++i)
    plan.items.push_back(item_from(items[i], document["items"][i]));
  plan.next_id = f.whole("next_id");
  for (const char* computed : {"estimate", "worth", "advice"}) f.allow(computed);
  f.object("rates");
  plan.rates = rate_table_from_json(document["rates"].dump(), fmt::format("{}: rates", where));
  f.finish();
  check_ids(plan, f);
  return plan;
}

Plan load_plan(const std::filesystem::path& path) {
  const Bytes bytes = read_file(path, k_largest_file);
  return plan_from_json({reinterpret_cast<const char*>(bytes.data()), bytes.size()},
                        path.filename().string());
}

}  // namespace verdigrid
