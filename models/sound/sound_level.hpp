// The pressure content at the microphone, and its level.
//
//   P[m] = sum over the outlets of transfer(m f1) Q[m],  f1 = speed / 2 the frequency of the cycle
//   level = 10 log10( sum over m of |P[m]|^2 / 2 / p0^2 ),  p0 = 20 uPa
//
// A-weighting: the formula of IEC 61672-1, annex E [iec2013, annex E], normalised to 0 dB at 1
// kHz. The level is that of the steady sound of one cycle repeated, as a meter of slow response
// reads it.
#pragma once

#include <vector>

#include "models/sound/listening.hpp"
#include "models/sound/order_content.hpp"

namespace pulsewright::models {

inline constexpr double reference_pressure = 20e-6;  // Pa

// Volume flow out of every outlet at one speed.
struct SpeedContent {
  double speed = 0;                   // rev/s
  std::vector<OrderContent> outlets;  // m3/s
};

// Pa, complex amplitudes at the microphone; nothing beyond limit (Hz) and no mean. content.outlets
// are those of the place, in its order. Throws std::invalid_argument for another number of them.
OrderContent pressure_content(const Listening& place, const SpeedContent& content, double limit);

// dB to be added at a frequency, Hz.
double a_weighting(double f);

struct SoundLevel {
  double plain = 0;       // dB
  double a_weighted = 0;  // dB(A)
};
// pressure: Pa, amplitudes; cycle: Hz, frequency of the cycle. No pressure: -infinity.
SoundLevel sound_level(const OrderContent& pressure, double cycle);
// dB of a single order of this amplitude, Pa.
double order_level(const std::complex<double>& amplitude);

}  // namespace pulsewright::models
