// The sound of every header in time, at one common gain.
//
// A pull runs from the lowest to the highest speed that all headers have; a steady sound holds one
// speed. Every piece fades in and out over 50 ms. Full scale is 1 dB above the highest peak of all
// pieces, so that the headers compare by ear.
#pragma once

#include <optional>
#include <vector>

#include "tools/listen/heard_headers.hpp"

namespace pulsewright::tools {

struct AudioOptions {
  std::optional<double> steady;  // rev/s; none: a pull
  double seconds = 8;            // of each header
  double sample_rate = 48000;    // Hz
};

struct Audio {
  double sample_rate = 0;                  // Hz
  double from = 0, to = 0;                 // rev/s
  double full_scale = 0;                   // Pa
  std::vector<std::vector<float>> pieces;  // by header, in parts of full scale, -1 .. 1
};

// Throws std::invalid_argument for a steady speed outside those that all headers have. All in
// rev/s; from, to: of the speeds that headers will have.
void require_heard_speed(double speed, double from, double to);
void require_heard_speed(const HeardHeaders& heard, double speed);

// Throws std::invalid_argument where headers with these speeds (rev/s) cannot be heard in a pull.
void require_pull(double from, double to);

// Throws std::invalid_argument for a steady speed outside those that all headers have, and for a
// pull where they have one speed only.
Audio audio_of(const HeardHeaders& heard, const AudioOptions& options);

// All pieces in one, half a second of silence between two.
std::vector<float> one_after_another(const Audio& audio);

}  // namespace pulsewright::tools
