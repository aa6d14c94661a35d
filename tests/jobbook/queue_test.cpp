#include "jobbook/queue.h"

#include <catch2/catch.hpp>

#include "jobbook/entities.h"
#include "tests/jobbook/scratch.h"

using namespace verdigrid;
using nlohmann::json;

TEST_CASE("leaking batteries come first, then wet ones, white salts, then the oldest") {
  const Scratch s;
  JobBook book = JobBook::create(s.book(), fixed_options());
  const auto receive = [&book](const std::string& name, const std::string& day, auto change) {
    Unit u;
    u.name = name;
    u.received_on = day;
    change(u);
    return book.put("received", {"", "unit", {}, to_body(u)});
  };
  receive("new", "2026-03-05", [](Unit&) {});
  receive("old", "2026-01-05", [](Unit&) {});
  const std::string salts = receive("salts", "2026-03-06", [](Unit&) {});
  book.put("surveyed", {"", "survey", salts, json{{"found", {{{"residue", "white-salt"}}}}}});
  receive("wet", "2026-03-07", [](Unit& u) { u.wet = Answer3::yes; });
  receive("leaking", "2026-03-08", [](Unit& u) { u.battery.leaking = Answer3::yes; });
  receive("was leaking", "2026-03-09",
          [](Unit& u) { u.battery.leaking = Answer3::yes, u.battery.removed_on = "2026-03-10"; });
  receive("gone", "2026-01-01", [](Unit& u) { u.state = "handed over"; });

  std::vector<std::string> names;
  for (const QueueRow& row : queue_of(book)) names.push_back(row.name);
  CHECK(names == std::vector<std::string>{"leaking", "wet", "salts", "old", "new", "was leaking"});
  CHECK(queue_of(book).front().reason == "battery leaks");
  CHECK(queue_of(book).front().next_step == "photograph both sides and survey");
}

TEST_CASE("a supply to power others with waits for its rails, not for photos") {
  const Scratch s;
  JobBook book = JobBook::create(s.book(), fixed_options());
  Unit u;
  u.name = "bench 1";
  u.is_supply = true;
  const std::string unit = book.put("received", {"", "unit", {}, to_body(u)});
  CHECK(queue_of(book).front().next_step == "measure its rails under dummy load and record them");
  u.state = "surveyed";  // it is worked on itself
  book.put("surveyed", {unit, "unit", {}, to_body(u)});
  CHECK(queue_of(book).front().next_step == "plan the work");
}
