// Damages a file as storage and transport do: bits that flip, bytes that change, blocks that are
// zeroed, exchanged or cut off. Every damage follows from its seed.
#pragma once

#include <algorithm>
#include <cstddef>
#include <string>
#include <vector>

#include "tests/results/invented_study.hpp"

namespace pulsewright::tests {

struct Damage {
  std::string text;  // what was done, for the message of a failed test
  std::vector<char> bytes;
};

inline Damage damaged(std::vector<char> bytes, std::uint64_t seed) {
  InventedNumbers numbers(seed);
  const std::size_t at = numbers.bits() % bytes.size();
  const auto flip = [&](std::size_t place, unsigned bit) {
    bytes[place] = static_cast<char>(static_cast<unsigned char>(bytes[place]) ^ (1U << bit));
  };
  // A block as disks have them.
  constexpr std::size_t block = 512;
  const std::size_t start = at / block * block;
  const std::size_t length = std::min(block, bytes.size() - start);
  const std::string where = " at byte " + std::to_string(at);
  // Most are flipped bits: they are the hardest to see.
  switch (numbers.bits() % 10) {
    case 0: {
      const auto value = static_cast<char>(numbers.bits());
      bytes[at] = bytes[at] == value ? static_cast<char>(~value) : value;
      return {"another byte" + where, std::move(bytes)};
    }
    case 1:
      std::fill_n(bytes.begin() + static_cast<std::ptrdiff_t>(start), length, '\0');
      return {"a block of zeros" + where, std::move(bytes)};
    case 2: {
      const std::size_t other = numbers.bits() % (bytes.size() / block) * block;
      const std::size_t both = std::min({length, bytes.size() - other});
      std::swap_ranges(
          bytes.begin() + static_cast<std::ptrdiff_t>(start),
          bytes.begin() + static_cast<std::ptrdiff_t>(start + (start == other ? 0 : both)),
          bytes.begin() + static_cast<std::ptrdiff_t>(other));
      return {"a block exchanged with that at " + std::to_string(other) + where, std::move(bytes)};
    }
    case 3:
      bytes.resize(at);
      return {"cut off" + where, std::move(bytes)};
    default: {
      const auto bit = static_cast<unsigned>(numbers.bits() % 8);
      flip(at, bit);
      return {"bit " + std::to_string(bit) + " flipped" + where, std::move(bytes)};
    }
  }
}

}  // namespace pulsewright::tests
