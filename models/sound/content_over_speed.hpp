// Order content between the speeds that were computed.
//
// Between two neighbouring speeds the amplitude of every harmonic of every outlet is linear in
// speed, and its phase goes the shorter way round, linear in speed too. A phase that is the same
// function of crank angle at both speeds thus stays; one that moves by d between them shifts the
// frequency of the order by d / (2 pi) over the time from one speed to the next, half a cycle of
// sound at most: the frequency follows the speed to within 1 Hz where that takes half a second.
// Nothing jumps at the speeds themselves. Interpolating real and imaginary parts would let an order
// fade between two speeds at which its phases oppose each other.
#pragma once

#include <complex>
#include <vector>

#include "models/sound/sound_level.hpp"

namespace pulsewright::models {

class ContentOverSpeed {
 public:
  // One entry for each speed, rising, all with the same outlets; harmonics that an entry lacks are
  // 0. Throws std::invalid_argument otherwise.
  explicit ContentOverSpeed(const std::vector<SpeedContent>& speeds);

  double first_speed() const { return speeds_.front(); }  // rev/s
  double last_speed() const { return speeds_.back(); }

  // At a speed (rev/s) between the first and the last; beyond them that of the first or last.
  SpeedContent at(double speed) const;

 private:
  struct Polar {
    double amplitude;   // m3/s
    double phase;       // rad
    double phase_step;  // rad, the shorter way to that of the next speed
  };
  const Polar& polar(std::size_t speed, std::size_t outlet, std::size_t m) const {
    return polar_[(speed * outlets_ + outlet) * harmonics_ + m];
  }

  std::vector<double> speeds_;  // rev/s
  std::size_t outlets_ = 0, harmonics_ = 0;
  std::vector<Polar> polar_;  // by speed, outlet, m
};

}  // namespace pulsewright::models
