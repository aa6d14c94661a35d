// Quotes, hand-overs and minutes against the estimate by command line, in the test's own process.

#include <catch2/catch.hpp>

#include "jobbook/entities.h"
#include "jobbook/plan_record.h"
#include "plan/edit_plan.h"
#include "tests/cli/run_here.h"
#include "tests/jobbook/scratch.h"
#include "tests/plan/facts.h"
#include "tests/process.h"

using namespace verdigrid;
using Catch::Matchers::Contains;
using Catch::Matchers::StartsWith;
using test::run_here;

namespace {

struct Planned {
  Scratch scratch;
  std::string book = scratch.book().string(), unit;

  explicit Planned(double money_per_hour = 60) {
    JobBook b = JobBook::create(book, {});
    Unit u;
    u.name = "logger";
    u.owner = "Someone Private";
    unit = b.put("received", {"", "unit", {}, to_body(u)});
    const std::string board = b.put("board", {"", "board", unit, to_body(Board{"main"})});
    Plan plan = leaked_plan(agreed());
    plan.sides.front().photo_sha256 = b.add_file(bytes_of("a photo"));
    plan.rates.money_per_hour = money_per_hour;
    keep_plan(b, board, plan, "planned");
  }
  std::string file(const char* name) const { return (scratch.folder / name).string(); }
  test::Ran run(const char* command, const char* nested,
                const std::vector<std::string>& more = {}) const {
    std::vector<std::string> all{command, nested, book, unit, "--who", "Ada"};
    all.insert(all.end(), more.begin(), more.end());
    return run_here(all);
  }
  std::string item(Operation o) const {
    const JobBook b = JobBook::open(book, {}, Open::read_only);
    return item_with(*kept_plan(b, b.children(unit, "board").front().id), o).id;
  }
};

}  // namespace

TEST_CASE("a quote is made, agreed, and a plan that grows calls for the owner", "[cli]") {
  const Planned p;
  test::Ran ran =
      p.run("quote", "make", {"--tax", "20", "--valid", "14", "-o", p.file("quote.html")});
  CAPTURE(ran.messages);
  REQUIRE(ran.code == 0);
  CHECK_THAT(ran.out, StartsWith("Quote 1 of") && Contains("with 20 % tax"));
  const std::string paper = test::text_of(p.file("quote.html"));
  CHECK_THAT(paper, Contains("What it may cost") && Contains("allow up to") &&
                        !Contains("Someone Private"));
  CHECK(p.run("quote", "sent").code == 0);
  ran = p.run("quote", "agreed", {"--call-above", "100000", "--said", "go on"});
  CHECK_THAT(ran.out, Contains("agreed") && Contains("call the owner above 100000.00 EUR"));
  CHECK(ran.messages.empty());
  ran = p.run("quote", "agreed", {"--call-above", "1"});
  CHECK_THAT(ran.messages, StartsWith("Call the owner"));
  CHECK_THAT(run_here({"jobbook", "list", p.book}).out, Contains("Call the owner"));
  CHECK_THAT(p.run("quote", "show").out, Contains("The plan today: spent 0.00 EUR"));
  const test::Ran named = p.run("quote", "show", {"-o", p.file("named.html"), "--with-owner"});
  CHECK(named.code == 0);
  CHECK_THAT(test::text_of(p.file("named.html")), Contains("Someone Private"));
}

TEST_CASE("a hand-over sheet says what was done and what was not, in HTML and PDF", "[cli]") {
  const Planned p;
  REQUIRE(run_here({"plan", "tick", p.unit, p.item(Operation::photograph), "--jobbook", p.book,
                    "--who", "Ada", "--minutes", "7"})
              .code == 0);
  test::Ran ran =
      p.run("handover", "sheet", {"-o", p.file("sheet.html"), "--watch", "the old fan"});
  CAPTURE(ran.messages);
  REQUIRE(ran.code == 0);
  const std::string sheet = test::text_of(p.file("sheet.html"));
  for (const char* wanted :
       {"What was done", "What was not done", "What was not tested", "What to watch", "the old fan",
        "LOCKED", "Look again on", "it was not powered here"})
    CHECK_THAT(sheet, Contains(wanted));
  CHECK_THAT(sheet, !Contains("Someone Private"));
  // The same work in several places is one line.
  const size_t first = sheet.find("clean locally with swab");
  CHECK(first != std::string::npos);
  CHECK(sheet.find("clean locally with swab", first + 1) == std::string::npos);
  CHECK(p.run("handover", "sheet", {"-o", p.file("sheet.html")}).code == 2);
  ran = p.run("handover", "give", {"-o", p.file("sheet.pdf")});
  REQUIRE(ran.code == 0);
  CHECK_THAT(ran.out, Contains("Look again on") && Contains("LOCKED"));
  CHECK_THAT(test::text_of(p.file("sheet.pdf")), StartsWith("%PDF"));
  CHECK(p.run("handover", "give").code == 2);
  CHECK_THAT(p.run("handover", "looked", {"nothing new"}).out, Contains("nothing new"));
  CHECK_THAT(p.run("handover", "back", {"--said", "it smells"}).out, StartsWith("Visit 2"));
  CHECK_THAT(p.run("handover", "show").out, Contains("it came back") && Contains("it smells"));
  REQUIRE(run_here({"jobbook", "forget-owner", p.book, p.unit}).code == 0);
  CHECK_THAT(p.run("handover", "show").out, !Contains("it smells"));
}

TEST_CASE("logged minutes are compared with the estimate and exported without names", "[cli]") {
  const Planned p;
  CHECK(run_here({"rates", "compare", "--jobbook", p.book}).code == 5);
  REQUIRE(run_here({"plan", "tick", p.unit, p.item(Operation::photograph), "--jobbook", p.book,
                    "--who", "Ada", "--minutes", "7"})
              .code == 0);
  test::Ran ran = run_here({"rates", "compare", "--jobbook", p.book, "-o", p.file("minutes.html")});
  CAPTURE(ran.messages);
  REQUIRE(ran.code == 0);
  CHECK_THAT(ran.out, Contains("By person:\n  Ada: 1 job, 7 min"));
  CHECK_THAT(test::text_of(p.file("minutes.html")), Contains("<img") && Contains("By board type"));
  CHECK(run_here({"rates", "compare", "--jobbook", p.book, "-o", p.file("minutes.pdf")}).code == 0);
  const std::string csv = p.file("mine.csv");
  REQUIRE(run_here({"rates", "export", "--jobbook", p.book, "--person", "Ada", "-o", csv}).code ==
          0);
  CHECK_THAT(test::text_of(csv), Contains("photograph") && !Contains("Ada"));
  CHECK(
      run_here({"rates", "export", "--jobbook", p.book, "--person", "Ben", "-o", p.file("his.csv")})
          .code == 5);
  const std::string table = p.file("rates.json"), learned = p.file("learned.json");
  REQUIRE(run_here({"rates", "init", "-o", table}).code == 0);
  REQUIRE(run_here({"rates", "learn", table, "--jobbook", p.book, "-o", learned}).code == 0);
  ran = run_here({"rates", "learn", learned, "--jobbook", p.book, "-o", p.file("twice.json")});
  CHECK(ran.code == 2);
  CHECK_THAT(ran.messages, Contains("count them twice"));
}

TEST_CASE("every bad input of quote and hand-over is one sentence", "[cli]") {
  const Planned p, unpriced(0);
  const auto is_refused = [](const test::Ran& ran, int code) {
    CAPTURE(ran.messages);
    CHECK(ran.code == code);
    CHECK(std::count(ran.messages.begin(), ran.messages.end(), '\n') == 1);
  };
  is_refused(unpriced.run("quote", "make"), 3);
  is_refused(p.run("quote", "agreed"), 2);
  is_refused(p.run("quote", "make", {"--tax", "200"}), 2);
  is_refused(p.run("quote", "make", {"--tax", "much"}), 2);
  is_refused(p.run("quote", "make", {"--valid", "0"}), 2);
  is_refused(p.run("quote", "make", {"--valid", "1.5"}), 2);
  is_refused(p.run("quote", "make", {"--call-above", "-3"}), 2);
  is_refused(p.run("quote", "make", {"-o", p.file("quote.txt")}), 2);
  is_refused(run_here({"quote", "show", p.book, "unit-000000"}), 2);
  is_refused(run_here({"quote", "make", p.file("nowhere"), p.unit}), 2);
  is_refused(p.run("handover", "back"), 2);
  is_refused(p.run("handover", "looked", {"nothing"}), 2);
  is_refused(run_here({"handover", "sheet", p.book, "unit-000000", "-o", p.file("a.pdf")}), 2);
  is_refused(run_here({"handover", "give", p.book, p.unit, "--who", "nobody"}), 2);
}
