// Text from files and people as well-formed UTF-8, for the libraries that insist on it.
#pragma once

#include <string>
#include <string_view>

namespace verdigrid {

// Every byte that is part of no well-formed sequence (The Unicode Standard, table 3-7), and every
// zero, becomes U+FFFD.
std::string valid_utf8(std::string_view text);

}  // namespace verdigrid
