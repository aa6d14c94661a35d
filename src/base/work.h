// What long work gets from its caller: a way to be stopped and a way to say how far it is.
//
// Every function that costs more than 100 ms on 24 megapixels takes a `const Work&`. May be used
// from any thread; `progress` is called on the thread that does the work.
#pragma once

#include <functional>
#include <stop_token>

#include "base/error.h"

namespace verdigrid {

struct Work {
  std::stop_token stop;                  // default: never stops
  std::function<void(double)> progress;  // share done, 0..1; may be empty

  void report(double share) const {
    if (progress) progress(share);
  }
  // Throws Error{interrupted} once a stop was asked for.
  void check() const {
    if (stop.stop_requested())
      throw Error(ErrorKind::interrupted, "Stopped before it was finished; nothing was written.");
  }
  // The part [from, to] of this work, for a step inside it.
  Work part(double from, double to) const {
    if (!progress) return {stop, {}};
    return {stop, [p = progress, from, to](double share) { p(from + share * (to - from)); }};
  }
};

}  // namespace verdigrid
