#include "detect/half_weights.h"

#include <cstring>
#include <opencv2/core.hpp>

#include "base/error.h"

namespace verdigrid {
namespace {

using View = std::span<const std::byte>;

constexpr std::uint64_t k_float = 1, k_float16 = 10;  // of TensorProto's data_type
constexpr int k_graph = 7, k_initializer = 5, k_data_type = 2, k_raw_data = 9;
constexpr unsigned k_varint = 0, k_eight_bytes = 1, k_counted = 2, k_four_bytes = 5;

struct Field {
  int number = 0;
  unsigned wire = 0;
  std::uint64_t value = 0;  // of a varint
  View bytes;               // of what is counted
  View whole;               // the field as it stands, key and all
};

[[noreturn]] void refuse() {
  throw Error(ErrorKind::bad_input, "the weights are cut short or damaged");
}

std::uint64_t take_varint(View& rest) {
  std::uint64_t value = 0;
  for (unsigned shift = 0; shift < 64; shift += 7) {
    if (rest.empty()) refuse();
    const auto byte = std::to_integer<std::uint64_t>(rest.front());
    rest = rest.subspan(1);
    value |= (byte & 127U) << shift;
    if (byte < 128) return value;
  }
  refuse();
}

View take(View& rest, std::uint64_t size) {
  if (size > rest.size()) refuse();
  const View taken = rest.first(static_cast<std::size_t>(size));
  rest = rest.subspan(taken.size());
  return taken;
}

Field take_field(View& rest) {
  const View start = rest;
  const std::uint64_t key = take_varint(rest);
  Field f;
  f.number = static_cast<int>(key >> 3U);
  f.wire = static_cast<unsigned>(key & 7U);
  if (f.wire == k_varint)
    f.value = take_varint(rest);
  else if (f.wire == k_eight_bytes)
    take(rest, 8);
  else if (f.wire == k_four_bytes)
    take(rest, 4);
  else if (f.wire == k_counted)
    f.bytes = take(rest, take_varint(rest));
  else
    refuse();
  f.whole = start.first(start.size() - rest.size());
  return f;
}

void put(Bytes& out, View bytes) { out.insert(out.end(), bytes.begin(), bytes.end()); }

void put_varint(Bytes& out, std::uint64_t value) {
  for (; value > 127; value >>= 7U) out.push_back(static_cast<std::byte>((value & 127U) | 128U));
  out.push_back(static_cast<std::byte>(value));
}

void put_counted(Bytes& out, int number, View bytes) {
  put_varint(out, (static_cast<std::uint64_t>(number) << 3U) | k_counted);
  put_varint(out, bytes.size());
  put(out, bytes);
}

Bytes widened_values(View halves) {
  if (halves.size() % 2 != 0) refuse();
  Bytes out(2 * halves.size());
  for (std::size_t i = 0; i < halves.size() / 2; ++i) {
    ushort bits = 0;
    std::memcpy(&bits, halves.data() + 2 * i, sizeof bits);
    const float wide = cv::float16_t::fromBits(bits);
    std::memcpy(out.data() + sizeof wide * i, &wide, sizeof wide);
  }
  return out;
}

// Copies a message with each field of that number rewritten.
template <typename Changed>
Bytes copied(View message, int number, Changed changed) {
  Bytes out;
  while (!message.empty()) {
    const Field f = take_field(message);
    if (f.number == number && f.wire == k_counted)
      put_counted(out, number, changed(f.bytes));
    else
      put(out, f.whole);
  }
  return out;
}

bool is_half(View tensor) {
  while (!tensor.empty()) {
    const Field f = take_field(tensor);
    if (f.number == k_data_type && f.wire == k_varint) return f.value == k_float16;
  }
  return false;
}

Bytes widened_tensor(View tensor) {
  if (!is_half(tensor)) return {tensor.begin(), tensor.end()};
  Bytes out;
  while (!tensor.empty()) {
    const Field f = take_field(tensor);
    if (f.number == k_data_type && f.wire == k_varint) {
      put_varint(out, static_cast<std::uint64_t>(k_data_type) << 3U);
      put_varint(out, k_float);
    } else if (f.number == k_raw_data && f.wire == k_counted) {
      put_counted(out, k_raw_data, widened_values(f.bytes));
    } else {
      put(out, f.whole);
    }
  }
  return out;
}

}  // namespace

Bytes widened_weights(View onnx) {
  return copied(onnx, k_graph,
                [](View graph) { return copied(graph, k_initializer, widened_tensor); });
}

}  // namespace verdigrid
