// One time step of a pipe: quasi-one-dimensional Euler equations with area A(x),
//
//   d(A rho)/dt   + d(A rho u)/dx         = 0
//   d(A rho u)/dt + d(A (rho u^2 + p))/dx = p dA/dx + A F
//   d(A rho E)/dt + d(A u (rho E + p))/dx = A Q
//   d(A rho Y)/dt + d(A rho u Y)/dx       = 0
//
// with wall friction and bend losses F = -(laminar + turbulent rho |u|) u and wall heat
// Q = heat_transfer (T_wall - T), both per unit volume. Friction at a wall at rest does no work.
//
// Scheme: MUSCL-Hancock in the primitive variables (van Leer, SIAM J. Sci. Stat. Comput. 5 (1984)
// 1; Toro (2009), section 14.4), sources taken in the predictor and at the predicted midpoint, so
// that they are second order without splitting. The pressure on the walls, p dA/dx, is taken off
// the fluxes cell by cell, (F - p) at each face, which leaves gas at rest at rest to the last bit
// in a pipe of any shape. Positivity-preserving first-order fallback: a cell whose predicted face
// values come near vacuum takes its own mean value at its faces (first order there, still
// conservative); with the wave speeds of Einfeldt density and pressure then stay positive.
// Stable up to a Courant number of 1.
#pragma once

#include "solver/pipe/kernels.hpp"
#include "solver/pipe/pipe_kernels.hpp"

namespace pulsewright::solver {

template <class NumericalFlux, class Limiter>
class PipeUpdate {
 public:
  // Extrapolates the cells at the two ends to time t + dt / 2, for the boundary conditions there.
  // dt in s.
  static void predict(Pipe& d, const Gas& gas, double dt) {
    fill_ghost_values(d.rho);
    fill_ghost_values(d.u);
    fill_ghost_values(d.p);
    fill_ghost_values(d.Y);
    d.set_ends(kernels(d, gas).predict_ends(d.pointers(), d.cells(), gas, dt));
  }

  struct Advanced {
    double fastest;                  // m/s, greatest |u| + c after the step
    bool used_first_order_fallback;  // it acted somewhere
  };
  // Takes the step that was predicted, when the fluxes at the two ends have been set. Throws Fault.
  static Advanced advance(Pipe& d, const Gas& gas, double dt) {
    d.put_end_fluxes();
    const PipeStepResult outcome = kernels(d, gas).advance(d.pointers(), d.cells(), gas, dt);
    d.wall_heat.swap(d.next_wall_heat);
    d.heat_transfer_time += dt;
    d.rho.swap(d.next_rho);
    d.momentum.swap(d.next_momentum);
    d.energy_density.swap(d.next_energy);
    d.burnt_density.swap(d.next_burnt);
    return {d.checked(outcome.check, gas), outcome.used_first_order_fallback};
  }

  // For pipes that are stepped together, see PipeEnsemble.
  static const EnsembleKernelTable& ensemble_kernels(const Pipe& d, const Gas& gas) {
    return kernels_for(d, gas).ensemble;
  }

 private:
  static const KernelTable& kernels_for(const Pipe& d, const Gas& gas) {
    const SchemeKernels& scheme = scheme_kernels<NumericalFlux, Limiter>();
    return !d.has_walls && GasOfConstantGamma::is(gas) ? scheme.perfect_gas_adiabatic
                                                       : scheme.two_gas_with_sources;
  }
  static const PipeKernelTable& kernels(const Pipe& d, const Gas& gas) {
    return kernels_for(d, gas).pipe;
  }

  // What the limiter sees beyond an end cell: the difference one cell further in, so that the
  // slope there is limited one-sidedly.
  static void fill_ghost_values(CellArray& w) {
    const auto n = static_cast<std::ptrdiff_t>(w.size());
    w[-1] = w[0] - (w[2] - w[1]);
    w[n] = w[n - 1] + (w[n - 2] - w[n - 3]);
  }
};

}  // namespace pulsewright::solver
