// Acoustic waves in a network of pipes in the frequency domain.
//
// Pressure and velocity at a cell are split into the two travelling waves,
//   p+- = (p' +- rho c u) / 2,
// and transformed by the Laplace integral of p(t) exp(-s t), s = sigma + i omega. A sigma > 0 damps
// oscillations that last beyond the end of the record; a linear calculation at the same complex
// frequency is damped equally.
#pragma once

#include <complex>
#include <cstddef>
#include <vector>

#include "validation/rig/pipe_rig.hpp"

namespace pulsewright::validation {

// Undisturbed gas: the constants of the wave split.
struct StillGas {
  double p, rho, c;  // Pa, kg/m3, m/s
};
StillGas still_gas(const solver::Gas& gas, const models::Ambient& ambient);

// Ideal gas of gamma 1.4 whose speed of sound at the temperature (K) is c (m/s).
solver::Gas gas_with_sound_speed(double c, double T);

// The waves at one cell against time.
class WaveRecord {
 public:
  WaveRecord(const StillGas& gas, std::size_t pipe, std::size_t cell)
      : gas_(gas), pipe_(pipe), cell_(cell) {}
  // Adds the present state.
  void add(const PipeRig& rig);

  // Transforms at s (1/s) of the right-going wave, the left-going wave, and p'.
  std::complex<double> right(std::complex<double> s) const { return spectrum(right_, s); }
  std::complex<double> left(std::complex<double> s) const { return spectrum(left_, s); }
  std::complex<double> pressure(std::complex<double> s) const { return right(s) + left(s); }

  const std::vector<double>& time() const { return time_; }

 private:
  // Trapezoidal rule over the time steps.
  std::complex<double> spectrum(const std::vector<double>& wave, std::complex<double> s) const;

  StillGas gas_;
  std::size_t pipe_, cell_;
  std::vector<double> time_, right_, left_;
};

// Steps the rig until the time (s) and adds every step to the records.
void record(PipeRig& rig, double duration, const std::vector<WaveRecord*>& records);

}  // namespace pulsewright::validation
