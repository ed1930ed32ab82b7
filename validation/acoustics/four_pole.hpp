// Linear acoustics of pipes by four-poles (transfer matrices), independent of the solver:
//
//   [p, q]_left = T [p, q]_right,  q = volume velocity to the right
//   pipe     [cosh(s L/c), Z sinh(s L/c); sinh(s L/c)/Z, cosh(s L/c)],  Z = rho c / A
//
// at the complex frequency s = sigma + i omega. No losses, no mean flow. Source: Munjal (1987),
// chapter 2.
#pragma once

#include <Eigen/Core>
#include <complex>

namespace pulsewright::validation {

using Complex = std::complex<double>;
using FourPole = Eigen::Matrix2cd;

struct Medium {
  double rho, c;  // kg/m3, m/s
};

inline FourPole pipe_four_pole(const Medium& gas, double length, double area, Complex s) {
  const Complex k = s * length / gas.c;
  const Complex Z = gas.rho * gas.c / area;
  FourPole T;
  T << std::cosh(k), Z * std::sinh(k), std::sinh(k) / Z, std::cosh(k);
  return T;
}

// A cone, approximated by short straight pieces.
inline FourPole cone_four_pole(const Medium& gas, double length, double D_left, double D_right,
                               Complex s, int pieces = 200) {
  FourPole T = FourPole::Identity();
  for (int i = 0; i < pieces; ++i) {
    const double D = D_left + (D_right - D_left) * (i + 0.5) / pieces;
    T = T * pipe_four_pole(gas, length / pieces, 0.785398163397448 * D * D, s);
  }
  return T;
}

// q/p at the left end, for p = Z q at the right end.
inline Complex admittance_of(const FourPole& T, Complex Z) {
  return (T(1, 0) * Z + T(1, 1)) / (T(0, 0) * Z + T(0, 1));
}
// The same for a closed right end.
inline Complex admittance_of_closed(const FourPole& T) { return T(1, 0) / T(0, 0); }

}  // namespace pulsewright::validation
