// Specs drawn at random from a seed: boards, other units of one type, boards after the wash,
// cameras. Plausible mixes, no particular board.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "synthetic/camera.h"
#include "synthetic/spec.h"

namespace verdigrid::synthetic {

struct BoardOptions {
  std::optional<cv::Size2d> size_mm;  // empty: 80x60 to 240x180
  std::optional<MaskColour> mask;     // empty: any
  std::optional<Side> side;           // empty: front
  std::vector<Residue> residues;      // only these; empty: all six classes are possible
  double residue_amount = 0.5;        // 0: none at all, 1: heavy damage
  double part_density = 0.7;          // 0..1
};

BoardSpec random_board(std::uint64_t seed, const BoardOptions& options = {});

// Another unit of the same type: same traces, printing and places; other dirt, wear, deposits and
// part marks. `gone` parts (at random) are not fitted.
BoardSpec other_unit(const BoardSpec& board, std::uint64_t unit_seed,
                     const BoardOptions& options = {}, int gone = 0);

// The same unit after the wash: of the deposits each one goes with probability `removed`, half of
// the others are thinner, dirt is mostly gone, `gone` parts were taken off, `fresh` new deposits
// came. Eaten copper and attacked joints are damage, not dirt: they stay unless `removed` is 1.
BoardSpec washed(const BoardSpec& board, std::uint64_t seed, double removed, int gone = 0,
                 int fresh = 0);

// Deposits for a board as it stands: cans and batteries leak, iron rusts, copper blooms.
std::vector<Deposit> random_deposits(const BoardSpec& board, std::uint64_t seed,
                                     const BoardOptions& options);

struct CameraOptions {
  double tilt_at_most_deg = 10;
  double k1_at_most = 0.08;         // |k1|
  double rotation_at_most_deg = 3;  // 180: any
  double glare_probability = 0.2;
  double defocus_at_most_px = 0.9;
  double noise_at_most = 0.012;
  double white_balance_error = 0.06;  // sd of the gains' logarithm
};

CameraSpec random_camera(std::uint64_t seed, cv::Size photo_px, const CameraOptions& options = {});

}  // namespace verdigrid::synthetic
