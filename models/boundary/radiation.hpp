// Inertia and sound radiation of the air outside an open pipe end.
//
// The pressure outside the end is ambient pressure plus rho c (U - w), U the velocity out of the
// pipe; with tau = a / c, a the radius of the pipe, and s = tau d/dt
//   w = (2 + 2 n1 s) / (2 + (d1 + n1) s + d2 s^2) U,
// which is the reflection of plane waves R = -(1 + n1 s) / (1 + d1 s + d2 s^2), a causal form of
// Silva, Guillemain, Kergomard, Mallaroni & Norris, J. Sound Vib. 322 (2009) 255. Here d1 and d2
// follow from the limit of low frequency of Levine & Schwinger, Phys. Rev. 73 (1948) 383, unflanged
// (an added length of 0.6133 a, |R| = 1 - (ka)^2/2), and n1 is fitted to their |R|, reproduced
// within 1.5 % up to ka 1.5, and their length within 2.5 % up to ka 1.
//
// rho is that of the gas just outside, which the flow through the end flushes over one added
// length, and c belongs to it. The jet, and the vorticity that it sheds, are not modelled.
//
// Stepped by the trapezoidal rule between the middles of the time steps, as the states at the pipe
// ends; solved together with the flow through the end (Reservoir::impedance).
#pragma once

namespace pulsewright::models {

// Length of pipe that an unflanged open end adds at low frequency, in radii.
inline constexpr double unflanged_correction = 0.6133;

class Radiation {
 public:
  // radius: of the pipe, m; p: of the surroundings, Pa.
  Radiation(double radius, double p) : radius_(radius), p_(p) {}

  // Pressure outside the end, Pa: p - impedance v for the velocity v into the pipe, in the step
  // of dt (s) that follows. rho (kg/m3) of the gas at the end of the pipe counts in the first
  // step only, gamma in all.
  struct Load {
    double p;
    double impedance;  // Pa s/m
  };
  Load load(double rho, double gamma, double dt);
  // The result of the step of the last load(): the velocity into the pipe, m/s, and the density of
  // the gas that passed, kg/m3, at the pressure of the surroundings.
  void advance(double v, double rho);

 private:
  double radius_;
  double p_;
  double rho_ = 0;            // kg/m3, of the gas just outside
  double U_ = 0;              // m/s, out of the pipe
  double x_ = 0;              // m/s, filtered U / 2
  double z_ = 0;              // m/s, tau dx/dt
  double dt_ = 0;             // s, last step
  double h_ = 0;              // half the time between middles, in tau
  double free_response_ = 0;  // z of the next step for U = 0 then
  double response_ = 0;       // dz/dU of the next step
};

}  // namespace pulsewright::models
