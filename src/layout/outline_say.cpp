#include "layout/outline_say.h"

#include <fmt/format.h>

#include <cmath>

#include "base/error.h"

namespace verdigrid {

namespace {
constexpr double k_largest_mm = 1e6;
}  // namespace

Polygon said_outline(const std::vector<Polyline>& pieces, double gap_mm, std::string_view where,
                     std::vector<std::string>& remarks) {
  if (pieces.size() > 20'000)
    throw Error(ErrorKind::bad_input,
                fmt::format("{}: {} pieces of outline are more than any board has; check that the "
                            "right layer was exported.",
                            where, pieces.size()));
  for (const Polyline& line : pieces)
    for (const cv::Point2d& p : line)
      if (!(std::abs(p.x) <= k_largest_mm && std::abs(p.y) <= k_largest_mm))
        throw Error(
            ErrorKind::bad_input,
            fmt::format("{}: the outline reaches {:g}, {:g} mm, which no board does; export "
                        "it again.",
                        where, p.x, p.y));
  const JoinedOutline joined = joined_outline(pieces, gap_mm);
  if (pieces.empty())
    remarks.emplace_back("The file has no outline.");
  else if (joined.outline.empty())
    remarks.emplace_back("The edge pieces of the file close no outline.");
  if (!joined.others.empty())
    remarks.push_back(fmt::format("The file has {} separate outlines; the largest was taken.",
                                  joined.others.size() + 1));
  for (double missing : joined.gaps)
    remarks.push_back(
        fmt::format("The outline was open by {:.2f} mm and was closed straight.", missing));
  if (joined.loose > 0)
    remarks.push_back(fmt::format("{} edge pieces close nothing and were left out.", joined.loose));
  return joined.outline;
}

}  // namespace verdigrid
