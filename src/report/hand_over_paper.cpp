// The sheet of a hand-over: what was done, what was not, what to watch, and whether power is
// locked.

#include <fmt/format.h>

#include <algorithm>

#include "base/calendar.h"
#include "jobbook/lock_record.h"
#include "jobbook/order_record.h"
#include "jobbook/owner_record.h"
#include "jobbook/plan_record.h"
#include "jobbook/survey_record.h"
#include "jobbook/unit_record.h"
#include "photo/decode.h"
#include "report/owner_paper_parts.h"
#include "report/owner_papers.h"
#include "report/survey_report.h"

namespace verdigrid {

namespace {

constexpr int k_photo_px = 900;

// A list, or one sentence where there is nothing to list.
void add_list(Section& s, const std::vector<std::string>& lines, const char* none) {
  if (lines.empty()) s.blocks.emplace_back(Paragraph{none, Emphasis::quiet});
  for (const std::string& line : lines) s.blocks.emplace_back(Paragraph{"\xE2\x80\xA2 " + line});
}

struct PlannedBoard {
  std::string id, name;
  std::optional<Plan> plan;
  PowerLock lock;
};

std::vector<PlannedBoard> boards_of(const JobBook& book, const std::string& unit,
                                    const std::string& date) {
  std::vector<PlannedBoard> list;
  for (const Record& b : book.children(unit, "board"))
    list.push_back({b.id, board_from(b.body).name, kept_plan(book, b.id),
                    lock_of(book, b.id, k_nobody, date)});
  return list;
}

Section done_section(const std::vector<PlannedBoard>& boards) {
  std::vector<std::string> lines;
  for (const PlannedBoard& b : boards)
    if (b.plan)
      for (std::string& line : item_lines(
               b.name, *b.plan, [](const WorkItem& w) { return w.done; },
               [](const WorkItem& w) {
                 return w.done_on.empty() ? std::string() : " (" + w.done_on + ")";
               }))
        lines.push_back(std::move(line));
  Section s{"done", "What was done", {}};
  add_list(s, lines, "No work item was ticked off.");
  return s;
}

Section not_done_section(const std::vector<PlannedBoard>& boards) {
  std::vector<std::string> lines;
  for (const PlannedBoard& b : boards) {
    if (!b.plan) {
      lines.push_back(b.name + ": nothing was planned or done on this board");
      continue;
    }
    for (std::string& line : item_lines(
             b.name, *b.plan, [](const WorkItem& w) { return !w.done; },
             [](const WorkItem& w) { return std::string(w.optional ? " (was offered)" : ""); }))
      lines.push_back(std::move(line));
  }
  Section s{"not-done", "What was not done", {}};
  add_list(s, lines, "Every planned work item was ticked off.");
  return s;
}

// The newest word on every test of the board's list or of its log.
std::vector<std::string> untested(const JobBook& book, const PlannedBoard& b) {
  std::vector<std::string> lines;
  std::vector<TestItem> tests;
  for (const std::string& what : test_list(book, b.id)) tests.push_back({what});
  bool has_power = false;
  for (const LockEntry& e : b.lock.log) {
    has_power |= e.power.has_value();
    for (const TestItem& t : e.tests) {
      const auto at = std::find_if(tests.begin(), tests.end(),
                                   [&t](const TestItem& known) { return known.what == t.what; });
      if (at == tests.end())
        tests.push_back(t);
      else
        *at = t;
    }
  }
  if (!has_power) lines.push_back(b.name + ": it was not powered here, so nothing of it was tried");
  for (const TestItem& t : tests)
    if (t.verdict == TestVerdict::not_tested)
      lines.push_back(fmt::format("{}: {}", b.name, t.what));
    else if (t.verdict == TestVerdict::fail)
      lines.push_back(fmt::format("{}: {} was tested and FAILED", b.name, t.what));
  if (has_power && tests.empty())
    lines.push_back(b.name +
                    ": there is no list of tests for this board; only first power is logged");
  return lines;
}

Section not_tested_section(const JobBook& book, const std::vector<PlannedBoard>& boards) {
  std::vector<std::string> lines;
  for (const PlannedBoard& b : boards)
    for (std::string& line : untested(book, b)) lines.push_back(std::move(line));
  Section s{"not-tested", "What was not tested", {}};
  add_list(s, lines, "Every test of the boards' lists has a verdict.");
  return s;
}

void add_unseen(const JobBook& book, const PlannedBoard& b, std::vector<std::string>& lines) {
  for (const SideSeen& side : sides_seen(book, b.id))
    if (!side.is_photographed)
      lines.push_back(
          fmt::format("{}: its {} was never photographed, so nobody knows what is there", b.name,
                      name(side.side)));
    else if (side.unseen_percent)
      lines.push_back(fmt::format("{}: {:.0f} % of its {} could not be seen on the photos", b.name,
                                  *side.unseen_percent, name(side.side)));
}

std::string battery_line(const Battery& b) {
  if (!b.removed_on.empty())
    return fmt::format(
        "The battery was taken out on {}; a new one is not fitted unless it stands "
        "above.",
        b.removed_on);
  if (b.fitted == Answer3::no) return {};
  return b.fitted == Answer3::yes
             ? "A battery is fitted: cells leak with age. Look at it at every date below."
             : "Whether a battery is fitted is not known: cells leak with age. Look for one.";
}

Section watch_section(const JobBook& book, const std::string& unit, const Unit& u,
                      const std::vector<PlannedBoard>& boards,
                      const std::vector<std::string>& watch, const std::string& date) {
  std::vector<std::string> lines = watch;
  if (const std::string battery = battery_line(u.battery); !battery.empty())
    lines.push_back(battery);
  for (const PlannedBoard& b : boards) {
    const LockState state = state_of(b.lock, date);
    for (const ConditionView& c : state.conditions)
      if (c.state == ConditionState::overridden)
        lines.push_back(fmt::format("{}: left open on purpose: {} ({})", b.name, c.sentence, c.by));
    add_unseen(book, b, lines);
  }
  for (const NeededPart& p : needed_parts_of(book, unit))
    if (p.state == OrderState::fitted && !p.substitute.empty())
      lines.push_back(fmt::format("{}: {} was replaced by a substitute: {}", p.board_name,
                                  p.designator, p.substitute));
  Section s{"watch", "What to watch", {}};
  add_list(s, lines, "Nothing is noted.");
  s.blocks.emplace_back(
      Paragraph{"Switch it off and unplug it at once on smoke, smell, noise or heat, and bring it "
                "back. Old residue under parts may come through again: look at the dates below.",
                Emphasis::caution});
  return s;
}

Section power_section(const std::vector<PlannedBoard>& boards, const std::string& date) {
  Section s{"power", "Power", {}};
  for (const PlannedBoard& b : boards) {
    const LockState state = state_of(b.lock, date);
    s.blocks.emplace_back(Paragraph{fmt::format("{}: {} (on {}).", b.name, state.headline, date),
                                    state.is_cleared ? Emphasis::plain : Emphasis::strong});
  }
  if (boards.empty())
    s.blocks.emplace_back(Paragraph{std::string(k_no_board_headline) + ".", Emphasis::strong});
  s.blocks.emplace_back(
      Paragraph{"LOCKED: do not connect power. CLEARED FOR TEST is leave for a test with a current "
                "limit and no statement that the equipment works or is without danger. Mains, "
                "picture tubes and large capacitors are for qualified persons under local codes.",
                Emphasis::caution});
  return s;
}

Section look_again_section(const std::vector<LookAgain>& days) {
  Section s{"look-again", "Look again on", {}};
  TickList list;
  for (const LookAgain& d : days) {
    list.items.push_back(d.done_on.empty() ? d.on
                                           : fmt::format("{}: looked at on {}{}", d.on, d.done_on,
                                                         d.found.empty() ? "" : ": " + d.found));
    list.is_ticked.push_back(!d.done_on.empty());
  }
  s.blocks.emplace_back(std::move(list));
  s.blocks.emplace_back(
      Paragraph{"Unplugged, in good light: white, green or brown traces at parts, "
                "batteries and plugs, and any new smell.",
                Emphasis::quiet});
  return s;
}

std::optional<Section> photos_section(const JobBook& book, const std::vector<std::string>& ids,
                                      const Work& work) {
  Gallery gallery;
  for (const std::string& id : ids) {
    work.check();
    const auto record = book.find(id);
    if (!record) continue;
    const KeptPhoto kept = kept_photo_from(record->body);
    const Photo photo = decode_photo(book.file(kept.sha256), kept.name);
    const std::string what = fmt::format(
        "{}, {} side", board_from(book.get(*record->parent).body).name, name(kept.side));
    gallery.pictures.push_back(picture_of(photo.bgr, k_photo_px, what + " at the hand-over", what));
  }
  if (gallery.pictures.empty()) return std::nullopt;
  return Section{"photos", "As handed over", {std::move(gallery)}};
}

Section signatures_section(const std::string& who) {
  return {"signatures",
          "Handed over and received",
          {Paragraph{fmt::format("Handed over by {}   ______________________   Date ____________",
                                 who.empty() ? "______________________" : who)},
           Paragraph{"Received by ______________________   ______________________   Date "
                     "____________"}}};
}

HandOver hand_over_today(const JobBook& book, const std::string& unit, const std::string& date,
                         const std::vector<std::string>& watch) {
  HandOver h{"", date, "", watch, {}, {}, false};
  for (const int months : k_look_again_months) h.look_again.push_back({months_after(date, months)});
  for (const Record& p : book.of_unit(unit, "photo"))
    if (kept_photo_from(p.body).role == "handed over") h.photos.push_back(p.id);
  return h;
}

}  // namespace

ReportDocument hand_over_document(const JobBook& book, const std::string& unit,
                                  const std::vector<std::string>& watch, OwnerName owner,
                                  const Work& work) {
  const Unit u = unit_at(book, unit);
  const std::string date = book.options().now().substr(0, 10);
  const auto kept = hand_overs_of(book, unit);
  const bool is_handed_over = u.state == "handed over" && !kept.empty();
  const HandOver h = is_handed_over ? kept.back() : hand_over_today(book, unit, date, watch);
  const std::vector<PlannedBoard> boards = boards_of(book, unit, date);
  ReportDocument d;
  d.title = "Hand-over: " + u.name;
  d.subtitle = fmt::format("{}, {}", unit, h.on);
  d.sections.push_back(head_section(unit, u, owner));
  d.sections.push_back(power_section(boards, date));
  d.sections.push_back(done_section(boards));
  d.sections.push_back(not_done_section(boards));
  d.sections.push_back(not_tested_section(book, boards));
  d.sections.push_back(watch_section(book, unit, u, boards, h.watch, date));
  d.sections.push_back(look_again_section(h.look_again));
  if (auto photos = photos_section(book, h.photos, work)) d.sections.push_back(std::move(*photos));
  d.sections.push_back(signatures_section(h.who));
  d.check();
  return d;
}

}  // namespace verdigrid
