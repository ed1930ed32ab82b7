#include "tools/report/base64.hpp"

namespace pulsewright::tools {

std::string base64(std::span<const unsigned char> bytes) {
  constexpr char letters[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string text;
  text.reserve(4 * (bytes.size() + 2) / 3);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    const auto byte = [&](std::size_t k) {
      return k < bytes.size() ? static_cast<unsigned>(bytes[k]) : 0U;
    };
    const unsigned three = byte(i) << 16U | byte(i + 1) << 8U | byte(i + 2);
    text += letters[three >> 18U & 63U];
    text += letters[three >> 12U & 63U];
    text += i + 1 < bytes.size() ? letters[three >> 6U & 63U] : '=';
    text += i + 2 < bytes.size() ? letters[three & 63U] : '=';
  }
  return text;
}

}  // namespace pulsewright::tools
