// Wall friction, bend losses, heat from the gas to the wall, and the wall's own temperature.
//
// Friction: Darcy factor f, force per volume f rho u |u| / (2 D):
//   Re < 2300: f = 64 / Re (Hagen-Poiseuille); else Haaland, J. Fluids Eng. 105 (1983) 89:
//   1/sqrt(f) = -1.8 log10((roughness / (3.7 D))^1.11 + 6.9 / Re)
//   Parallel channels (PipeSpecification::channel_diameter) have the laminar f Re of their shape:
//   56.91 in square ones, Shah & London (1978), chapter VII.
// Bends: loss coefficient of a 90 degree bend from the equivalent lengths of Crane TP-410 (1988),
//   A-29, times the fully turbulent friction factor, less the friction of the arc itself, which the
//   centreline length already has; other angles in proportion. Handbooks differ by 20 %.
// Cones: gas that flows into the wide end of a cone loses nothing beyond friction; gas that leaves
//   through it separates from the wall, with the fraction 3.2 tan(angle/2)^1.25 (1 at most) of the
//   loss (1 - A1/A2)^2 of a sudden enlargement, on the dynamic head at the narrow end. Idelchik
//   (2006), chapter 5; steady flow at low Mach number: beyond Mach 0.5 the true loss is a fifth or
//   more larger, and PipeFigures::fast_cone_angle counts for how long that is so. Spread over the
//   length of the cone.
// Entries: gas that enters from a wider pipe through a sudden step contracts behind the edge and
//   loses 0.5 (1 - A1/A2)^(3/4) of its own dynamic head (Idelchik (2006), diagram 4-9). The
//   specification gives what of it the boundary does not lose itself; spread over one diameter.
// Heat: the correlation for engine manifolds of Depcik & Assanis, SAE 2002-01-0372 (2002):
//   Nu = 0.07 Re^(3/4), fitted to data of intake and exhaust (correlation coefficients 0.845 and
//   0.800); that for exhaust ports of Malchow, Sorenson & Buckius, SAE 790309 (1979):
//   Nu = 0.0483 Re^0.783; or the Reynolds analogy (Chilton-Colburn) of steady flow,
//   h = f/8 rho |u| cp Pr^(-2/3). Never below the laminar Nu = 3.66. All with the present Re; the
//   range of Re that the first was fitted in, and whether with its mean, was not seen.
// Wall: held by coolant over the cooled length; else steady balance of the cycle-mean heat with the
//   outside, h_out (T_s - T_a) + eps sigma (T_s^4 - T_a^4), through metal and wrap or coating.
//   Radial only; no storage from cycle to cycle.
#pragma once

#include "models/network/specification.hpp"
#include "solver/pipe/pipe.hpp"

namespace pulsewright::models {

// Darcy friction factor of turbulent flow; relative roughness = roughness / D. Re >= 2300.
double friction_factor_haaland(double Re, double relative_roughness);

// Loss coefficient on rho u^2 / 2 of one bend in a pipe of that diameter (m) and roughness (m),
// beyond the friction of its arc.
double bend_loss(const Bend& bend, double diameter, double roughness);

// Loss coefficient of a cone that widens, on rho u^2 / 2 at its narrow end, beyond wall friction.
// Angle: total, degrees, 0..180; area_ratio: wide over narrow, >= 1.
double diffuser_loss(double angle_deg, double area_ratio);

// Loss coefficient of a sudden step to a narrower pipe, on rho u^2 / 2 in that pipe, beyond wall
// friction. area_ratio: narrow over wide, above 0 to 1.
double contraction_loss(double area_ratio);

// Nusselt number of the exhaust-port correlation.
double nusselt_exhaust(double Re);

// Inner wall temperature, K, for a mean heat transfer coefficient (W/(m2 K)) and gas temperature
// (K) on an inner diameter (m). NaN where the iteration does not converge: for gas beyond all
// measure (1e12 K).
double balanced_wall_temperature(const Wall& wall, double coefficient, double gas_temperature,
                                 double diameter);

class PipeWall {
 public:
  // The pipe must have been built from the specification.
  PipeWall(const PipeSpecification& spec, solver::Pipe& pipe);

  // Renews friction and heat transfer coefficients from the present state of the gas. They change
  // slowly against the waves and need not be renewed at every step.
  void renew(const solver::Gas& gas, solver::Pipe& pipe) const;

  // Heat given to the gas since the last balance_temperature(), J.
  static double heat_to_gas(const solver::Pipe& pipe);

  // Sets the wall to its temperature where coolant holds it.
  void hold_cooled(solver::Pipe& pipe) const;

  // Sets the wall temperature to balance the mean heat over the elapsed time (s) since the last
  // call and starts a new mean. Returns the largest change, K. Throws solver::Fault where there is
  // no such temperature.
  double balance_temperature(solver::Pipe& pipe, double elapsed) const;

  // Mean inner wall temperature, K.
  static double mean_temperature(const solver::Pipe& pipe);

 private:
  // Brings heat_transfer_dt up to the present.
  static void accumulate_heat_transfer(solver::Pipe& pipe);

  // Spreads the losses of the cones over the cells.
  void spread_cones(const solver::Pipe& pipe);
  // Those of the entries.
  void spread_entries(const solver::Pipe& pipe);

  PipeSpecification spec_;
  // 1/m, losses of cones and entries per length for gas that flows right and left; empty without.
  std::vector<double> local_right_, local_left_;
  double loss_per_length_;         // 1/m, bends and extra losses
  std::vector<double> roughness_;  // roughness term of Haaland's logarithm, by cell
};

}  // namespace pulsewright::models
