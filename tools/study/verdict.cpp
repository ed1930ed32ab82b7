#include "tools/study/verdict.hpp"

#include <algorithm>
#include <cmath>

namespace pulsewright::tools {

namespace {

double widening(const IntervalParts& p) {
  return std::sqrt(p.grid * p.grid + p.cycle * p.cycle + p.build * p.build + p.speeds * p.speeds);
}

// The share of [low, high] above `floor`.
double share_above(double low, double high, double floor) {
  if (low > floor) return 1.0;
  return high > floor ? (high - floor) / (high - low) : 0.0;
}

}  // namespace

double Difference::low() const {
  return value + parts.merge_low + std::min(0.0, parts.gas) - widening(parts);
}

double Difference::high() const {
  return value + parts.merge_high + std::max(0.0, parts.gas) + widening(parts);
}

Difference Difference::reversed() const {
  Difference other = *this;
  other.value = -value;
  other.parts.merge_low = -parts.merge_high;
  other.parts.merge_high = -parts.merge_low;
  other.parts.gas = -parts.gas;
  return other;
}

Verdict verdict_of(const Difference& d, double floor) {
  if (!d.complete || !std::isfinite(d.value)) return Verdict::none;
  const double above = share_above(d.low(), d.high(), floor);
  const double below = share_above(-d.high(), -d.low(), floor);
  if (above == 1.0) return Verdict::ahead;
  if (below == 1.0) return Verdict::behind;
  if (above >= probable_share) return Verdict::probably_ahead;
  if (below >= probable_share) return Verdict::probably_behind;
  return Verdict::too_close;
}

Verdict reversed(Verdict verdict) {
  switch (verdict) {
    case Verdict::ahead:
      return Verdict::behind;
    case Verdict::probably_ahead:
      return Verdict::probably_behind;
    case Verdict::probably_behind:
      return Verdict::probably_ahead;
    case Verdict::behind:
      return Verdict::ahead;
    case Verdict::too_close:
    case Verdict::none:
      break;
  }
  return verdict;
}

std::string_view verdict_name(Verdict verdict) {
  switch (verdict) {
    case Verdict::ahead:
      return "ahead";
    case Verdict::probably_ahead:
      return "probably ahead";
    case Verdict::too_close:
      return "too close to call";
    case Verdict::probably_behind:
      return "probably behind";
    case Verdict::behind:
      return "behind";
    case Verdict::none:
      break;
  }
  return "no verdict";
}

}  // namespace pulsewright::tools
