// A number of things in words: "1 speed", "3 speeds".
#pragma once

#include <fmt/format.h>
#include <string>
#include <string_view>

namespace pulsewright::cases {

// count: any integer. noun: in the singular, with a plural in s.
template <class Count>
std::string counted(Count count, std::string_view noun) {
  return fmt::format("{} {}{}", count, noun, count == 1 ? "" : "s");
}

}  // namespace pulsewright::cases
