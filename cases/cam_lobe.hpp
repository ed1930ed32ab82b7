// Valve lift from a cam card.
//
//   L(theta) = L_max (1 - s)^k(s),   s = xi^2,
//   xi = (theta - centerline) / (centerline - opens)   before the centerline
//   xi = (theta - centerline) / (closes - centerline)  after it
//
// with opens and closes at the seat. One smooth lobe per flank: lift and slope are zero where the
// valve leaves and meets its seat (k > 1; from k = 2 on the acceleration is finite there), full
// lift and zero slope at the centerline. A duration D at a lift L_c of the lobe belongs to s_c = (D
// / (closes - opens))^2 and asks for
//   k(s_c) = ln(L_c / L_max) / ln(1 - s_c),
// so the lobe passes through every figure of the card:
//   seat timing alone              k = 2
//   seat timing and durations      k is the polynomial in s through the durations; constant for one
//   durations, no seat timing      the two at the least lifts have the same k, which gives the
//                                  duration at the seat; a third bends k
//   one duration, no seat timing   k = 2.5 is assumed: 50 deg from 0.006 in to 0.050 in for a lobe
//                                  of 0.35 in and 230 deg at 0.050 in. From 2 to 3 it is 42 to 57
//                                  deg, what cam catalogues show (common practice, no source)
// Timing at a lift above the seat is a duration at that lift; its two sides of the centerline set
// how the duration at the seat is divided. Lash is taken off the lift afterwards.
//
// The family is our own choice (no source): real lobes have ramps of nearly constant speed at both
// ends and differ in acceleration, which a card does not tell. Where the shape matters, give the
// measured lift table instead.
#pragma once

#include <optional>
#include <stdexcept>
#include <vector>

#include "cases/quantity_text.hpp"
#include "models/network/specification.hpp"

namespace pulsewright::cases {

// Opening and closing at a lift. Angles in deg after firing top dead centre of the cylinder.
struct ValveTiming {
  double lift = 0;  // m at the valve, lash not taken off; 0 = at the seat
  double opens_deg = 0;
  double closes_deg = 0;
};

struct CheckedDuration {
  double lift = 0;  // m at the valve (lift of the follower times rocker ratio), > 0
  double deg = 0;   // above that lift
};

// The figures that a card prints.
struct CamCard {
  std::optional<ValveTiming> timing;
  std::optional<double> centerline_deg;  // of full lift; none: half-way between opens and closes
  std::vector<CheckedDuration> durations;
  double lift = 0;                 // m, at the valve, lash included
  double lash = 0;                 // m, at the valve
  double rocker_ratio = 1;         // lift of the valve over that of the follower
  std::optional<double> exponent;  // k, where the card leaves it open
};

// A lobe: what a card implies at the seat, and its shape.
struct Lobe {
  double opens_deg = 0, closes_deg = 0;  // at the seat, lash not taken off
  double centerline_deg = 0;
  double lift = 0, lash = 0;  // m, at the valve
  double rocker_ratio = 1;
  std::vector<double> card_lifts;  // m, of the follower, at which the card has figures; rising
  // k(s) is the polynomial through these points, one at least.
  struct Exponent {
    double s = 0, k = 0;
  };
  std::vector<Exponent> exponents;
  bool assumed = false;  // k is not from the card
};

// A cam card that no lobe of the family fits; the message says why.
class CamError : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

// Exponents without a duration to tell: seat timing alone, and one duration alone.
inline constexpr double seat_exponent = 2;
inline constexpr double usual_exponent = 2.5;

// Throws CamError: a figure is missing, two of the same lift differ by more than 1 deg (cards are
// printed in whole degrees), a higher lift lasts longer than a lower one, lash or a checking lift
// is not below the full lift, the lift would not rise from the seat to the centerline, or k would
// be below 1.05 (the valve would hit its seat with speed) or above 12.
Lobe lobe_of_card(const CamCard& card, const QuantityText& shown = {});

// Lift in m at a crank angle, lash not taken off.
double lobe_lift(const Lobe& lobe, double angle_deg);

// Where the lobe passes a lift (m at the valve, lash not taken off). None if it does not lift so
// far.
std::optional<ValveTiming> timing_of_lobe(const Lobe& lobe, double lift);

// Lift curve with lash taken off, a point every degree at most, zero at both ends.
models::LiftCurve lift_of_lobe(const Lobe& lobe);

}  // namespace pulsewright::cases
