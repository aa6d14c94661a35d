// One table of (value, text) per enumeration, read both ways.
#pragma once

#include <array>
#include <optional>
#include <string_view>
#include <utility>

namespace verdigrid {

template <typename E, std::size_t N>
using Words = std::array<std::pair<E, const char*>, N>;

template <typename E, std::size_t N>
const char* word_of(const Words<E, N>& words, E value) {
  for (const auto& [v, text] : words)
    if (v == value) return text;
  return "";
}

template <typename E, std::size_t N>
std::optional<E> value_of(const Words<E, N>& words, std::string_view text) {
  for (const auto& [v, t] : words)
    if (t == text) return v;
  return std::nullopt;
}

}  // namespace verdigrid
