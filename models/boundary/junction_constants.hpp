// Constants of the momentum law of a junction, each with the band within which its sources cannot
// tell it, and what it was fitted to.
//
// "Reference": the own three-dimensional Euler computation of pulses through merges, method and
// grid errors stated (validation/merge_reference). Fitted on 16 of its cases, the others only check
// (tools/dev/decisions/0029-the-merge-held-against-three-dimensions.md). The band is the scatter of
// the best value between geometries, or the range over which the error of the fit rises by a
// tenth, whichever is wider. "Measured": Bassett, Winterbone & Pearson (2001) and Wang, Lu, Deng &
// Qu (2015), steady losses of junctions of three pipes.
#pragma once

#include <array>
#include <string_view>

#include "models/boundary/specification.hpp"

namespace pulsewright::models {

// All are pure numbers; D: diameter of the tubes, c: speed of sound, theta: angle of a tube to the
// axis of the collector.
struct JunctionConstants {
  double volume = 0.12;            // of the content, over largest area x its radius
  double lag = 0.73;               // time D/c over which the tubes' pressures become equal
  double ring_frequency = 2.3;     // angular frequency of the ring of tubes, in c/D
  double ring_damping = 0.11;      // its damping ratio
  double jet_share = 0.26;         // of the jets' heads that tells the tubes apart, tube_ring.hpp
  double turning_loss = 1.3;       // heads, gas that turns back round the crotch
  double contraction_loss = 0.20;  // of the head of the difference of velocity, v > w
  double dividing_relief = 0.65;   // part of the loss that dividing flow does not have
};

struct JunctionConstant {
  std::string_view name;
  double JunctionConstants::*value;
  double weak, strong;  // the ends of the band
  std::string_view source;
};

inline constexpr std::array<JunctionConstant, 8> junction_constants{{
    {"volume", &JunctionConstants::volume, 0.18, 0.08,
     "reference: rise of the pulse in the collector"},
    {"lag", &JunctionConstants::lag, 0.95, 0.55, "reference: arrival in the silent tubes"},
    {"ring_frequency", &JunctionConstants::ring_frequency, 2.1, 2.5,
     "reference: period of the oscillation in the tube across"},
    {"ring_damping", &JunctionConstants::ring_damping, 0.14, 0.09, "reference: its decay"},
    {"jet_share", &JunctionConstants::jet_share, 0.18, 0.34,
     "reference: impulse in the tube across against that beside"},
    {"turning_loss", &JunctionConstants::turning_loss, 1.8, 1.1,
     "reference: what returns from a suction wave"},
    {"contraction_loss", &JunctionConstants::contraction_loss, 0.40, 0.0,
     "measured: combining flow, scatter of the two experiments"},
    {"dividing_relief", &JunctionConstants::dividing_relief, 0.4, 0.9,
     "measured: straight run of dividing flow"},
}};

constexpr JunctionConstants constants_of(MergeCoupling coupling) {
  JunctionConstants all;
  if (coupling == MergeCoupling::fitted) return all;
  for (const JunctionConstant& c : junction_constants) {
    all.*c.value = coupling == MergeCoupling::weak ? c.weak : c.strong;
  }
  return all;
}

}  // namespace pulsewright::models
