// One pipe of the network: geometry, state and work arrays, structure of arrays.
//
// Cells 0 .. n-1 lie between faces 0 .. n, x runs from the left end to the right end. Every cell
// array has one spare place before and after it, which holds what a limiter sees beyond the end
// (see PipeUpdate); it is no state of its own and enters no flux.
#pragma once

#include <array>
#include <functional>
#include <string>
#include <vector>

#include "solver/gas/state.hpp"
#include "solver/pipe/cell_array.hpp"

namespace pulsewright::solver {

class Pipe {
 public:
  // length in m; diameter(x) in m of the circle of the same area, linear between the given
  // breakpoints (m, ascending, ends included); cells >= 4.
  // Throws std::invalid_argument for a length, diameter or number of cells that makes no pipe.
  Pipe(std::string name, double length, std::size_t cells,
       const std::function<double(double)>& diameter, const std::vector<double>& breakpoints);

  // Fills the pipe with gas: primitive state by cell centre (m).
  void fill(const Gas& gas, const std::function<Primitive<double>(double)>& state);

  const std::string& name() const { return name_; }
  std::size_t cells() const { return n_; }
  double length() const { return length_; }
  double dx() const { return dx_; }
  double centre(std::size_t i) const { return (static_cast<double>(i) + 0.5) * dx_; }
  double area_left() const { return face_area[0]; }
  double area_right() const { return face_area[static_cast<std::ptrdiff_t>(n_)]; }
  Primitive<double> state(std::size_t i) const;
  // Content, summed over the pipe.
  double mass() const;    // kg
  double burnt() const;   // kg
  double energy() const;  // J, internal and kinetic

  // State extrapolated to an end at half the time step, after it was predicted: what the end sees.
  struct Ends {
    Primitive<double> left, right;
  };
  const Primitive<double>& left_end() const { return ends_.left; }
  const Primitive<double>& right_end() const { return ends_.right; }
  void set_ends(const Ends& ends) { ends_ = ends; }
  // What the end answers.
  void set_flux_left(const Flux<double>& f) { left_flux_ = f; }
  void set_flux_right(const Flux<double>& f) { right_flux_ = f; }
  const Flux<double>& flux_left() const { return left_flux_; }
  const Flux<double>& flux_right() const { return right_flux_; }
  // Puts the answers among the fluxes at the faces.
  void put_end_fluxes() {
    put_flux(0, left_flux_);
    put_flux(n_, right_flux_);
  }
  // At a face, in the last step that the pipe took alone.
  Flux<double> flux(std::size_t face) const {
    const auto k = static_cast<std::ptrdiff_t>(face) - 1;
    return {f_mass[k], f_momentum[k], f_energy[k], f_burnt[k]};
  }

  // Recomputes the primitive arrays from the conserved ones; returns the greatest |u| + c, m/s.
  // Throws Fault for a state that is none.
  double refresh(const Gas& gas);

  // Plain pointers to the arrays, for the kernels: vector stores may alias anything that is reached
  // through the object, so the compiler would fetch each array's address anew for every cell.
  struct Pointers {
    const double *face_area, *inverse_volume, *area_rise;
    const double *rho, *momentum, *energy_density, *burnt_density;
    double *u, *p, *T, *Y, *inverse_rho, *gamma_less_1;
    const double *laminar, *turbulent, *exchange, *T_wall, *wall_heat;
    double *l_rho, *l_u, *l_p, *l_Y, *r_rho, *r_u, *r_p, *r_Y, *h_p, *h_force, *h_heat;
    double *f_mass, *f_momentum, *f_energy, *f_burnt;  // by face, 0 .. n
    double *next_rho, *next_momentum, *next_energy, *next_burnt, *next_wall_heat;
    double dx;
  };
  Pointers pointers() {
    return {face_area.data(),
            inverse_volume.data(),
            area_rise.data(),
            rho.data(),
            momentum.data(),
            energy_density.data(),
            burnt_density.data(),
            u.data(),
            p.data(),
            T.data(),
            Y.data(),
            inverse_rho.data(),
            gamma_less_1.data(),
            laminar.data(),
            turbulent.data(),
            exchange.data(),
            T_wall.data(),
            wall_heat.data(),
            l_rho.data(),
            l_u.data(),
            l_p.data(),
            l_Y.data(),
            r_rho.data(),
            r_u.data(),
            r_p.data(),
            r_Y.data(),
            h_p.data(),
            h_force.data(),
            h_heat.data(),
            f_mass.data() - 1,
            f_momentum.data() - 1,
            f_energy.data() - 1,
            f_burnt.data() - 1,
            next_rho.data(),
            next_momentum.data(),
            next_energy.data(),
            next_burnt.data(),
            next_wall_heat.data(),
            dx_};
  }

  // What is checked of a state that was stored.
  template <class Real>
  struct StoredState {
    Real speed;  // m/s, |u| + c
    Real rho;    // kg/m3
    Real T;      // K
  };
  // Stores the primitive state of the cells i .. i + lanes<Real> - 1, from the conserved densities
  // per m3 (kg, kg/(m2 s), J, kg).
  template <class GasModel, class Real>
  PULSEWRIGHT_INLINE static StoredState<Real> put_primitives(
      const Pointers& at, const GasModel& gas, const Real& rho, const Real& momentum,
      const Real& energy_density, const Real& burnt_density, std::size_t i) {
    const CellState<Real> w = cell_state(gas, rho, momentum, energy_density, burnt_density);
    store(at.u + i, w.u);
    store(at.Y + i, w.Y);
    store(at.T + i, w.T);
    store(at.p + i, w.p);
    store(at.inverse_rho + i, w.inverse_rho);
    store(at.gamma_less_1 + i, w.gamma_less_1);
    return {abs(w.u) + w.c, rho, w.T};
  }
  // Greatest |u| + c of the states added, and whether one of them is none.
  struct WaveSpeedCheck {
    double fastest = 0;
    bool bad = false;
  };
  // The same while states are being added.
  template <class Real>
  struct WaveSpeeds {
    Real fastest = 0.0;
    decltype(Real() > Real()) bad = Real(0.0) > Real(0.0);
    PULSEWRIGHT_INLINE void add(const StoredState<Real>& w) {
      // written so that a NaN counts as bad
      bad = bad || !(w.rho > 0.0) || !(w.T > 0.0) || !(w.speed < 1e5);
      fastest = max(fastest, w.speed);
    }
    PULSEWRIGHT_INLINE WaveSpeedCheck sum() const { return {largest(fastest), any(bad)}; }
  };
  // Returns the greatest speed; throws Fault, with the place, when a state is none.
  double checked(const WaveSpeedCheck& check, const Gas& gas) const;

  // ---- arrays, public for the kernels (PipeUpdate) and for the models of walls
  CellArray face_area;           // m2, n + 1
  CellArray volume;              // m3
  CellArray inverse_volume;      // 1/m3
  CellArray area_rise;           // m2, right face minus left face
  CellArray hydraulic_diameter;  // m

  CellArray rho, momentum, energy_density, burnt_density;  // per m3: kg, kg/(m2 s), J, kg
  CellArray u, p, T, Y;                                    // primitives, with rho

  CellArray inverse_rho, gamma_less_1;  // of the same state, m3/kg and 1

  // Sources per m3: force = -(laminar + turbulent rho |u|) u, heat = exchange (T_wall - T)
  CellArray laminar;           // kg/(m3 s)
  CellArray turbulent;         // 1/m
  CellArray exchange;          // W/(m3 K)
  CellArray T_wall;            // K
  CellArray wall_heat;         // J/m3 given to the gas since the last reset
  CellArray heat_transfer_dt;  // J/(m3 K), sum of exchange dt since the last reset, up to
                               // heat_transfer_time
  bool has_walls = true;  // false: the sources are all 0, and who steps the pipe may rely on it
  double heat_transfer_time =
      0;  // s that passed with the present exchange and are not in heat_transfer_dt

  // Work arrays of one step: states at the faces as seen from within the cell, centre values.
  CellArray l_rho, l_u, l_p, l_Y;  // at the left face of the cell
  CellArray r_rho, r_u, r_p, r_Y;  // at the right face of the cell
  CellArray h_p, h_force, h_heat;
  // At the right face of the cell; the spare place before the first holds what passes the left end.
  CellArray f_mass, f_momentum, f_energy, f_burnt;
  CellArray next_rho, next_momentum, next_energy, next_burnt, next_wall_heat;

 private:
  void put_flux(std::size_t face, const Flux<double>& f) {
    const auto k = static_cast<std::ptrdiff_t>(face) - 1;
    f_mass[k] = f.mass;
    f_momentum[k] = f.momentum;
    f_energy[k] = f.energy;
    f_burnt[k] = f.burnt;
  }

  std::string name_;
  std::size_t n_;
  double length_;
  double dx_;
  Ends ends_{};
  Flux<double> left_flux_{}, right_flux_{};
};

}  // namespace pulsewright::solver
