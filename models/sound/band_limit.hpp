// The frequency up to which the computed flow out of a tail means something: the lowest of
//
//   higher modes   1.8412 c / (2 pi a): above it sound runs through a pipe of radius a in more
//                  ways than as a plane wave, which one dimension knows nothing of. 1.8412 is the
//                  first zero of J1': Munjal (1987), chapter 1
//   cells          ten cells to a wavelength (common practice, no source): shorter waves are
//                  damped by the numbers and not by the gas
//   trace          0.8 of half the samples of a cycle, as little of what is above may be folded
//                  back
//
// Content fades from 0.9 of the limit to nothing at the limit, so that an order that grows out of
// the band in a pull does not end in a click.
#pragma once

#include <cstddef>

namespace pulsewright::models {

enum class BandReason { higher_modes, cells, trace };

struct BandLimit {
  double frequency = 0;  // Hz
  BandReason reason = BandReason::higher_modes;
};

// radius, cell_size: m, of the tail; sound_speed: m/s, of the gas in it; trace_points: per cycle;
// speed: rev/s.
BandLimit band_limit(double radius, double cell_size, double sound_speed, std::size_t trace_points,
                     double speed);

// Weight of the content at f, 0 .. 1; both in Hz.
double band_weight(double f, double limit);

}  // namespace pulsewright::models
