#include "detect/half_weights.h"

#include <catch2/catch.hpp>
#include <cstring>
#include <string>
#include <vector>

#include "base/error.h"

using namespace verdigrid;

namespace {

// Protobuf by hand (protobuf.dev/programming-guides/encoding): key = field number * 8 + wire type,
// 0 for a varint, 2 for counted bytes; all numbers here fit one byte.
std::string number(int field, int value) {
  return {static_cast<char>(field << 3), static_cast<char>(value)};
}

std::string counted(int field, const std::string& bytes) {
  return std::string{static_cast<char>(field << 3 | 2), static_cast<char>(bytes.size())} + bytes;
}

std::string floats(const std::vector<float>& values) {
  std::string bytes(values.size() * sizeof(float), 0);
  std::memcpy(bytes.data(), values.data(), bytes.size());
  return bytes;
}

// A model whose graph has a node, a tensor of `type` with `raw`, and one of whole numbers.
std::string model(int type, const std::string& raw) {
  const std::string weights =
      number(1, 3) + number(2, type) + counted(8, "weights") + counted(9, raw);
  const std::string shape = number(2, 7) + counted(9, std::string("\x02\0\0\0\0\0\0\0", 8));
  return number(1, 8) + counted(7, counted(1, "node") + counted(5, weights) + counted(5, shape)) +
         counted(8, "opset");
}

std::string widened(const std::string& bytes) {
  const auto out = widened_weights(std::as_bytes(std::span(bytes)));
  return {reinterpret_cast<const char*>(out.data()), out.size()};
}

// IEEE 754 binary16, low byte first: 1, -2.5, the largest number, the least above 0.
const std::string k_halves("\x00\x3C\x00\xC1\xFF\x7B\x01\x00", 8);

}  // namespace

TEST_CASE("half weights are widened and everything else stands", "[detect]") {
  const std::string full = model(1, floats({1.0F, -2.5F, 65504.0F, 0x1p-24F}));
  CHECK(widened(model(10, k_halves)) == full);
  CHECK(widened(full) == full);
  CHECK(widened("").empty());
}

TEST_CASE("weights that are cut short are refused or end between two fields", "[detect]") {
  const std::string whole = model(10, k_halves);
  const std::size_t opset = counted(8, "opset").size();
  for (std::size_t kept = 0; kept < whole.size(); ++kept) {
    const std::string part = whole.substr(0, kept);
    if (kept == 0 || kept == 2 || kept == whole.size() - opset)
      CHECK_NOTHROW(widened(part));
    else
      CHECK_THROWS_AS(widened(part), Error);
  }
  CHECK_THROWS_AS(widened(model(10, "odd")), Error);
  CHECK_THROWS_AS(widened(std::string(12, '\xFF')), Error);     // a number without an end
  CHECK_THROWS_AS(widened(std::string("\x3F\x01", 2)), Error);  // a wire type that is none
}
