// One pipe by the method of characteristics: a second method beside the finite volumes, which
// shares with them the gas and the pipe's shape and nothing else. Not homentropic: entropy and
// composition are carried along the paths of the particles.
//
//   dx/dt = u + c:  dp + rho c du = ( E + c F) dt
//   dx/dt = u - c:  dp - rho c du = ( E - c F) dt
//   dx/dt = u:      ds = (Q - F u) / (rho T) dt,   dY = 0
//   E = -rho c^2 u d(ln A)/dx + (gamma - 1) (Q - F u)
//   F = -(laminar + turbulent rho |u|) u,   Q = heat_transfer (T_wall - T),   both per unit volume
//   s = cp_0 ln T + cv_T T - R ln p,   cp_0 = cv_0 + R       (entropy of the gas of gas.hpp)
// Sources: Benson (1982), chapters 2 to 4; Winterbone & Pearson (2000), chapter 2; Courant &
// Friedrichs (1948), sections 22 to 24. They write the first two for a gas of constant gamma in
// Riemann variables and the entropy as a level A_A; this is the same for cv linear in T.
//
// Nodes 0 .. n are the faces of the pipe. The feet of the three characteristics that meet at a node
// after the time step are found with the mean of the speeds at foot and node, the equations are
// taken with the mean of their coefficients, twice over. At the feet p, u, s, Y come from the
// parabola through the nodes, its curvature limited so that no new extremum arises and a front
// moves with the speed of its gas (van Leer, J. Comput. Phys. 23 (1977) 276): second order where
// the flow is smooth, where the linear interpolation of the sources is first order.
//
// Valid for flow without strong shocks: mass and energy are kept to the order of the scheme and not
// to round-off, and a shock moves with the mean of the characteristic speeds beside it, which is
// right to second order in its strength. Stable up to a Courant number of 1.
#pragma once

#include <functional>
#include <vector>

#include "solver/pipe/pipe.hpp"

namespace pulsewright::solver {

class CharacteristicPipe {
 public:
  // Takes the shape of the pipe and, as the mean of the cells beside each node, its gas.
  CharacteristicPipe(const Pipe& pipe, const Gas& gas);

  // Fills the pipe with gas: primitive state by position of the node (m). Throws Fault.
  void fill(const Gas& gas, const std::function<Primitive<double>(double)>& state);

  // One step: predict_ends() computes the characteristics that arrive at the ends, the boundary
  // conditions set the ends with set_left() and set_right(), advance() takes the step. Friction and
  // heat coefficients are those of the pipe. dt in s. Throws Fault.
  void predict_ends(const Gas& gas, const Pipe& pipe, double dt);

  // A state on the characteristic that arrives at the end, and the gas there: the input of
  // `EndWave`. After predict_ends().
  Primitive<double> left_end() const { return left_; }
  Primitive<double> right_end() const { return right_; }

  // State at an end after the step. `T` and `Y` count where gas enters; else those of the gas that
  // arrives hold.
  struct End {
    double p;     // Pa
    double u;     // m/s
    bool enters;  // whether gas comes into the pipe
    double T;     // K
    double Y;
  };
  void set_left(const End& end) { left_set_ = end; }
  void set_right(const End& end) { right_set_ = end; }

  // Takes the step and returns the greatest |u| + c, m/s. Throws Fault.
  double advance(const Gas& gas, double dt);

  // Puts the gas into the cells of the pipe (mean of the nodes beside) for everything that reads
  // them, and counts the heat from the walls over dt (s; 0 = none).
  void write(const Gas& gas, Pipe& pipe, double dt) const;

  double place(std::size_t i) const { return static_cast<double>(i) * dx_; }
  Primitive<double> state(std::size_t i) const { return {rho_[i], u_[i], p_[i], Y_[i]}; }
  double fastest() const;  // m/s, greatest |u| + c

 private:
  struct Foot {
    std::size_t from, to;  // nodes on either side, seen from the node the characteristic meets
    double fraction;       // of the way from `from` to `to`
  };
  using Nodes = std::vector<double>;

  Nodes zeros() const { return Nodes(n_ + 1, 0.0); }
  Foot foot(const Nodes& speed, std::size_t node, double speed_there, double dt) const;
  static double between(const Nodes& w, const Foot& f);
  static double smooth(const Nodes& w, const Nodes& slope, const Foot& f);
  void find_slopes();
  void find_sources(const Pipe& pipe);
  void refresh(const Gas& gas);
  // Of gas at a node. Throws Fault where there is none.
  double temperature(const Gas& gas, double s, double p, double Y, std::size_t node) const;
  void set_end(std::size_t node, const End& end, const Gas& gas, double s, double Y);

  std::string name_;
  std::size_t n_;
  double dx_;
  // At each node; in the order that needs n_ first.
  Nodes area_slope_ = zeros();  // 1/m, d(ln A)/dx
  // The state: Pa, m/s, J/(kg K), mass fraction.
  Nodes p_ = zeros(), u_ = zeros(), s_ = zeros(), Y_ = zeros();
  // What follows from it.
  Nodes T_ = zeros(), c_ = zeros(), rho_ = zeros(), gamma_less_1_ = zeros();
  Nodes impedance_ = zeros(), forward_ = zeros(), backward_ = zeros();  // rho c, u + c, u - c
  // Per node distance.
  Nodes slope_p_ = zeros(), slope_u_ = zeros(), slope_s_ = zeros(), slope_Y_ = zeros();
  Nodes laminar_ = zeros(), turbulent_ = zeros(), heat_transfer_ = zeros(), T_wall_ = zeros();
  // E, c F, (Q - F u) / (rho T)
  Nodes pressure_rate_ = zeros(), force_rate_ = zeros(), entropy_rate_ = zeros();
  Nodes next_p_ = zeros(), next_u_ = zeros(), next_s_ = zeros(), next_Y_ = zeros();
  Primitive<double> left_{}, right_{};
  double left_s_ = 0, left_Y_ = 0, right_s_ = 0, right_Y_ = 0;  // of the gas that arrives
  End left_set_{}, right_set_{};
};

}  // namespace pulsewright::solver
