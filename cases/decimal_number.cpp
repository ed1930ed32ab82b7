#include "cases/decimal_number.hpp"

#include <version>
#ifdef __cpp_lib_to_chars
#include <charconv>
#else
#include <cmath>
#include <cstdlib>
#include <string>
#endif

namespace pulsewright::cases {

#ifdef __cpp_lib_to_chars

std::optional<double> decimal_number(std::string_view text) {
  double number = 0;
  const auto [after, error] = std::from_chars(text.data(), text.data() + text.size(), number);
  if (error != std::errc() || after != text.data() + text.size()) return std::nullopt;
  return number;
}

#else  // the library of clang 14 has no std::from_chars for them

std::optional<double> decimal_number(std::string_view text) {
  // What else std::strtod takes: spaces, a plus, hexadecimal numbers.
  if (text.empty() || text.front() == '+') return std::nullopt;
  if (text.find_first_not_of("0123456789.eE+-") != std::string_view::npos) return std::nullopt;
  const std::string ended(text);
  char* after = nullptr;
  const double number = std::strtod(ended.c_str(), &after);
  if (after != ended.c_str() + ended.size() || !std::isfinite(number)) return std::nullopt;
  return number;
}

#endif

}  // namespace pulsewright::cases
