#include "tools/report/packed_series.hpp"

#include <cmath>
#include <cstdint>
#include <stdexcept>
#include <vector>
#include <zlib.h>

#include "tools/report/base64.hpp"

namespace pulsewright::tools {

namespace {

std::vector<unsigned char> differences(std::span<const float> values, double step) {
  std::vector<unsigned char> bytes;
  bytes.reserve(2 * values.size());
  std::int64_t last = 0;
  for (const float value : values) {
    const double multiple = static_cast<double>(value) / step;
    // Whole multiples are exact up to here, and their differences have room.
    if (!(std::abs(multiple) < 0x1p53)) {
      throw std::invalid_argument("a series holds no number, or one beyond all measure");
    }
    const std::int64_t now = std::llround(multiple);
    const std::int64_t difference = now - last;
    last = now;
    auto left = (static_cast<std::uint64_t>(difference) << 1U) ^
                static_cast<std::uint64_t>(difference >> 63U);
    while (left >= 0x80U) {
      bytes.push_back(static_cast<unsigned char>(left | 0x80U));
      left >>= 7U;
    }
    bytes.push_back(static_cast<unsigned char>(left));
  }
  return bytes;
}

std::vector<unsigned char> compressed(std::span<const unsigned char> bytes) {
  uLongf size = compressBound(static_cast<uLong>(bytes.size()));
  std::vector<unsigned char> result(size);
  if (compress2(result.data(), &size, bytes.data(), static_cast<uLong>(bytes.size()),
                Z_BEST_COMPRESSION) != Z_OK) {
    throw std::runtime_error("data of the page could not be compressed");
  }
  result.resize(size);
  return result;
}

}  // namespace

std::string pack_series(std::span<const float> values, double step) {
  if (!(step > 0)) throw std::invalid_argument("the step of a series must be positive");
  return base64(compressed(differences(values, step)));
}

std::string pack_text(std::string_view text) {
  return base64(compressed({reinterpret_cast<const unsigned char*>(text.data()), text.size()}));
}

}  // namespace pulsewright::tools
