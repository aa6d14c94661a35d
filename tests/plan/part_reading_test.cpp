#include "plan/part_reading.h"

#include <catch2/catch.hpp>

using namespace verdigrid;
using Catch::Matchers::Contains;

namespace {

PartReading value_of_c1(const std::string& print, const std::string& old_part,
                        const std::string& meter) {
  return {"C1", ReadingOf::value, print, old_part, meter};
}

ItemPart can(const std::string& value, const std::string& revision) {
  return {"C1", PartKind::aluminium_smd, value, "16 V", "", revision};
}

}  // namespace

TEST_CASE("values are read as people write them") {
  const std::pair<const char*, double> cases[] = {
      {"47u", 47e-6},   {"47 uF", 47e-6}, {"47\u00b5F", 47e-6}, {"0.047mF", 47e-6},
      {"100n", 100e-9}, {"4k7", 4700},    {"2R2", 2.2},         {"10 kohm", 10e3},
      {"1M", 1e6},      {"22pF", 22e-12}, {"4u7", 4.7e-6}};
  for (const auto& [text, value] : cases) {
    INFO(text);
    REQUIRE(part_value(text));
    CHECK(part_value(text)->value == Approx(value));
  }
  for (const char* text : {"", "TL072", "1N4148", "47 x", "u47 16V", "-3u"})
    CHECK_FALSE(part_value(text));
}

TEST_CASE("three witnesses that agree make a value") {
  const PartAgreement a = agreement_of(value_of_c1("47uF", "47u", "44.1 uF"));
  CHECK(a.agrees);
  CHECK(a.value == "47u");  // what is written on a part, not what a meter shows
  CHECK(agreement_of(value_of_c1("none", "47u", "50u")).agrees);
  CHECK(agreement_of({"U1", ReadingOf::value, "none", "TL072", "TL 072"}).agrees);
}

TEST_CASE("the print wins nothing by itself: what differs or is missing is asked") {
  CHECK_THAT(
      agreement_of(value_of_c1("47u", "22u", "21u")).ask,
      Contains("ASK") && Contains("the print says 47u") && Contains("the old part says 22u"));
  CHECK_THAT(agreement_of(value_of_c1("47u", "47u", "")).ask, Contains("the meter was not read"));
  CHECK_THAT(agreement_of(value_of_c1("47u", "", "")).ask, Contains("old part and the meter were"));
  CHECK_THAT(agreement_of(value_of_c1("47u", "none", "none")).ask, Contains("only one"));
  CHECK_THAT(agreement_of(value_of_c1("47u", "47u", "30u")).ask, Contains("the meter says 30u"));
  CHECK_FALSE(agreement_of(value_of_c1("47u", "47k", "47u")).agrees);
  CHECK_FALSE(agreement_of(value_of_c1("47uF", "47uH", "none")).agrees);
}

TEST_CASE("polarity is where the negative end lies, by all three") {
  CHECK(agreement_of({"C1", ReadingOf::polarity, "Left", "left", "left"}).agrees);
  CHECK_THAT(agreement_of({"C1", ReadingOf::polarity, "right", "left", "left"}).ask,
             Contains("ASK: polarity of C1"));
}

TEST_CASE("a value of another revision never may be ordered") {
  CHECK(order_value(can("47u", "B"), "B", {}).may_be_ordered);
  CHECK(order_value(can("47u", ""), "", {}).may_be_ordered);
  const OrderValue other = order_value(can("47u", "A"), "B", {});
  CHECK_FALSE(other.may_be_ordered);
  CHECK_THAT(other.why, Contains("revision A") && Contains("revision B"));
  CHECK_FALSE(order_value(can("47u", "A"), "", {}).may_be_ordered);
  CHECK_FALSE(order_value(can("", "B"), "B", {}).may_be_ordered);
}

TEST_CASE("what was read on the board itself decides what is ordered") {
  const auto agreed = value_of_c1("none", "22u", "21u"), differs = value_of_c1("47u", "22u", "21u");
  CHECK(order_value(can("47u", "A"), "B", {agreed}).may_be_ordered);
  CHECK(order_value(can("47u", "A"), "B", {agreed}).value == "22u");
  CHECK_FALSE(order_value(can("47u", "B"), "B", {differs}).may_be_ordered);
  CHECK(order_value(can("47u", "B"), "B", {differs, agreed}).may_be_ordered);  // the newest counts
  const PartReading polarity{"C1", ReadingOf::polarity, "left", "right", ""};
  CHECK(order_value(can("47u", "B"), "B", {polarity}).may_be_ordered);
}
