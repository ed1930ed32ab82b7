#include "cases/cam_lobe.hpp"

#include <cmath>
#include <fmt/format.h>

namespace pulsewright::cases {
namespace {

constexpr double least_exponent = 1.05;
constexpr double greatest_exponent = 12;
constexpr double plain_exponent = 2;

// Angles at which the lobe is at `lift`, before and after the centerline.
double flank(const CamCard& card, double exponent, double lift, double end_deg) {
  const double xi = std::sqrt(1 - std::pow(lift / card.lift, 1 / exponent));
  return card.centerline_deg + xi * (end_deg - card.centerline_deg);
}

}  // namespace

double lobe_exponent(const CamCard& card, const QuantityText& shown) {
  if (!(card.lash < card.lift)) throw CamError("the lash is larger than the lift");
  if (!(card.opens_deg < card.centerline_deg && card.centerline_deg < card.closes_deg)) {
    throw CamError("the valve must open before full lift and close after it");
  }
  if (card.duration_deg == 0) return plain_exponent;
  const double seat = card.closes_deg - card.opens_deg;
  if (!(card.duration_deg < seat)) {
    throw CamError(fmt::format(
        "the duration of {:.1f} deg at the checking lift is not shorter than the {:.1f} deg from "
        "opening to closing",
        card.duration_deg, seat));
  }
  if (!(card.checking_lift < card.lift)) {
    throw CamError("the checking lift is not below the full lift");
  }
  const double ratio = card.duration_deg / seat;
  const double exponent = std::log(card.checking_lift / card.lift) / std::log(1 - ratio * ratio);
  if (!(exponent >= least_exponent && exponent <= greatest_exponent)) {
    throw CamError(fmt::format(
        "a duration of {:.1f} deg at {} does not go with {:.1f} deg from opening to closing "
        "and {} of lift (lobe exponent {:.2f}, possible are {} to {})",
        card.duration_deg, shown.length(card.checking_lift, 3), seat, shown.length(card.lift),
        exponent, least_exponent, greatest_exponent));
  }
  return exponent;
}

double lobe_lift(const CamCard& card, double exponent, double angle_deg) {
  const double end = angle_deg < card.centerline_deg ? card.opens_deg : card.closes_deg;
  const double xi = (angle_deg - card.centerline_deg) / (end - card.centerline_deg);
  if (xi >= 1) return 0;
  return card.lift * std::pow(1 - xi * xi, exponent);
}

models::LiftCurve lift_from_card(const CamCard& card, const QuantityText& shown) {
  const double exponent = lobe_exponent(card, shown);
  const double first = flank(card, exponent, card.lash, card.opens_deg);
  const double last = flank(card, exponent, card.lash, card.closes_deg);
  models::LiftCurve curve;
  const auto add = [&](double from, double to, bool with_end) {
    const int steps = std::max(4, static_cast<int>(std::ceil(to - from)));
    for (int i = 0; i < steps + (with_end ? 1 : 0); ++i) {
      const double angle = i == steps ? to : from + (to - from) * i / steps;
      curve.angle_deg.push_back(angle);
      curve.lift.push_back(std::max(0.0, lobe_lift(card, exponent, angle) - card.lash));
    }
  };
  // The centerline is a point of its own, so that full lift is met exactly.
  add(first, card.centerline_deg, false);
  add(card.centerline_deg, last, true);
  curve.lift.front() = 0;
  curve.lift.back() = 0;
  return curve;
}

}  // namespace pulsewright::cases
