#include "models/boundary/tube_ring.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include "models/boundary/direction.hpp"

namespace pulsewright::models {

namespace {

constexpr double jet_time = 0.3;           // in D/c
constexpr double jet_mach = 6.0;           // rise of the jet's pressure with the square of its M
constexpr double jet_limit = 0.051;        // pressure of the merge that halves it, across the axis
constexpr double jet_fade = 0.45;          // excess of area over which the jets lose the tubes
constexpr double most_sine = 0.7072;       // of the half angle
constexpr double least_sine_ratio = 0.5;   // smallest over largest of the tubes
constexpr double least_area_ratio = 0.25;  // likewise
constexpr std::size_t most_tubes = 8;

// The one pipe that all others lead into.
std::optional<std::size_t> collector_of(std::span<const Vector> directions) {
  std::optional<std::size_t> found;
  for (std::size_t c = 0; c < directions.size(); ++c) {
    bool opposite = directions.size() > 2;
    for (std::size_t k = 0; k < directions.size(); ++k) {
      if (k != c && !(dot(directions[k], directions[c]) < -std::sqrt(0.5) + 1e-9)) opposite = false;
    }
    if (opposite && found) return std::nullopt;
    if (opposite) found = c;
  }
  return found;
}

// Two unit vectors across the axis.
std::array<Vector, 2> across(const Vector& axis) {
  const std::size_t least = std::abs(axis[0]) < 0.6 ? 0 : std::abs(axis[1]) < 0.6 ? 1 : 2;
  Vector first{};
  first[least] = 1;
  const double along = axis[least];
  for (std::size_t i = 0; i < 3; ++i) first[i] -= along * axis[i];
  const double length = std::sqrt(dot(first, first));
  for (double& x : first) x /= length;
  return {first,
          Vector{axis[1] * first[2] - axis[2] * first[1], axis[2] * first[0] - axis[0] * first[2],
                 axis[0] * first[1] - axis[1] * first[0]}};
}

// Lag of first order; g: half of the step over its time.
double lag(double& state, double x, double g) {
  const double v = (x - state) * g / (1.0 + g);
  const double y = v + state;
  state = y + v;
  return y;
}

// All-pass of second order; g: half of the step times its angular frequency, k: twice its damping.
double all_pass(double& s1, double& s2, double x, double g, double k) {
  const double high = (x - (k + g) * s1 - s2) / (1.0 + k * g + g * g);
  const double band = g * high + s1;
  const double low = g * band + s2;
  s1 = g * high + band;
  s2 = g * band + low;
  return x - 2.0 * k * band;
}

}  // namespace

TubeRing::TubeRing(std::span<const Vector> directions, std::span<const double> areas,
                   const JunctionConstants& constants)
    : constants_(constants) {
  const auto collector = collector_of(directions);
  if (!collector || directions.size() > most_tubes + 1) return;
  const Vector& axis = directions[*collector];
  const auto plane = across(axis);
  std::vector<Tube> tubes;
  double area = 0, most = 0, least = 1, largest = 0, smallest = 1e300;
  for (std::size_t k = 0; k < directions.size(); ++k) {
    if (k == *collector) continue;
    const double x = dot(directions[k], plane[0]);
    const double y = dot(directions[k], plane[1]);
    const double sine = std::sqrt(x * x + y * y);
    most = std::max(most, sine);
    least = std::min(least, sine);
    largest = std::max(largest, areas[k]);
    smallest = std::min(smallest, areas[k]);
    area += areas[k];
    tubes.push_back({k, areas[k], sine, {x / sine, y / sine}});
  }
  if (!(least > 1e-3 && least >= least_sine_ratio * most && most <= most_sine &&
        smallest >= least_area_ratio * largest)) {
    return;
  }
  const double n = static_cast<double>(tubes.size());
  diameter_ = std::sqrt(4.0 * area / (n * std::numbers::pi));
  eta_ = std::min(0.5, area / (area + areas[*collector]));
  meets_ = std::clamp(1.0 - (areas[*collector] / area - 1.0) / jet_fade, 0.0, 1.0);
  for (Tube& t : tubes) t.weight /= area;

  // Least squares onto cos and sin of the place, along each principal axis that the tubes span.
  double xx = 0, xy = 0, yy = 0;
  for (const Tube& t : tubes) {
    xx += t.weight * t.unit[0] * t.unit[0];
    xy += t.weight * t.unit[0] * t.unit[1];
    yy += t.weight * t.unit[1] * t.unit[1];
  }
  const double turn = 0.5 * std::atan2(2.0 * xy, xx - yy);
  projection_.assign(tubes.size() * tubes.size(), 0.0);
  for (const double angle : {turn, turn + 0.5 * std::numbers::pi}) {
    const std::array<double, 2> e{std::cos(angle), std::sin(angle)};
    const double spread = xx * e[0] * e[0] + 2.0 * xy * e[0] * e[1] + yy * e[1] * e[1];
    if (spread < 1e-6) continue;
    for (std::size_t k = 0; k < tubes.size(); ++k) {
      for (std::size_t j = 0; j < tubes.size(); ++j) {
        const double at_k = tubes[k].unit[0] * e[0] + tubes[k].unit[1] * e[1];
        const double at_j = tubes[j].unit[0] * e[0] + tubes[j].unit[1] * e[1];
        projection_[k * tubes.size() + j] += at_k * at_j * tubes[j].weight / spread;
      }
    }
  }
  tubes_ = std::move(tubes);
  difference_.resize(tubes_.size());
}

double TubeRing::jet_pressure(std::size_t k) const {
  double sum = 0;
  for (const Tube& j : tubes_) {
    const double cosine = tubes_[k].unit[0] * j.unit[0] + tubes_[k].unit[1] * j.unit[1];
    sum += j.jet * (2.0 * cosine * cosine - 1.0 - cosine);
  }
  return constants_.jet_share * meets_ * sum;
}

void TubeRing::advance(double dt, double p, double c, std::span<const double> wall,
                       std::span<const EndFlux<double>> flux, std::span<double> offset) {
  std::fill(offset.begin(), offset.end(), 0.0);
  if (is_empty()) return;
  const double steps = dt * c / diameter_;
  const double of_lag = 0.5 * steps / constants_.lag;
  const double of_ring = 0.5 * steps * constants_.ring_frequency;
  const double of_jet = 1.0 - std::exp(-steps / jet_time);
  double mean = 0;
  for (const Tube& t : tubes_) mean += t.weight * wall[t.pipe];
  for (std::size_t k = 0; k < tubes_.size(); ++k) difference_[k] = wall[tubes_[k].pipe] - mean;
  double sum = 0;
  for (std::size_t k = 0; k < tubes_.size(); ++k) {
    Tube& t = tubes_[k];
    double x = 0;
    for (std::size_t j = 0; j < tubes_.size(); ++j) {
      x += projection_[k * tubes_.size() + j] * difference_[j];
    }
    const double y = difference_[k] - x;
    const double first = all_pass(t.ring_1, t.ring_2, lag(t.first, x, of_lag), of_ring,
                                  2.0 * constants_.ring_damping);
    offset[t.pipe] = eta_ * (x - first + y - lag(t.rest, y, of_lag));
    const EndFlux<double>& f = flux[t.pipe];
    const double head = f.mass < 0 ? 0.5 * f.mass * f.v * t.sine : 0.0;  // across the axis
    const double full = head / (jet_limit * p);
    const double rise = 1.0 + jet_mach * f.v * f.v / (c * c);
    t.jet += of_jet * (head * rise / (1.0 + full * full) - t.jet);
  }
  for (std::size_t k = 0; k < tubes_.size(); ++k) {
    offset[tubes_[k].pipe] += jet_pressure(k);
    sum += tubes_[k].weight * offset[tubes_[k].pipe];
  }
  for (const Tube& t : tubes_) offset[t.pipe] -= sum;
}

}  // namespace pulsewright::models
