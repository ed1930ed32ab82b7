#include "cases/nearest_key.hpp"

#include <algorithm>

namespace pulsewright::cases {
namespace {

char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

}  // namespace

std::size_t edit_distance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> before(b.size() + 1);
  std::vector<std::size_t> last(b.size() + 1);
  std::vector<std::size_t> row(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) last[j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t change = lower(a[i - 1]) == lower(b[j - 1]) ? 0 : 1;
      row[j] = std::min({last[j] + 1, row[j - 1] + 1, last[j - 1] + change});
      if (i > 1 && j > 1 && lower(a[i - 1]) == lower(b[j - 2]) &&
          lower(a[i - 2]) == lower(b[j - 1])) {
        row[j] = std::min(row[j], before[j - 2] + 1);
      }
    }
    before.swap(last);
    last.swap(row);
  }
  return last[b.size()];
}

std::string nearest_key(std::string_view word, const std::vector<std::string>& known) {
  // Long garbage is no mistyped word, and comparing it costs time.
  if (word.size() > 60) return {};
  std::string best;
  std::size_t least = std::max<std::size_t>(1, word.size() / 2) + 1;
  for (const std::string& key : known) {
    const std::size_t distance = edit_distance(word, key);
    // Words that have no letter in common are not each other's slip: no K for an F.
    if (distance < least && distance < std::max(word.size(), key.size())) {
      least = distance;
      best = key;
    }
  }
  return best;
}

}  // namespace pulsewright::cases
