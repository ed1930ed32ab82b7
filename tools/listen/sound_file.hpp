// Samples as a sound file, by libsndfile: one channel, whole numbers of 16 or 24 bits.
#pragma once

#include <span>
#include <string>

namespace pulsewright::tools {

struct SoundFormat {
  int sample_rate = 48000;  // Hz
  int bits = 24;            // 16 or 24
};

// A WAV file in place of what has that name, whole or not at all. samples: parts of full scale,
// from -1 to 1, beyond which they are clipped; title: as programs that play it show it. Throws
// StoreError for a file that cannot be written, std::invalid_argument for other bits.
void write_wave(const std::string& path, std::span<const float> samples, const SoundFormat& format,
                const std::string& title);

// The bytes of a FLAC file of 16 bits, which is lossless and half as long. Throws
// std::runtime_error if libsndfile has no FLAC.
std::string flac_of(std::span<const float> samples, int sample_rate);

}  // namespace pulsewright::tools
