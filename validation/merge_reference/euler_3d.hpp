// The Euler equations in three dimensions on a grid of cut cells, gas of constant gamma.
//
//   d/dt (rho, rho u, E) + div (rho u, rho u u + p, (E + p) u) = 0      E = p/(gamma - 1) + rho
//   u^2/2
//
// No friction, no heat, no mixing: shear layers are as thin as the grid lets them be. Steps of one
// evaluation:
//   1. gradients of rho, u, p by least squares over the neighbours
//   2. states at both sides of each face, MUSCL: van Leer's limiter between the difference D of the
//      two cells, d apart, and that with a cell one d further away, 2 grad q . d - D: Darwish &
//      Moukalled, Int. J. Heat Mass Transfer 46 (2003) 599, from memory
//   3. HLLC flux: Toro (2009), section 10.4, its wave speeds from Roe's averages, section 10.5.1
//   4. walls: p + rho c u_n of the state extrapolated to the wall, the acoustic answer of gas that
//      a wall stops
// and Heun's method in time, of second order and total-variation diminishing: Gottlieb & Shu, Math.
// Comp. 67 (1998) 73, from memory.
//
// Gas at rest at p_rest is left out until a change comes near: a cell is computed from when one
// that is two faces away or nearer has changed by more than a 1e-12th. What that neglects is below
// rounding, since a step carries a change no further than two faces.
//
// Independent of solver/ on purpose: nothing of the one-dimensional program is used, so that it can
// be held against it. The result does not depend on the number of threads.
#pragma once

#include <functional>

#include "validation/merge_reference/cut_cell_grid.hpp"

namespace pulsewright::validation {

// rho (kg/m3), u, v, w (m/s), p (Pa)
using State3 = std::array<double, 5>;
// kg/m3, kg/(m2 s), J/m3
using Conserved3 = std::array<double, 5>;

// What lies between the centroids of two cells: the cell's own state, or a limited slope.
enum class Reconstruction { none, van_leer };

class Euler3 {
 public:
  // The grid must outlive this. p_rest, Pa: of a gas at rest, for which the momentum fluxes are
  // exactly zero.
  Euler3(const CutCellGrid& grid, double gamma, double p_rest, unsigned threads,
         Reconstruction reconstruction, const std::function<State3(const Vector3&)>& initial);

  // One step of the Courant number 0.7, at most dt_most (s); between one half of what is left and
  // all of it when that is less than two steps. Returns its length, s. Throws std::runtime_error
  // when density or pressure is no longer positive.
  double step(double dt_most);

  const std::vector<State3>& states() const { return state_; }
  double total_mass() const;    // kg, in the half that is computed
  double total_energy() const;  // J, likewise

 private:
  using Gradient = std::array<std::array<float, 3>, 5>;  // of rho, u, v, w, p

  // Marks a cell as changed, and it and those within two faces as computed.
  void compute_around(std::size_t cell);
  // The same for each computed cell that is no longer at rest in the state `now`.
  void widen(const std::vector<Conserved3>& now);
  void list_computed();
  void find_gradients();
  // The states at both sides of face f.
  void find_face_states(std::size_t f, State3& l, State3& r) const;
  void find_fluxes();
  // Rates of change in residual_; the least dt / Courant number, s.
  double find_residuals();
  Conserved3 flux_at_wall(std::size_t cell, double& speed) const;
  void set_states(const std::vector<Conserved3>& from);

  const CutCellGrid& grid_;
  double gamma_, p_rest_;
  unsigned threads_;
  Reconstruction reconstruction_;
  std::vector<State3> state_;
  std::vector<Conserved3> conserved_, predicted_, residual_, flux_;
  std::vector<Gradient> gradient_;
  std::vector<double> rate_;  // 1/s, greatest rate of waves through a cell
  std::vector<Conserved3> initial_;
  std::vector<char> has_changed_, is_computed_;
  std::vector<std::size_t> cells_, faces_;  // the computed ones, and the faces of these, in order
};

}  // namespace pulsewright::validation
