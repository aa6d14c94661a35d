#include "jobbook/queue.h"

#include <algorithm>
#include <map>
#include <set>
#include <tuple>

#include "jobbook/lock_record.h"
#include "jobbook/owner_record.h"

namespace verdigrid {

namespace {

// A supply that is there to power others with, as long as nobody photographs its own board.
constexpr const char* k_supply_step = "measure its rails under dummy load and record them";

std::string next_step(const std::string& state) {
  // The order of the job; every state names what comes after it.
  const std::pair<const char*, const char*> steps[] = {
      {"received", "photograph both sides and survey"},
      {"surveyed", "plan the work"},
      {"planned", "take it to the bench"},
      {"at the bench", "wash, rinse and dry"},
      {"washed", "photograph and recheck"},
      {"rechecked", "meet the power lock's conditions"},
      {"cleared for test", "first power and test"},
      {"tested", "report and hand over"}};
  for (const auto& [from, to] : steps)
    if (state == from) return to;
  return "look at it";
}

}  // namespace

std::vector<QueueRow> queue_of(const JobBook& book) {
  std::map<std::string, std::string> thumbnails;
  Statement photos(book.database(),
                   "SELECT unit, json_extract(body, '$.sha256') FROM record WHERE kind = 'photo' "
                   "AND unit IS NOT NULL "
                   "AND json_extract(body, '$.side') = 'front' ORDER BY made_at, id");
  while (photos.step()) thumbnails[photos.text(0)] = photos.text(1);
  std::map<std::string, bool> has_salts;
  Statement surveys(book.database(),
                    "SELECT DISTINCT unit FROM words WHERE words MATCH 'residue : \"white-salt\"' "
                    "AND unit IS NOT NULL");
  while (surveys.step()) has_salts[surveys.text(0)] = true;

  const std::string today = book.options().now().substr(0, 10);
  const std::map<std::string, std::string> headlines = unit_power_headlines(book, today);
  std::set<std::string> planned;
  Statement plans(book.database(),
                  "SELECT DISTINCT unit FROM record WHERE kind = 'plan' AND unit IS NOT NULL");
  while (plans.step()) planned.insert(plans.text(0));
  std::set<std::string> quoted;
  Statement quotes(book.database(),
                   "SELECT DISTINCT unit FROM record WHERE kind = 'quote' AND unit IS NOT NULL");
  while (quotes.step()) quoted.insert(quotes.text(0));
  std::map<std::string, std::string> due;
  for (const DueLook& look : due_looks(book, today)) due[look.unit] = look.on;
  std::vector<QueueRow> rows;
  Statement units(
      book.database(),
      "SELECT id, json_extract(body, '$.name'), json_extract(body, '$.state'), json_extract(body, "
      "'$.received_on'), "
      "json_extract(body, '$.battery.leaking'), json_extract(body, '$.battery.removed_on'), "
      "json_extract(body, '$.wet'), made_at, json_extract(body, '$.is_supply') "
      "FROM record WHERE kind = 'unit'");
  while (units.step()) {
    const auto look = due.find(units.text(0));
    if (units.text(2) == "handed over" && look == due.end()) continue;
    QueueRow row{units.text(0),
                 units.text(1),
                 units.text(2),
                 units.text(3),
                 Harm::none,
                 {},
                 next_step(units.text(2)),
                 {},
                 {},
                 k_no_board_headline,
                 {},
                 {}};
    if (planned.contains(row.unit)) row.plan = plan_figures(book, row.unit);
    if (const auto at = headlines.find(row.unit); at != headlines.end()) row.power = at->second;
    if (row.received_on.empty()) row.received_on = units.text(7).substr(0, 10);
    if (row.state == "handed over") {
      row.look_again_on = look->second;
      row.reason = "look again since " + look->second;
      row.next_step = "look at it again and log what is found";
    } else if (quoted.contains(row.unit)) {
      row.money = money_alarm(book, row.unit, today);
    }
    if (row.state == "received" && units.number(8) != 0) row.next_step = k_supply_step;
    if (row.state == "handed over")
      row.received_on = look->second;  // it waits since then
    else if (units.text(4) == "yes" && units.text(5).empty())
      row.harm = Harm::leaking_battery, row.reason = "battery leaks";
    else if (units.text(6) == "yes")
      row.harm = Harm::wet, row.reason = "wet";
    else if (has_salts.contains(row.unit))
      row.harm = Harm::white_salts, row.reason = "white salts found";
    if (const auto at = thumbnails.find(row.unit); at != thumbnails.end())
      row.thumbnail_sha256 = at->second;
    rows.push_back(std::move(row));
  }
  std::sort(rows.begin(), rows.end(), [](const QueueRow& a, const QueueRow& b) {
    return std::tuple(-static_cast<int>(a.harm), a.received_on, a.unit) <
           std::tuple(-static_cast<int>(b.harm), b.received_on, b.unit);
  });
  return rows;
}

}  // namespace verdigrid
