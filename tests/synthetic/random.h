// Seeded random numbers and smooth noise for the board renderer: the same seed gives the same
// numbers on every machine and any number of threads (integer arithmetic, no library generator).
#pragma once

#include <cstddef>
#include <cstdint>

namespace verdigrid::synthetic {

// One step of SplitMix64 (Steele, Lea, Flood, "Fast splittable pseudorandom number generators",
// OOPSLA 2014) over both words: an independent seed for each (seed, purpose).
std::uint64_t mixed(std::uint64_t seed, std::uint64_t purpose);

class Random {
 public:
  explicit Random(std::uint64_t seed) : state_(seed) {}

  std::uint64_t bits();
  double uniform();                         // [0, 1)
  double uniform(double low, double high);  // [low, high)
  int whole(int low, int high);             // low..high, both included
  double normal();                          // mean 0, sd 1
  bool chance(double probability) { return uniform() < probability; }
  // One element of a container with size() and [].
  template <class Container>
  const auto& pick(const Container& container) {
    return container[static_cast<std::size_t>(whole(0, static_cast<int>(container.size()) - 1))];
  }

 private:
  std::uint64_t state_;
};

// Hash of a lattice point to 0..1.
float lattice(int x, int y, std::uint32_t seed);

// Value noise 0..1 with one lattice point per unit, smooth between them.
float noise(float x, float y, std::uint32_t seed);

// Sum of `octaves` value noises, each of half the size and half the weight; 0..1, mean about 0.5.
float fractal(float x, float y, std::uint32_t seed, int octaves);

}  // namespace verdigrid::synthetic
