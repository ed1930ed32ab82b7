// One pipe of the network: geometry, state and work arrays, structure of arrays.
//
// Cells 0 .. n-1 lie between faces 0 .. n, x runs from the left end to the right end. What is
// stored per cell is listed in cell_fields.hpp, and a field is a member: pipe.rho[i]. The ghost
// values of the state hold what a limiter sees beyond the end (see PipeUpdate); they are no state
// of their own and enter no flux.
#pragma once

#include <array>
#include <functional>
#include <string>
#include <utility>
#include <vector>

#include "solver/gas/state.hpp"
#include "solver/pipe/cell_array.hpp"
#include "solver/pipe/cell_fields.hpp"
#include "solver/pipe/state_check.hpp"

namespace pulsewright::solver {

// The fields are public for the step functions and the wall models.
class Pipe : public EnsembleFields<CellArray>, public PipeFields<CellArray> {
 public:
  // length in m; diameter(x) in m of the circle of the same area, linear between the given
  // breakpoints (m, ascending, ends included); cells >= 4.
  // Throws std::invalid_argument for a length, diameter or number of cells that is not valid.
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

  // State extrapolated to an end at half the time step, after it was predicted: input of the
  // boundary condition.
  struct Ends {
    Primitive<double> left, right;
  };
  const Primitive<double>& left_end() const { return ends_.left; }
  const Primitive<double>& right_end() const { return ends_.right; }
  void set_ends(const Ends& ends) { ends_ = ends; }
  // The flux that the boundary condition at the end applies.
  void set_flux_left(const Flux<double>& f) { left_flux_ = f; }
  void set_flux_right(const Flux<double>& f) { right_flux_ = f; }
  const Flux<double>& flux_left() const { return left_flux_; }
  const Flux<double>& flux_right() const { return right_flux_; }
  // Stores them with the fluxes at the faces.
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
  // Throws Fault if a state is not valid (state_check.hpp).
  double refresh(const Gas& gas);

  // Plain pointers to number 0 of each field, for the kernels: vector stores may alias anything
  // that is reached through the object, so the compiler would fetch each address anew for every
  // cell. Not while the pipe is part of an ensemble.
  struct Pointers : EnsembleFields<double*>, PipeFields<double*> {
    double dx;  // m
  };
  Pointers pointers() {
    Pointers at;
    point<EnsembleFields>(at);
    point<PipeFields>(at);
    at.dx = dx_;
    return at;
  }

  // Returns the greatest speed; throws Fault, with the place, if a state is not valid. Where the
  // flux at an end is NaN - a boundary condition without a solution - the message names that.
  double checked(const StateCheck& check, const Gas& gas) const;

  bool has_walls = true;  // false: the sources of the walls are all 0, and who steps the pipe may
                          // rely on it
  double heat_transfer_time = 0;  // s that passed with the present heat_transfer and are not in
                                  // heat_transfer_dt

 private:
  template <template <class> class Group>
  void point(Pointers& at) {
    const auto each = [&]<std::size_t... k>(std::index_sequence<k...>) {
      ((field<Group>(at, k) = field<Group>(*this, k).data()), ...);
    };
    each(std::make_index_sequence<field_count<Group>>());
  }
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
