// The sound pressure at the microphone in time while the engine runs through a band, or at a speed.
//
// The speed rises (or falls) evenly in time. The phase theta of the cycle is the integral of half
// the speed over time and runs on from the first sample to the last:
//
//   p(t) = Re sum over m of P[m](speed(t)) exp(i m theta(t))
//
// with the content of content_over_speed.hpp and the paths of listening.hpp at the frequency of the
// moment. P is computed 750 times a second (at 48 kHz) and linear between. That a path takes the
// frequency of now and not of when the sound left is an error of pi m f' (r/c)^2, f' the rise of
// the frequency of the cycle: 0.03 rad for a pull of 1000 rpm/s at 0.5 m and m = 500.
#pragma once

#include <vector>

#include "models/sound/content_over_speed.hpp"

namespace pulsewright::models {

struct Pull {
  double from = 0, to = 0;  // rev/s; equal: a steady speed
  double seconds = 0;
  double sample_rate = 48000;  // Hz
};

// Pa, one value for each sample. limit: Hz, see band_limit.hpp; less than half the sample rate.
// Throws std::invalid_argument for a pull without duration, speed or samples, and a limit that is
// too high.
std::vector<float> pull_sound(const Listening& place, const ContentOverSpeed& content, double limit,
                              const Pull& pull);

}  // namespace pulsewright::models
