// Valve lift from a cam card.
//
//   L(theta) = L_max (1 - xi^2)^k,   xi = (theta - centerline) / (centerline - opens)   before the
//   centerline
//                                    xi = (theta - centerline) / (closes - centerline)  after it
//
// One smooth lobe per flank: lift and slope are zero where the valve leaves and meets its seat
// (k > 1), full lift and zero slope at the centerline. The exponent k follows from the duration at
// a checking lift L_c of the follower: the lobe is above it for xi^2 < 1 - (L_c / L_max)^(1/k),
// hence
//   k = ln(L_c / L_max) / ln(1 - (duration / (closes - opens))^2).
// Without that duration k = 2. Lash is taken off the lift afterwards.
//
// The family is our own choice (no source): real lobes have ramps of nearly constant speed at both
// ends and differ in acceleration, which a card does not tell. Where the shape matters, give the
// measured lift table instead.
#pragma once

#include <stdexcept>

#include "cases/quantity_text.hpp"
#include "models/network/specification.hpp"

namespace pulsewright::cases {

struct CamCard {
  double opens_deg = 0;       // deg after firing top dead centre of the cylinder
  double closes_deg = 0;      // deg, > opens_deg
  double centerline_deg = 0;  // deg of full lift, between the two
  double lift = 0;            // m, at the valve, lash included
  double lash = 0;            // m, at the valve
  double duration_deg = 0;    // deg above the checking lift; 0 = not given
  double checking_lift = 0;   // m at the valve (follower lift times rocker ratio)
  double rocker_ratio = 1;    // lift of the valve over that of the follower
};

// A cam card that no lobe of the family fits; the message says why.
class CamError : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

// Exponent k of the lobe. Throws CamError if it would be below 1.05 (the valve would hit its seat
// with speed) or above 12 (the card's figures contradict each other).
double lobe_exponent(const CamCard& card, const QuantityText& shown = {});

// Lift in m at a crank angle, lash not taken off.
double lobe_lift(const CamCard& card, double exponent, double angle_deg);

// Lift curve with lash taken off, a point every degree at most, zero at both ends.
// Throws CamError.
models::LiftCurve lift_from_card(const CamCard& card, const QuantityText& shown = {});

}  // namespace pulsewright::cases
