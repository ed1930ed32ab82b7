#include "validation/acoustics/spectrum.hpp"

#include <cmath>

namespace pulsewright::validation {

StillGas still_gas(const solver::Gas& gas, const models::Ambient& ambient) {
  return {ambient.pressure, ambient.pressure / (gas.gas_constant(0.0) * ambient.temperature),
          gas.sound_speed(ambient.temperature, 0.0)};
}

solver::Gas gas_with_sound_speed(double c, double T) {
  return constant_gamma_gas(1.4, c * c / (1.4 * T));
}

void WaveRecord::add(const PipeRig& rig) {
  const auto w = rig.pipe(pipe_).state(cell_);
  const double rise = w.p - gas_.p;
  const double flow = gas_.rho * gas_.c * w.u;
  time_.push_back(rig.time());
  right_.push_back(0.5 * (rise + flow));
  left_.push_back(0.5 * (rise - flow));
}

std::complex<double> WaveRecord::spectrum(const std::vector<double>& wave,
                                          std::complex<double> s) const {
  std::complex<double> sum = 0;
  std::complex<double> before = wave.front() * std::exp(-s * time_.front());
  for (std::size_t i = 1; i < wave.size(); ++i) {
    const std::complex<double> now = wave[i] * std::exp(-s * time_[i]);
    sum += 0.5 * (time_[i] - time_[i - 1]) * (before + now);
    before = now;
  }
  return sum;
}

void record(PipeRig& rig, double duration, const std::vector<WaveRecord*>& records) {
  rig.run_until(duration, [&] {
    for (WaveRecord* r : records) r->add(rig);
  });
}

}  // namespace pulsewright::validation
