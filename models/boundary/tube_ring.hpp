// Tubes round a collector: by how much the pressure at each of their ports differs from that of the
// merge, from where they stand.
//
// Waves. A merge of one pressure answers a wave in one tube at once and in all tubes alike. In
// three dimensions what is not common to all tubes returns later, and not as sharp: the gas between
// the tubes is to be set in motion round the crotches first. With the pressure p_w,k that would
// stop the gas at port k, its mean over the areas of the tubes and the difference d_k = p_w,k -
// mean, split into the part x that goes as the first harmonic round the axis and the rest y,
//   offset_k = eta (x - A L x + y - L y)
// L: first-order lag of `lag` D/c. A: all-pass of second order of the frequency and damping of the
// ring of tubes (the cross mode that is trapped in the merge; it shows as an oscillation of some 7
// kHz in the tube across from a pulse). eta = min(1/2, A_tubes / (A_tubes + A_collector)). The
// reflected part of d is 2 eta (1 - A L) - 1: never larger than what arrives, so nothing is fed
// into the pipes; zero in steady flow, so that steady flow and small slow waves have one pressure.
// The filters are integrated by the trapezoidal rule, which keeps that bound at any time step.
//
// Jets. The jet of an inflowing tube crosses the merge and meets the wall and the tube across from
// it. To the offset of port k it adds
//   jet_share f h_j (cos(2 a) - cos(a)),   a: angle between j and k round the axis
// less the mean over the areas: for four tubes twice across, minus once beside, nothing at its own
// port. h = H (1 + 6 M^2) / (1 + (H / (0.051 p))^2) with the part H = rho u^2/2 sin(theta) of the
// jet's head and its Mach number M, smoothed over 0.3 D/c; strong jets at large angles attach to
// the wall and act less. f = 1 - (A_collector / A_tubes - 1) / 0.45, within 0 and 1: in a wide
// collector jets meet no tube.
// The offsets of all tubes, times their areas, sum to zero: no force along the axis.
//
// Fitted to a three-dimensional computation (junction_constants.hpp); at 10 degrees the impulse in
// the tube across is 1.5 of that beside for a pulse of 35 kPa, 1.1 for one of 14 kPa.
//
// Valid for two to eight tubes of about one diameter and one half angle, up to 45 degrees, that
// lead into a collector on their axis. Any other junction has no ring: is_empty(), no offsets.
#pragma once

#include <array>
#include <span>
#include <vector>

#include "models/boundary/junction_constants.hpp"
#include "models/boundary/orifice.hpp"

namespace pulsewright::models {

class TubeRing {
 public:
  TubeRing() = default;
  // directions: unit vectors from the junction into each pipe; areas in m2.
  TubeRing(std::span<const std::array<double, 3>> directions, std::span<const double> areas,
           const JunctionConstants& constants);

  bool is_empty() const { return tubes_.empty(); }

  // Offsets of the ports in the next dt (s), Pa, for all pipes of the junction. p, c: pressure, Pa,
  // and speed of sound, m/s, of the merge; wall: pressure that would stop the gas at each port, Pa;
  // flux: the last one into each pipe.
  void advance(double dt, double p, double c, std::span<const double> wall,
               std::span<const EndFlux<double>> flux, std::span<double> offset);

 private:
  struct Tube {
    std::size_t pipe;
    double weight;               // area over that of all tubes
    double sine;                 // of the half angle
    std::array<double, 2> unit;  // its place round the axis
    double first = 0, rest = 0;  // state of the lag of either part
    double ring_1 = 0, ring_2 = 0;
    double jet = 0;  // Pa, h above, smoothed
  };
  double jet_pressure(std::size_t k) const;

  JunctionConstants constants_;
  std::vector<Tube> tubes_;
  std::vector<double> projection_;  // onto the first harmonic, tubes x tubes
  std::vector<double> difference_;  // work space
  double diameter_ = 0;             // m
  double eta_ = 0;
  double meets_ = 0;  // f above
};

}  // namespace pulsewright::models
