#include "measure/severity.h"

#include <catch2/catch.hpp>

using namespace verdigrid;
namespace limits = severity_limits;

namespace {

Affected with(Residue residue, double mm2, double percent) {
  Affected a{.has_mm = true};
  a.area_mm2[static_cast<size_t>(residue)] = mm2;
  a.percent[static_cast<size_t>(residue)] = percent;
  return a;
}

}  // namespace

TEST_CASE("severity names reach by the table's thresholds, at and just below each") {
  const double below = 0.999;
  CHECK(severity_of({}) == Severity::none);
  CHECK(severity_of(with(Residue::copper_salt, 20, 3)) == Severity::surface);
  CHECK(severity_of(with(Residue::leak_film, 200, limits::k_covered_percent * below)) ==
        Severity::surface);
  CHECK(severity_of(with(Residue::leak_film, 200, limits::k_covered_percent)) ==
        Severity::ask_first);
  CHECK(severity_of(with(Residue::attacked_joint, limits::k_attacked_mm2 * below, 0.1)) ==
        Severity::surface);
  CHECK(severity_of(with(Residue::attacked_joint, limits::k_attacked_mm2, 0.1)) ==
        Severity::copper_attacked);
  CHECK(severity_of(with(Residue::attacked_joint, limits::k_eaten_mm2, 1)) ==
        Severity::copper_attacked);
  CHECK(severity_of(with(Residue::eaten_copper, limits::k_eaten_mm2 * below, 1)) ==
        Severity::copper_attacked);
  CHECK(severity_of(with(Residue::eaten_copper, limits::k_eaten_mm2, 1)) == Severity::ask_first);
}

TEST_CASE("without a scale severity goes by percent") {
  Affected a = with(Residue::eaten_copper, 1e6, limits::k_eaten_percent * 0.999);
  a.has_mm = false;
  CHECK(severity_of(a) == Severity::copper_attacked);
  a.percent[static_cast<size_t>(Residue::eaten_copper)] = limits::k_eaten_percent;
  CHECK(severity_of(a) == Severity::ask_first);
}

TEST_CASE("a board is as bad as its worst square") {
  CHECK(worse(Severity::surface, Severity::copper_attacked) == Severity::copper_attacked);
  CHECK(worse(Severity::ask_first, Severity::none) == Severity::ask_first);
  CHECK(std::string(name(Severity::copper_attacked)) == "copper attacked");
}
