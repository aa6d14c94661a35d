// When a part counts as reached.
#pragma once

namespace verdigrid {

struct ReachOptions {
  // Electrolyte creeps further than it shows: a part is reached when residue comes within this of
  // its body or lands.
  double creep_mm = 0.5;
  double creep_of_diagonal = 0.002;  // the same without a scale: share of the board's diagonal
  double land_mm = 1.6;  // diameter of a land whose size the layout does not know; only with scale

  void check() const;  // throws Error{wrong_use} that names the wrong field
};

}  // namespace verdigrid
