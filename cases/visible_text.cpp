#include "cases/visible_text.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace pulsewright::cases {
namespace {

unsigned byte_at(std::string_view text, std::size_t i) {
  return i < text.size() ? static_cast<unsigned char>(text[i]) : 0U;
}

// Code point of the character of `bytes` bytes at text[i].
unsigned code_point(std::string_view text, std::size_t i, std::size_t bytes) {
  const unsigned first = byte_at(text, i);
  if (bytes <= 1) return first;
  unsigned code = first & (0xffU >> (bytes + 1));
  for (std::size_t k = 1; k < bytes; ++k) code = code << 6 | (byte_at(text, i + k) & 0x3fU);
  return code;
}

bool is_invisible(unsigned code) {
  const bool control = code < 0x20 || (code >= 0x7f && code <= 0x9f);
  const bool separator = code == 0x2028 || code == 0x2029;
  const bool direction = code == 0x61c || code == 0x200e || code == 0x200f ||
                         (code >= 0x202a && code <= 0x202e) || (code >= 0x2066 && code <= 0x2069);
  return control || separator || direction || code == 0xfeff;
}

}  // namespace

// Table 3-7 of the Unicode Standard, from memory.
std::size_t character_bytes(std::string_view text, std::size_t i) {
  const auto byte = [&](std::size_t k) { return byte_at(text, k); };
  const auto follows = [&](std::size_t k) { return (byte(k) & 0xc0U) == 0x80U; };
  const unsigned first = byte(i);
  if (first < 0x80) return 1;
  if (first >= 0xc2 && first <= 0xdf) return follows(i + 1) ? 2 : 0;
  if (first >= 0xe0 && first <= 0xef) {
    if (first == 0xe0 && byte(i + 1) < 0xa0) return 0;
    if (first == 0xed && byte(i + 1) > 0x9f) return 0;
    return follows(i + 1) && follows(i + 2) ? 3 : 0;
  }
  if (first >= 0xf0 && first <= 0xf4) {
    if (first == 0xf0 && byte(i + 1) < 0x90) return 0;
    if (first == 0xf4 && byte(i + 1) > 0x8f) return 0;
    return follows(i + 1) && follows(i + 2) && follows(i + 3) ? 4 : 0;
  }
  return 0;
}

std::size_t find_invisible(std::string_view text, std::string_view let_through) {
  for (std::size_t i = 0; i < text.size();) {
    const std::size_t bytes = character_bytes(text, i);
    const unsigned code = code_point(text, i, bytes);
    const bool passes = bytes == 1 && let_through.find(text[i]) != std::string_view::npos;
    if (bytes == 0 || (is_invisible(code) && !passes)) return i;
    i += bytes;
  }
  return std::string_view::npos;
}

std::string character_code(std::string_view text, std::size_t i) {
  const std::size_t bytes = character_bytes(text, i);
  if (bytes == 0) return fmt::format("\\x{:02x}", byte_at(text, i));
  return fmt::format("\\u{:04x}", code_point(text, i, bytes));
}

std::string visible(std::string_view text) {
  std::string out;
  while (!text.empty()) {
    const std::size_t at = find_invisible(text);
    out += text.substr(0, at);
    if (at == std::string_view::npos) break;
    out += character_code(text, at);
    text.remove_prefix(at + std::max<std::size_t>(1, character_bytes(text, at)));
  }
  return out;
}

std::string visible_lines(std::string_view text) {
  constexpr std::size_t most_of_line = 2000;
  std::string out;
  while (true) {
    const std::size_t end = text.find('\n');
    out += shortened(text.substr(0, end), most_of_line);
    if (end == std::string_view::npos) return out;
    out += '\n';
    text.remove_prefix(end + 1);
  }
}

std::string shortened(std::string_view text, std::size_t most) {
  // Only so much of a long text is looked at as can be shown.
  std::string out;
  std::size_t end = 0;  // of the last place where it may be cut
  for (std::size_t i = 0; i < text.size();) {
    const std::size_t bytes = character_bytes(text, i);
    const std::size_t length = bytes == 0 ? 1 : bytes;
    out += visible(text.substr(i, length));
    i += length;
    if (out.size() > most) return out.substr(0, end) + "...";
    if (out.size() + 3 <= most) end = out.size();
  }
  return out;
}

}  // namespace pulsewright::cases
