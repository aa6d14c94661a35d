#include "measure/source_reason.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/error.h"

namespace verdigrid {

void name_nearest_source(Findings& findings, const std::vector<LikelySource>& sources) {
  require(findings.findings.size() == sources.size(), "one list of sources per finding");
  for (std::size_t i = 0; i < sources.size(); ++i) {
    const auto& near = sources[i].candidates;
    const auto nearest = std::min_element(
        near.begin(), near.end(),
        [](const SourceCandidate& a, const SourceCandidate& b) { return a.distance < b.distance; });
    if (nearest != near.end())
      findings.findings[i].reason +=
          fmt::format("; {} may be the source: {}", nearest->designator, nearest->reason);
  }
}

}  // namespace verdigrid
