#include "jobbook/lock_record.h"

#include <catch2/catch.hpp>

#include "base/error.h"
#include "jobbook/board_type.h"
#include "jobbook/entities.h"
#include "tests/jobbook/scratch.h"

using namespace verdigrid;
using C = LockCondition;

namespace {

const char* const k_day = "2026-03-01";

struct Bench {
  Scratch scratch;
  JobBook book = JobBook::create(scratch.book(), fixed_options());
  std::string unit, board;

  Bench() {
    Unit u;
    u.name = "logger";
    unit = book.put("received", {"", "unit", {}, to_body(u)});
    board = book.put("board", {"", "board", unit, to_body(Board{"board 1"})});
  }
  std::string state() const { return unit_from(book.get(unit).body).state; }
};

LockEntry entry(C condition) {
  LockEntry e;
  e.condition = condition;
  e.who = "Ada";
  e.on = k_day;
  return e;
}

// A lock whose every condition is met.
PowerLock met_lock() {
  PowerLock lock;
  LockFacts& f = lock.facts;
  f.unseen_percent = 0;
  f.battery_fitted = f.battery_leaking = f.wet = f.picture_tube = f.mains_capacitors =
      f.above_50_v = f.mains_suppression = Told::no;
  for (const C c : {C::inspection, C::loose_metal}) {
    LockEntry e = entry(c);
    e.photo = "bench.jpg";
    lock = with_entry(lock, e);
  }
  LockEntry supply = entry(C::supply);
  supply.supply = SupplyCheck{"bench 1", {{"+5 V", 5, 5.01, 1}}};
  LockEntry ohms = entry(C::rail_ohms);
  ohms.value = 90;
  ohms.unit = "ohm";
  ohms.rail = "+5 V";
  return with_entry(with_entry(lock, supply), ohms);
}

LockEntry test_entry(TestVerdict verdict) {
  LockEntry e = entry(C::inspection);
  e.kind = LockEntryKind::test;
  e.tests = {{"starts", verdict}};
  return e;
}

}  // namespace

TEST_CASE("a board without a lock record is locked, and so is a unit without a board") {
  const Bench b;
  CHECK(power_headline(b.book, b.board, k_day).starts_with("LOCKED"));
  CHECK(unit_power_headline(b.book, b.unit, k_day).starts_with("LOCKED"));
  Unit empty;
  empty.name = "box";
  JobBook book = JobBook::create(b.scratch.folder / "other", fixed_options());
  const std::string unit = book.put("received", {"", "unit", {}, to_body(empty)});
  CHECK(unit_power_headline(book, unit, k_day) == "LOCKED: no board was looked at");
}

TEST_CASE("a lock is kept, moves its unit on and back, and is undone") {
  Bench b;
  const PowerLock lock = met_lock();
  const std::string id = keep_lock(b.book, b.board, lock, "met", k_day);
  CHECK(power_lock_from_json(b.book.get(id).body.dump(), id) == lock);
  CHECK(power_headline(b.book, b.board, k_day) == "CLEARED FOR TEST with supply bench 1");
  CHECK(b.state() == "cleared for test");
  const PowerLock passed = with_entry(lock, test_entry(TestVerdict::pass));
  CHECK(keep_lock(b.book, b.board, passed, "tested", k_day) == id);
  CHECK(b.state() == "tested");
  keep_lock(b.book, b.board, with_entry(passed, test_entry(TestVerdict::fail)), "tested", k_day);
  CHECK(b.state() == "rechecked");
  CHECK(power_headline(b.book, b.board, k_day).starts_with("LOCKED"));
  for (const char* state : {"tested", "cleared for test", "received"}) {
    b.book.undo(*b.book.last_step());
    CHECK(b.state() == state);
  }
  CHECK(b.book.children(b.board, "power-lock").empty());
  CHECK_THROWS_AS(keep_lock(b.book, b.unit, lock, "met", k_day), Error);
}

TEST_CASE("one locked board locks its unit") {
  Bench b;
  keep_lock(b.book, b.board, met_lock(), "met", k_day);
  CHECK(unit_power_headline(b.book, b.unit, k_day).starts_with("CLEARED"));
  b.book.put("board", {"", "board", b.unit, to_body(Board{"board 2"})});
  CHECK(unit_power_headline(b.book, b.unit, k_day).starts_with("LOCKED"));
}

TEST_CASE("a photo that is evidence is a file of the job book") {
  Bench b;
  PowerLock lock = met_lock();
  lock.log.front().photo_sha256 = std::string(64, '1');
  CHECK_THROWS_AS(keep_lock(b.book, b.board, lock, "met", k_day), Error);
  lock.log.front().photo_sha256 = b.book.add_file(bytes_of("a photo"));
  CHECK_NOTHROW(keep_lock(b.book, b.board, lock, "met", k_day));
  CHECK(b.book.faults().empty());
}

TEST_CASE("supplies are units with checks of their own") {
  Bench b;
  const SupplyRecord good{{"bench 1", {{"-12 V", -12, -11.9, 0.5}}}, "Ada", k_day};
  CHECK_THROWS_AS(keep_supply_check(b.book, b.unit, good), Error);
  Unit u;
  u.name = "bench 1";
  u.is_supply = true;
  const std::string supply = b.book.put("received", {"", "unit", {}, to_body(u)});
  CHECK_THROWS_AS(keep_supply_check(b.book, supply, {{"bench 1", {}}, "Ada", k_day}), Error);
  keep_supply_check(b.book, supply, good);
  SupplyRecord later = good;
  later.on = "2026-04-01";
  keep_supply_check(b.book, supply, later);
  const auto list = supply_checks(b.book, supply);
  REQUIRE(list.size() == 2);
  CHECK(list.front().check == good.check);
  CHECK(list.back().on == "2026-04-01");
}

TEST_CASE("the test list is that of the board's type") {
  Bench b;
  CHECK(test_list(b.book, b.board).empty());
  BoardType type;
  type.name = "logger main";
  type.tests = {"starts", "keys"};
  const std::string id = b.book.put("type", {"", "board-type", {}, to_body(type)});
  Board board = board_from(b.book.get(b.board).body);
  board.type = id;
  b.book.put("typed", {b.board, "board", {}, to_body(board)});
  CHECK(test_list(b.book, b.board) == type.tests);
}

TEST_CASE("the headlines of all units are those of each") {
  Bench b;
  std::vector<std::string> units{b.unit};
  for (const char* name : {"untouched", "cleared, then one locked", "boxed"}) {
    Unit u;
    u.name = name;
    units.push_back(b.book.put("received", {"", "unit", {}, to_body(u)}));
  }
  b.book.put("board", {"", "board", units[1], to_body(Board{"main"})});
  for (const char* name : {"first", "second"})
    b.book.put("board", {"", "board", units[2], to_body(Board{name})});
  const auto same = [&] {
    const auto all = unit_power_headlines(b.book, k_day);
    CHECK(all.size() == 3);  // the last has no board
    for (size_t i = 0; i < 3; ++i)
      CHECK(all.at(units[i]) == unit_power_headline(b.book, units[i], k_day));
    return all;
  };
  CHECK(same().at(b.unit).starts_with("LOCKED"));
  keep_lock(b.book, b.board, met_lock(), "met", k_day);
  CHECK(same().at(b.unit).starts_with("CLEARED"));
  const auto boards = b.book.children(units[2], "board");
  keep_lock(b.book, boards[0].id, met_lock(), "met", k_day);
  CHECK(same().at(units[2]).starts_with("LOCKED"));
  keep_lock(b.book, boards[1].id, met_lock(), "met", k_day);
  CHECK(same().at(units[2]).starts_with("CLEARED"));
}
