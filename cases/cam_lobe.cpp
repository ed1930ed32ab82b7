#include "cases/cam_lobe.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace pulsewright::cases {
namespace {

constexpr double least_exponent = 1.05;
constexpr double greatest_exponent = 12;
constexpr double printed_deg = 1;  // two figures of one lift may differ by that

// k(s), the Lagrange polynomial through the points of the lobe.
double exponent_at(const Lobe& lobe, double s) {
  const auto& points = lobe.exponents;
  if (points.size() == 1) return points.front().k;
  double k = 0;
  for (const auto& own : points) {
    double weight = 1;
    for (const auto& other : points) {
      if (&other != &own) weight *= (s - other.s) / (own.s - other.s);
    }
    k += own.k * weight;
  }
  return k;
}

// Where the lobe is at `lift`, 0 at the centerline and 1 at the seat.
double flank(const Lobe& lobe, double lift) {
  if (lobe.exponents.size() == 1) {
    return std::sqrt(1 - std::pow(lift / lobe.lift, 1 / lobe.exponents.front().k));
  }
  double inside = 0, outside = 1;
  for (int i = 0; i < 60; ++i) {
    const double middle = 0.5 * (inside + outside);
    const double s = middle * middle;
    (lobe.lift * std::pow(1 - s, exponent_at(lobe, s)) > lift ? inside : outside) = middle;
  }
  return lift > 0 ? 0.5 * (inside + outside) : 1;
}

// Every duration of the card by rising lift, that of its timing included.
std::vector<CheckedDuration> durations_of(const CamCard& card, const QuantityText& shown) {
  constexpr double same_lift = 1e-6;  // m
  std::vector<CheckedDuration> out;
  const auto add = [&](const CheckedDuration& one) {
    const auto twin = std::find_if(out.begin(), out.end(), [&](const CheckedDuration& earlier) {
      return std::abs(earlier.lift - one.lift) < same_lift;
    });
    if (twin == out.end()) {
      out.push_back(one);
    } else if (std::abs(twin->deg - one.deg) > printed_deg) {
      throw CamError(fmt::format(
          "the card has {:.1f} deg and {:.1f} deg at the same lift of {} (at the valve)", twin->deg,
          one.deg, shown.length(one.lift, 3)));
    }
  };
  if (card.timing && card.timing->lift > 0) {
    add({card.timing->lift, card.timing->closes_deg - card.timing->opens_deg});
  }
  for (const CheckedDuration& one : card.durations) add(one);
  std::sort(out.begin(), out.end(), [](const auto& a, const auto& b) { return a.lift < b.lift; });
  return out;
}

void check_durations(const std::vector<CheckedDuration>& durations, double full_lift,
                     const QuantityText& shown) {
  for (std::size_t i = 0; i < durations.size(); ++i) {
    if (!(durations[i].lift < full_lift)) {
      throw CamError("the checking lift is not below the full lift");
    }
    if (i == 0 || durations[i].deg < durations[i - 1].deg) continue;
    throw CamError(fmt::format(
        "the {:.1f} deg at {} are not shorter than the {:.1f} deg at the lower lift of {}",
        durations[i].deg, shown.length(durations[i].lift, 3), durations[i - 1].deg,
        shown.length(durations[i - 1].lift, 3)));
  }
}

// Duration at the seat for which two durations have the same exponent:
//   ln(1 - u) / ln(1 - r u) = ln(l1 / L) / ln(l2 / L),   u = (D1 / seat)^2,  r = (D2 / D1)^2.
// The left side rises with u from 1 / r to infinity.
double seat_of_two(const CheckedDuration& low, const CheckedDuration& high, double full_lift,
                   const QuantityText& shown) {
  const double r = (high.deg / low.deg) * (high.deg / low.deg);
  const double wanted = std::log(low.lift / full_lift) / std::log(high.lift / full_lift);
  if (!(wanted * r > 1)) {
    throw CamError(
        fmt::format("{:.1f} deg at {} and {:.1f} deg at {} belong to no lobe of {}: they lie too "
                    "far apart",
                    low.deg, shown.length(low.lift, 3), high.deg, shown.length(high.lift, 3),
                    shown.length(full_lift)));
  }
  double least = 0, greatest = 1;
  for (int i = 0; i < 200; ++i) {
    const double u = 0.5 * (least + greatest);
    (std::log1p(-u) < wanted * std::log1p(-r * u) ? greatest : least) = u;
  }
  return low.deg / std::sqrt(0.5 * (least + greatest));
}

// Duration at the seat, deg.
double seat_duration(const CamCard& card, const std::vector<CheckedDuration>& durations,
                     const QuantityText& shown) {
  if (card.timing && card.timing->lift == 0)
    return card.timing->closes_deg - card.timing->opens_deg;
  if (durations.empty()) throw CamError("the card has neither timing nor a duration");
  if (durations.size() > 1) return seat_of_two(durations[0], durations[1], card.lift, shown);
  const double k = card.exponent.value_or(usual_exponent);
  return durations[0].deg / std::sqrt(1 - std::pow(durations[0].lift / card.lift, 1 / k));
}

void set_exponents(Lobe& lobe, const CamCard& card, const std::vector<CheckedDuration>& durations) {
  const double seat = lobe.closes_deg - lobe.opens_deg;
  const bool seat_given = card.timing && card.timing->lift == 0;
  if (durations.empty() || (durations.size() == 1 && !seat_given)) {
    lobe.assumed = true;
    lobe.exponents = {{0, card.exponent.value_or(seat_given ? seat_exponent : usual_exponent)}};
    return;
  }
  for (const CheckedDuration& one : durations) {
    if (!(one.deg < seat)) {
      throw CamError(
          fmt::format("the duration of {:.1f} deg at the checking lift is not shorter than the "
                      "{:.1f} deg from opening to closing",
                      one.deg, seat));
    }
    const double ratio = one.deg / seat;
    lobe.exponents.push_back(
        {ratio * ratio, std::log(one.lift / card.lift) / std::log(1 - ratio * ratio)});
  }
  // The seat was chosen so that the first two are the same.
  if (!seat_given && durations.size() == 2) lobe.exponents.pop_back();
}

// The exponent within its limits, and lift that falls from the centerline to the seat.
void check_shape(const Lobe& lobe, const std::vector<CheckedDuration>& durations,
                 const QuantityText& shown) {
  constexpr int steps = 200;
  double before = 0;
  for (int i = 0; i <= steps; ++i) {
    const double s = static_cast<double>(i) / steps;
    const double k = exponent_at(lobe, s);
    if (!(k >= least_exponent && k <= greatest_exponent)) {
      std::string figures;
      for (const CheckedDuration& one : durations) {
        figures += fmt::format("{}{:.1f} deg at {}", figures.empty() ? "" : " and ", one.deg,
                               shown.length(one.lift, 3));
      }
      throw CamError(fmt::format(
          "a duration of {} does not go with {:.1f} deg from opening to closing at the seat and {} "
          "of lift (lobe exponent {:.2f}, possible are {} to {})",
          figures, lobe.closes_deg - lobe.opens_deg, shown.length(lobe.lift), k, least_exponent,
          greatest_exponent));
    }
    if (i == 0 || i == steps) continue;
    const double logarithm = k * std::log1p(-s);
    if (!(logarithm < before)) {
      throw CamError("the durations of the card belong to a lobe whose lift falls and rises again");
    }
    before = logarithm;
  }
}

}  // namespace

Lobe lobe_of_card(const CamCard& card, const QuantityText& shown) {
  if (!(card.lash < card.lift)) throw CamError("the lash is larger than the lift");
  const auto& timing = card.timing;
  if (!timing && !card.centerline_deg) throw CamError("the card does not say where full lift is");
  Lobe lobe;
  lobe.lift = card.lift;
  lobe.lash = card.lash;
  lobe.rocker_ratio = card.rocker_ratio;
  lobe.centerline_deg =
      card.centerline_deg ? *card.centerline_deg : (timing->opens_deg + timing->closes_deg) / 2;
  if (timing &&
      !(timing->opens_deg < lobe.centerline_deg && lobe.centerline_deg < timing->closes_deg)) {
    throw CamError("the valve must open before full lift and close after it");
  }
  const std::vector<CheckedDuration> durations = durations_of(card, shown);
  for (const CheckedDuration& one : durations) {
    lobe.card_lifts.push_back(one.lift / card.rocker_ratio);
  }
  check_durations(durations, card.lift, shown);
  if (timing && timing->lift == 0) {
    lobe.opens_deg = timing->opens_deg;
    lobe.closes_deg = timing->closes_deg;
  } else {
    const double seat = seat_duration(card, durations, shown);
    const double opening = timing ? (lobe.centerline_deg - timing->opens_deg) /
                                        (timing->closes_deg - timing->opens_deg)
                                  : 0.5;
    lobe.opens_deg = lobe.centerline_deg - opening * seat;
    lobe.closes_deg = lobe.centerline_deg + (1 - opening) * seat;
  }
  set_exponents(lobe, card, durations);
  check_shape(lobe, durations, shown);
  return lobe;
}

double lobe_lift(const Lobe& lobe, double angle_deg) {
  const double end = angle_deg < lobe.centerline_deg ? lobe.opens_deg : lobe.closes_deg;
  const double xi = (angle_deg - lobe.centerline_deg) / (end - lobe.centerline_deg);
  if (xi >= 1) return 0;
  return lobe.lift * std::pow(1 - xi * xi, exponent_at(lobe, xi * xi));
}

std::optional<ValveTiming> timing_of_lobe(const Lobe& lobe, double lift) {
  if (lift >= lobe.lift) return std::nullopt;
  const double end = flank(lobe, lift);
  return ValveTiming{lift, lobe.centerline_deg + end * (lobe.opens_deg - lobe.centerline_deg),
                     lobe.centerline_deg + end * (lobe.closes_deg - lobe.centerline_deg)};
}

models::LiftCurve lift_of_lobe(const Lobe& lobe) {
  const ValveTiming open = timing_of_lobe(lobe, lobe.lash).value_or(ValveTiming{});
  const double first = open.opens_deg;
  const double last = open.closes_deg;
  models::LiftCurve curve;
  const auto add = [&](double from, double to, bool with_end) {
    const int steps = std::max(4, static_cast<int>(std::ceil(to - from)));
    for (int i = 0; i < steps + (with_end ? 1 : 0); ++i) {
      const double angle = i == steps ? to : from + (to - from) * i / steps;
      curve.angle_deg.push_back(angle);
      curve.lift.push_back(std::max(0.0, lobe_lift(lobe, angle) - lobe.lash));
    }
  };
  // The centerline is a point of its own, so that full lift is met exactly.
  add(first, lobe.centerline_deg, false);
  add(lobe.centerline_deg, last, true);
  curve.lift.front() = 0;
  curve.lift.back() = 0;
  return curve;
}

}  // namespace pulsewright::cases
