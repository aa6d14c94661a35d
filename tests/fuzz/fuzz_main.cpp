// The libFuzzer program: FUZZ_TARGET in the environment names the reader to try.
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <stdexcept>

#include "tests/fuzz/targets.h"

namespace {

const verdigrid::fuzz::Target* g_target = nullptr;

}  // namespace

extern "C" int LLVMFuzzerInitialize(int*, char***) {
  const char* name = std::getenv("FUZZ_TARGET");
  try {
    g_target = &verdigrid::fuzz::target_named(name ? name : "");
  } catch (const std::out_of_range&) {
    std::fputs("Set FUZZ_TARGET to one of:", stderr);
    for (const auto& target : verdigrid::fuzz::targets()) std::fprintf(stderr, " %s", target.name);
    std::fputs("\n", stderr);
    std::exit(2);
  }
  return 0;
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  verdigrid::fuzz::try_input(*g_target, std::as_bytes(std::span(data, size)));
  return 0;
}
