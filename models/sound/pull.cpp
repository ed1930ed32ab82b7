#include "models/sound/pull.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

namespace pulsewright::models {

namespace {

constexpr std::size_t block = 64;  // samples between two contents

using Complex = std::complex<double>;

// Real parts of the sums over m of one[m] z^m and of other[m] z^m (Horner).
struct Sums {
  double one, other;
};
Sums sums_of(const OrderContent& one, const OrderContent& other, const Complex& z) {
  const double c = z.real();
  const double s = z.imag();
  double a = 0, b = 0, d = 0, e = 0;  // a + i b, d + i e
  for (std::size_t m = one.size(); m-- > 1;) {
    const double a_plus = a + one[m].real(), b_plus = b + one[m].imag();
    const double d_plus = d + other[m].real(), e_plus = e + other[m].imag();
    a = a_plus * c - b_plus * s;
    b = a_plus * s + b_plus * c;
    d = d_plus * c - e_plus * s;
    e = d_plus * s + e_plus * c;
  }
  return {a, d};
}

void check(const Pull& pull, double limit) {
  if (!(pull.from > 0) || !(pull.to > 0) || !(pull.seconds > 0) || !(pull.sample_rate > 0)) {
    throw std::invalid_argument("sound: a pull needs speeds, a duration and a sample rate");
  }
  if (!(limit > 0) || !(limit < 0.5 * pull.sample_rate)) {
    throw std::invalid_argument("sound: the band must end below half the sample rate");
  }
}

}  // namespace

std::vector<float> pull_sound(const Listening& place, const ContentOverSpeed& content, double limit,
                              const Pull& pull) {
  check(pull, limit);
  std::vector<float> sound(static_cast<std::size_t>(std::lround(pull.seconds * pull.sample_rate)));
  const double rise = (pull.to - pull.from) / pull.seconds;  // rev/s2
  const auto speed_at = [&](double t) { return pull.from + rise * t; };
  const auto pressure_at = [&](std::size_t sample) {
    // Half a sample behind the end at most: a falling speed would not be one there.
    const double t = std::min(static_cast<double>(sample) / pull.sample_rate, pull.seconds);
    return pressure_content(place, content.at(speed_at(t)), limit);
  };
  OrderContent next = pressure_at(0);
  for (std::size_t start = 0; start < sound.size(); start += block) {
    const std::size_t end = std::min(start + block, sound.size());
    OrderContent now = std::move(next);
    next = pressure_at(end);
    OrderContent change = next;
    const std::size_t orders = std::max(now.size(), next.size());
    now.resize(orders);
    change.resize(orders);
    for (std::size_t m = 0; m < orders; ++m) change[m] -= now[m];
    for (std::size_t i = start; i < end; ++i) {
      const double t = static_cast<double>(i) / pull.sample_rate;
      // Cycles since the start, whole ones taken off before they cost digits.
      const double cycles = 0.5 * (pull.from * t + 0.5 * rise * t * t);
      const double theta = 2 * std::numbers::pi * (cycles - std::floor(cycles));
      const Sums sums = sums_of(now, change, std::polar(1.0, theta));
      const double part = static_cast<double>(i - start) / static_cast<double>(end - start);
      sound[i] = static_cast<float>(sums.one + part * sums.other);
    }
  }
  return sound;
}

}  // namespace pulsewright::models
