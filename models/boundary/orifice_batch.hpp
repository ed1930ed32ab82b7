// Orifices in a batch: the fluxes of flow_through_orifice() (orifice.hpp), a pack of them at a
// time.
//
// An engine has some thirty orifices per step, and each needs a root. They are sorted by
// kind - shut, inflow into the pipe, outflow from it, through the full area or part of it - and
// each kind is computed in packs. The flux of an orifice does not depend on those it shares a pack
// with.
//
// Every orifice has a number, which it keeps from step to step: the initial guess of its pressure
// is extrapolated from the steps before.
//
// An orifice for which no root is found has the flux NaN; the boundary that takes it throws the
// Fault (with_solution() of boundary.hpp).
#pragma once

#include <array>
#include <cstddef>
#include <vector>

#include "models/boundary/orifice_kernels.hpp"

namespace pulsewright::models {

class OrificeBatch {
 public:
  // Removes all orifices.
  void clear() { count_ = 0; }
  std::size_t size() const { return count_; }

  // Adds orifice `number`, once at most, between the pipe state `end` and a reservoir; inward,
  // phi_into_pipe and phi_out_of_pipe as for flow_through_orifice().
  void add(std::size_t number, const solver::Primitive<double>& end, double inward,
           const Reservoir<double>& reservoir, double phi_into_pipe, double phi_out_of_pipe) {
    add(number, end, inward, reservoir, phi_into_pipe, phi_out_of_pipe, false);
  }

  // Adds an end at the static pressure of the reservoir, see
  // flow_at_static_pressure().
  void add_at_static_pressure(std::size_t number, const solver::Primitive<double>& end,
                              double inward, const Reservoir<double>& reservoir) {
    add(number, end, inward, reservoir, 1.0, 1.0, true);
  }

  void solve(const solver::Gas& gas);

  // Of an orifice that was there in the last solve().
  const EndFlux<double>& flux(std::size_t number) const { return flux_[history_[number].place]; }

  // Forgets the history of `count` orifices from that number on: from now on the numbers belong to
  // other orifices.
  void forget(std::size_t number, std::size_t count);

 private:
  using Column = OrificeColumn;
  enum class Kind : unsigned char { shut, enters, enters_statically, leaves, leaves_freely };
  // Of one orifice.
  struct History {
    double last = 0;    // pressure at the end in the last solve(), 0 = it was of another kind
    double before = 0;  // and in the one before
    Kind kind = Kind::shut;
    std::size_t place = 0;  // among those of the last solve()
  };

  void add(std::size_t number, const solver::Primitive<double>& end, double inward,
           const Reservoir<double>& reservoir, double phi_into_pipe, double phi_out_of_pipe,
           bool at_static_pressure);

  double* data(Column c) { return column_[static_cast<std::size_t>(c)].data(); }

  std::size_t count_ = 0;
  std::array<std::vector<double>, orifice_columns> column_;  // padded to whole packs
  std::vector<std::size_t> number_;
  std::vector<char> at_static_pressure_;
  std::vector<EndFlux<double>> flux_;
  std::vector<History> history_;  // by number
  // Which ones are solved together, work space: those of one kind; impedance boundaries apart,
  // because they cost more.
  struct Group {
    std::vector<std::size_t> constant_pressure, impedance;
  };
  std::array<Group, 5> groups_;  // by kind
};

}  // namespace pulsewright::models
