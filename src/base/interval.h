// A measured value with its 95 % interval. Units are those of the value.
#pragma once

namespace verdigrid {

struct Interval {
  double value = 0;
  double low = 0;   // 2.5 % bound, <= value
  double high = 0;  // 97.5 % bound, >= value

  double width() const { return high - low; }
  bool contains(double x) const { return low <= x && x <= high; }
  bool operator==(const Interval&) const = default;
};

}  // namespace verdigrid
