#include "jobbook/owner_record.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/calendar.h"
#include "base/error.h"
#include "jobbook/entities.h"
#include "jobbook/lock_record.h"
#include "jobbook/plan_record.h"
#include "jobbook/unit_record.h"

namespace verdigrid {

using nlohmann::json;

namespace {

constexpr const char *k_quote = "quote", *k_hand_over = "hand-over", *k_visit = "visit";

std::string today_of(const JobBook& book) { return book.options().now().substr(0, 10); }

// A signature that names nobody proves nothing.
std::string signer_of(const JobBook& book) {
  if (book.options().who == k_nobody)
    throw Error(ErrorKind::wrong_use,
                "Nobody's name is known to sign with: give --who, or keep your name once with "
                "'verdigrid jobbook sign-as'.");
  return book.options().who;
}

json quote_body(const Quote& q, const std::string& who) {
  json j{{"number", q.number},
         {"state", name(q.state)},
         {"currency", q.currency},
         {"likely_net", q.likely},
         {"allow_net", q.allow},
         {"tax_percent", q.tax_percent},
         {"made_on", q.made_on},
         {"valid_until", q.valid_until},
         {"sent_on", q.sent_on},
         {"answered_on", q.answered_on},
         {"who", who}};
  if (q.call_above) j["call_above"] = *q.call_above;
  return j;
}

KeptQuote quote_from(const Record& r) {
  try {
    const json& b = r.body;
    KeptQuote kept{r.id, b.value("who", ""), b.value("owner_said", ""), {}};
    Quote& q = kept.quote;
    q.number = b.at("number").get<int>();
    q.state = quote_state_named(b.at("state").get<std::string>()).value_or(QuoteState::made);
    q.currency = b.at("currency").get<std::string>();
    q.likely = b.at("likely_net").get<double>(), q.allow = b.at("allow_net").get<double>();
    q.tax_percent = b.at("tax_percent").get<double>();
    q.made_on = b.at("made_on").get<std::string>();
    q.valid_until = b.at("valid_until").get<std::string>();
    q.sent_on = b.value("sent_on", ""), q.answered_on = b.value("answered_on", "");
    if (b.contains("call_above")) q.call_above = b.at("call_above").get<double>();
    return kept;
  } catch (const json::exception&) {
    throw Error(ErrorKind::bad_input, r.id + ": is no whole quote. Make a new one.");
  }
}

HandOver hand_over_from(const Record& r) {
  try {
    HandOver h{r.id,
               r.body.at("on").get<std::string>(),
               r.body.at("who").get<std::string>(),
               r.body.at("watch").get<std::vector<std::string>>(),
               r.body.at("photos").get<std::vector<std::string>>(),
               {},
               r.body.value("has_come_back", false),
               r.body.value("number", 1)};
    for (const json& l : r.body.at("look_again"))
      h.look_again.push_back(
          {l.at("on").get<std::string>(), l.value("done_on", ""), l.value("found", "")});
    return h;
  } catch (const json::exception&) {
    throw Error(ErrorKind::bad_input, r.id + ": is no whole hand-over. Restore the last backup.");
  }
}

std::vector<std::string> photos_with_role(const JobBook& book, const std::string& unit,
                                          const char* role) {
  std::vector<std::string> ids;
  for (const Record& p : book.of_unit(unit, "photo"))
    if (p.body.value("role", "") == role) ids.push_back(p.id);
  return ids;
}

std::optional<Record> last_hand_over(const JobBook& book, const std::string& unit) {
  const auto all = hand_overs_of(book, unit);
  return all.empty() ? std::nullopt : book.find(all.back().id);
}

// Records of one second have no order of their own.
template <class T, class NumberOf>
std::vector<T> by_number(std::vector<T> list, NumberOf number_of) {
  std::stable_sort(list.begin(), list.end(),
                   [&](const T& a, const T& b) { return number_of(a) < number_of(b); });
  return list;
}

// What comes back has a history that nobody knows: the lock treats it as a new finding.
void add_locks(const JobBook& book, const std::string& unit, std::vector<Edit>& edits) {
  const std::string date = today_of(book), who = book.options().who;
  for (const Record& board : book.children(unit, "board")) {
    if (!kept_plan(book, board.id)) continue;  // never was anything but LOCKED
    LockEntry entry;
    entry.kind = LockEntryKind::finding;
    entry.who = who, entry.on = date;
    entry.note = "the unit came back after it was handed over";
    for (Edit& e :
         lock_edits(book, board.id, with_entry(lock_of(book, board.id, who, date), entry), date))
      if (e.kind != "unit") edits.push_back(std::move(e));
  }
}

}  // namespace

JobCost unit_cost(const JobBook& book, const std::string& unit, const Work& work) {
  unit_at(book, unit);
  std::vector<Plan> plans;
  for (const Record& board : book.children(unit, "board"))
    if (auto plan = kept_plan(book, board.id)) plans.push_back(std::move(*plan));
  return job_cost(plans, work);
}

std::vector<KeptQuote> quotes_of(const JobBook& book, const std::string& unit) {
  std::vector<KeptQuote> list;
  for (const Record& r : book.children(unit, k_quote)) list.push_back(quote_from(r));
  return by_number(std::move(list), [](const KeptQuote& k) { return k.quote.number; });
}

std::vector<Edit> quote_edits(const JobBook& book, const std::string& unit,
                              const QuoteTerms& terms) {
  const std::string who = signer_of(book);
  const int number = static_cast<int>(quotes_of(book, unit).size()) + 1;
  const Quote q = quote_of(unit_cost(book, unit), terms, number, today_of(book));
  return {{"", k_quote, unit, quote_body(q, who)}};
}

std::vector<Edit> answer_edits(const JobBook& book, const std::string& unit,
                               const QuoteAnswer& answer) {
  signer_of(book);
  unit_at(book, unit);
  const auto quotes = quotes_of(book, unit);
  if (quotes.empty())
    throw Error(ErrorKind::wrong_use,
                unit + ": nothing was quoted yet: 'verdigrid quote make' makes a quote.");
  KeptQuote kept = quotes.back();
  Quote& q = kept.quote;
  const std::string today = today_of(book);
  if (answer.state == QuoteState::agreed && today > q.valid_until)
    throw Error(ErrorKind::wrong_use,
                fmt::format("Quote {} held until {}: quote again before it is agreed to.", q.number,
                            q.valid_until));
  q.state = answer.state;
  (answer.state == QuoteState::sent ? q.sent_on : q.answered_on) = today;
  if (answer.call_above) {
    QuoteTerms{q.tax_percent, 1, answer.call_above}.check();
    q.call_above = answer.call_above;
  }
  json body = quote_body(q, kept.who);
  if (const std::string& said = answer.owner_said.empty() ? kept.owner_said : answer.owner_said;
      !said.empty())
    body["owner_said"] = said;
  return {{kept.id, k_quote, {}, body}};
}

std::string money_alarm(const JobBook& book, const std::string& unit, const std::string& date) {
  const auto quotes = quotes_of(book, unit);
  if (quotes.empty()) return {};
  try {
    return quote_alarm(quotes.back().quote, unit_cost(book, unit), date);
  } catch (const Error& e) {
    if (e.kind() != ErrorKind::bad_input && e.kind() != ErrorKind::wrong_use) throw;
    return e.what();  // the plan can no longer be compared with what was quoted: it says why
  }
}

std::vector<HandOver> hand_overs_of(const JobBook& book, const std::string& unit) {
  std::vector<HandOver> list;
  for (const Record& r : book.children(unit, k_hand_over)) list.push_back(hand_over_from(r));
  return by_number(std::move(list), [](const HandOver& h) { return h.number; });
}

std::vector<Edit> hand_over_edits(const JobBook& book, const std::string& unit,
                                  const std::vector<std::string>& watch) {
  Unit u = unit_at(book, unit);
  if (u.state == "handed over")
    throw Error(ErrorKind::wrong_use, unit + ": is handed over already.");
  const std::string today = today_of(book);
  json look_again = json::array();
  for (const int months : k_look_again_months)
    look_again.push_back({{"on", months_after(today, months)}});
  u.state = "handed over";
  return {{"", k_hand_over, unit,
           json{{"on", today},
                {"number", book.children(unit, k_hand_over).size() + 1},
                {"who", signer_of(book)},
                {"watch", watch},
                {"photos", photos_with_role(book, unit, "handed over")},
                {"look_again", look_again}}},
          {unit, "unit", {}, to_body(u)}};
}

std::vector<Edit> looked_again_edits(const JobBook& book, const std::string& unit,
                                     const std::string& found) {
  unit_at(book, unit);
  const auto record = last_hand_over(book, unit);
  if (!record)
    throw Error(ErrorKind::wrong_use, unit + ": was never handed over, so no day to look again.");
  json body = record->body;
  for (json& l : body.at("look_again"))
    if (l.value("done_on", "").empty()) {
      l["done_on"] = today_of(book);
      l["found"] = found;
      return {{record->id, k_hand_over, {}, body}};
    }
  throw Error(ErrorKind::wrong_use, unit + ": every day to look again is done.");
}

std::vector<Visit> visits_of(const JobBook& book, const std::string& unit) {
  std::vector<Visit> list;
  for (const Record& r : book.children(unit, k_visit))
    list.push_back({r.id, r.body.value("on", ""), r.body.value("owner_said", ""),
                    r.body.value("number", 2), r.body.value("photos", std::vector<std::string>())});
  return by_number(std::move(list), [](const Visit& v) { return v.number; });
}

std::vector<Edit> came_back_edits(const JobBook& book, const std::string& unit,
                                  const std::string& owner_said) {
  Unit u = unit_at(book, unit);
  signer_of(book);
  const auto record = last_hand_over(book, unit);
  if (u.state != "handed over" || !record)
    throw Error(ErrorKind::wrong_use,
                fmt::format("{}: is {}, so it cannot come back; 'verdigrid handover give' logs a "
                            "hand-over.",
                            unit, u.state));
  u.state = "received";
  json body = record->body;
  body["has_come_back"] = true;
  json visit{{"on", today_of(book)},
             {"number", book.children(unit, k_visit).size() + 2},
             {"photos", record->body.at("photos")}};
  if (!owner_said.empty()) visit["owner_said"] = owner_said;
  std::vector<Edit> edits{{"", k_visit, unit, visit}, {record->id, k_hand_over, {}, body}};
  add_locks(book, unit, edits);
  edits.push_back({unit, "unit", {}, to_body(u)});
  return edits;
}

std::vector<DueLook> due_looks(const JobBook& book, const std::string& date) {
  std::vector<DueLook> due;
  for (const Record& r : book.of_kind(k_hand_over)) {
    const HandOver h = hand_over_from(r);
    if (h.has_come_back || !r.unit) continue;
    for (const LookAgain& l : h.look_again)
      if (l.done_on.empty() && l.on <= date) {
        due.push_back({*r.unit, l.on});
        break;
      }
  }
  return due;
}

}  // namespace verdigrid
