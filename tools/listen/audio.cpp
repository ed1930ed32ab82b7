#include "tools/listen/audio.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <limits>
#include <numbers>
#include <stdexcept>
#include <tuple>
#include <utility>

#include "models/sound/pull.hpp"
#include "tools/study/band.hpp"

namespace pulsewright::tools {

namespace {

constexpr double fade_seconds = 0.05;
constexpr double headroom_db = 1;
constexpr double silence_seconds = 0.5;

// rev/s, from the highest of the lowest speeds to the lowest of the highest.
std::pair<double, double> common_speeds(const HeardHeaders& heard) {
  double from = 0;
  double to = std::numeric_limits<double>::infinity();
  for (const HeardHeader& header : heard.headers) {
    from = std::max(from, header.content.first_speed());
    to = std::min(to, header.content.last_speed());
  }
  return {from, to};
}

void fade(std::vector<float>& piece, double sample_rate) {
  const auto n = std::min(piece.size() / 2, static_cast<std::size_t>(fade_seconds * sample_rate));
  for (std::size_t i = 0; i < n; ++i) {
    const double part = static_cast<double>(i) / static_cast<double>(n);
    const auto weight = static_cast<float>(0.5 * (1 - std::cos(std::numbers::pi * part)));
    piece[i] *= weight;
    piece[piece.size() - 1 - i] *= weight;
  }
}

}  // namespace

void require_heard_speed(double speed, double from, double to) {
  if (in_band(speed, from, to)) return;
  throw std::invalid_argument(
      fmt::format("{:.0f} rpm: the headers are heard from {:.0f} to {:.0f} rpm", 60 * speed,
                  60 * from, 60 * to));
}

void require_heard_speed(const HeardHeaders& heard, double speed) {
  const auto [from, to] = common_speeds(heard);
  require_heard_speed(speed, from, to);
}

void require_pull(double from, double to) {
  if (from < to) return;
  throw std::invalid_argument(
      "a pull needs two speeds that all headers have; a steady speed is heard with --speed");
}

Audio audio_of(const HeardHeaders& heard, const AudioOptions& options) {
  Audio audio;
  audio.sample_rate = options.sample_rate;
  std::tie(audio.from, audio.to) = common_speeds(heard);
  if (options.steady) {
    require_heard_speed(heard, *options.steady);
    audio.from = audio.to = *options.steady;
  } else {
    require_pull(audio.from, audio.to);
  }
  const models::Pull pull{audio.from, audio.to, options.seconds, options.sample_rate};
  float peak = 0;
  for (const HeardHeader& header : heard.headers) {
    audio.pieces.push_back(
        models::pull_sound(header.place, header.content, heard.limit.frequency, pull));
    fade(audio.pieces.back(), options.sample_rate);
    for (const float p : audio.pieces.back()) peak = std::max(peak, std::abs(p));
  }
  audio.full_scale = peak > 0 ? std::pow(10, headroom_db / 20) * peak : 1;
  for (auto& piece : audio.pieces) {
    for (float& p : piece) p = static_cast<float>(p / audio.full_scale);
  }
  return audio;
}

std::vector<float> one_after_another(const Audio& audio) {
  std::vector<float> all;
  const auto silence = static_cast<std::size_t>(silence_seconds * audio.sample_rate);
  for (const auto& piece : audio.pieces) {
    if (!all.empty()) all.insert(all.end(), silence, 0.0F);
    all.insert(all.end(), piece.begin(), piece.end());
  }
  return all;
}

}  // namespace pulsewright::tools
