#include "measure/source_reason.h"

#include <catch2/catch.hpp>

using namespace verdigrid;

TEST_CASE("a finding's reason names the nearest part that may leak", "[measure]") {
  Findings findings;
  findings.findings.resize(2);
  findings.findings[0].reason = "teal, rough";
  findings.findings[1].reason = "white";
  // Likeliest first: the nearest may stand second.
  name_nearest_source(findings, {{1,
                                  {{
                                       "BT1",
                                       9.5,
                                       0.7,
                                       "9.5 mm from the body",
                                   },
                                   {"C7", 2.1, 0.3, "2.1 mm from the negative end"}}},
                                 {2, {}}});
  CHECK(findings.findings[0].reason ==
        "teal, rough; C7 may be the source: 2.1 mm from the negative end");
  CHECK(findings.findings[1].reason == "white");
}
