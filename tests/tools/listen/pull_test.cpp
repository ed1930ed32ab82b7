// The sound in time: content between speeds, phase that runs on, and sound files that read back.
#include "models/sound/pull.hpp"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <doctest/doctest.h>
#include <filesystem>
#include <numbers>
#include <sndfile.h>
#include <unistd.h>

#include "models/sound/content_over_speed.hpp"
#include "tests/near.hpp"
#include "tools/listen/audio.hpp"
#include "tools/listen/sound_file.hpp"
#include "tools/results/store_error.hpp"

namespace pulsewright::tests {

using namespace models;

namespace {

using std::numbers::pi;

constexpr Air air{1.2041, 343.24};  // kg/m3, m/s
constexpr double limit = 4000;      // Hz

Listening free_field() {
  ListeningSpecification spec;
  spec.microphone = Eigen::Vector3d(0.5, 0, 0);
  spec.ground_reflection = 0;
  return {spec, {Eigen::Vector3d::Zero()}, air};
}

// Harmonics m with amplitude (m3/s) and phase at a speed (rev/s).
struct Harmonic {
  std::size_t m;
  double amplitude, phase;
};
SpeedContent content(double speed, const std::vector<Harmonic>& harmonics) {
  OrderContent outlet(200);
  for (const Harmonic& h : harmonics) outlet[h.m] = std::polar(h.amplitude, h.phase);
  return {speed, {outlet}};
}

// Hz, from the first and the last upward crossing of zero within samples from .. to.
double frequency(const std::vector<float>& sound, std::size_t from, std::size_t to, double rate) {
  double first = -1, last = -1;
  int count = -1;
  for (std::size_t i = from + 1; i < to; ++i) {
    if (!(sound[i - 1] < 0 && sound[i] >= 0)) continue;
    last = static_cast<double>(i) - static_cast<double>(sound[i]) / (sound[i] - sound[i - 1]);
    if (first < 0) first = last;
    ++count;
  }
  return count * rate / (last - first);
}

double rms(const std::vector<float>& sound) {
  double sum = 0;
  for (const float p : sound) sum += static_cast<double>(p) * p;
  return std::sqrt(sum / static_cast<double>(sound.size()));
}

// A sound file as libsndfile reads it.
struct SoundRead {
  SF_INFO info{};
  std::vector<float> samples;
};
SoundRead read_sound(const std::string& path) {
  SoundRead sound;
  SNDFILE* file = sf_open(path.c_str(), SFM_READ, &sound.info);
  REQUIRE(file != nullptr);
  sound.samples.resize(static_cast<std::size_t>(sound.info.frames));
  CHECK(sf_readf_float(file, sound.samples.data(), sound.info.frames) == sound.info.frames);
  sf_close(file);
  return sound;
}

std::string scratch(const char* name) {
  return (std::filesystem::temp_directory_path() /
          (std::string("pulsewright-sound-") + std::to_string(::getpid()) + name))
      .string();
}

}  // namespace

TEST_CASE(
    "content at the speeds is that which was given, and between them neither jumps nor fades") {
  // Phases that oppose each other: real and imaginary parts between them would go through 0.
  const ContentOverSpeed over({content(50, {{8, 0.2, 0.1}}),
                               content(60, {{8, 0.4, 0.1 + 0.9 * pi}}),
                               content(80, {{8, 0.1, -2}})});
  const auto at = [&](double speed) { return over.at(speed).outlets[0][8]; };
  CHECK(near(std::abs(at(50) - std::polar(0.2, 0.1)), 0, 0, 1e-12));
  CHECK(near(std::abs(at(60) - std::polar(0.4, 0.1 + 0.9 * pi)), 0, 0, 1e-12));
  CHECK(near(std::abs(at(80) - std::polar(0.1, -2.0)), 0, 0, 1e-12));
  CHECK(near(std::abs(at(55) - std::polar(0.3, 0.1 + 0.45 * pi)), 0, 0, 1e-12));
  CHECK(near(std::abs(at(60 - 1e-9) - at(60 + 1e-9)), 0, 0, 1e-8));
  // From 0.1 + 0.9 pi to -2 the shorter way leads upward, beyond pi.
  const double way = std::remainder(-2 - (0.1 + 0.9 * pi), 2 * pi);
  CHECK(way > 0);
  CHECK(near(std::abs(at(70) - std::polar(0.25, 0.1 + 0.9 * pi + 0.5 * way)), 0, 0, 1e-12));
  CHECK(at(40) == at(50));
  CHECK(at(90) == at(80));
  CHECK_THROWS_AS(ContentOverSpeed({}), std::invalid_argument);
  CHECK_THROWS_AS(ContentOverSpeed({content(60, {}), content(50, {})}), std::invalid_argument);
}

TEST_CASE("a steady speed has the frequency of its order and the level of its content") {
  // Order 4 at 6000 rpm: 400 Hz.
  const ContentOverSpeed over({content(100, {{8, 0.01, 1.0}})});
  const std::vector<float> sound = pull_sound(free_field(), over, limit, {100, 100, 1.0, 48000});
  REQUIRE(sound.size() == 48000);
  CHECK(near(frequency(sound, 0, sound.size(), 48000), 400, 1e-5));
  // rho omega Q / (4 pi r) / sqrt(2)
  CHECK(near(rms(sound), 1.2041 * 2 * pi * 400 * 0.01 / (4 * pi * 0.5) / std::sqrt(2.0), 1e-4));
}

TEST_CASE(
    "in a pull the frequency follows the speed, and nothing clicks where speeds were computed") {
  // 3000 to 6000 rpm in 3 s; order 4 alone: 200 to 400 Hz, at every moment the speed over 15.
  const std::vector<Harmonic> order_4{{8, 0.01, 1.0}};
  const ContentOverSpeed over({content(50, order_4), content(75, order_4), content(100, order_4)});
  const Pull pull{50, 100, 3.0, 48000};
  const std::vector<float> sound = pull_sound(free_field(), over, limit, pull);
  for (const double t : {0.25, 1.5, 2.75}) {
    CAPTURE(t);
    const auto middle = static_cast<std::size_t>(t * 48000);
    const double speed = 50 + 50 * t / 3;
    CHECK(near(frequency(sound, middle - 4800, middle + 4800, 48000), 4 * speed, 2e-3));
  }
  // Orders that change in amplitude and phase from speed to speed. No step from sample to sample is
  // larger than the sum of omega times amplitude allows, the highest of it, with 5 % for amplitude
  // and phase that move: a jump of phase by a tenth of a turn would be several times that.
  const ContentOverSpeed changing({content(50, {{3, 0.02, 0}, {8, 0.01, 1}, {16, 0.004, 2}}),
                                   content(60, {{3, 0.01, 3}, {8, 0.02, -2}, {16, 0.001, 0}}),
                                   content(75, {{3, 0.03, -1}, {8, 0.01, 1}, {16, 0.003, -3}}),
                                   content(100, {{3, 0.01, 2}, {8, 0.03, 0}, {16, 0.002, 1}})});
  const std::vector<float> moving = pull_sound(free_field(), changing, limit, pull);
  double most = 0;
  for (std::size_t i = 1; i < moving.size(); ++i)
    most = std::max(most, std::abs(static_cast<double>(moving[i]) - moving[i - 1]));
  double allowed = 0;
  for (const Harmonic& h : {Harmonic{3, 0.03, 0}, Harmonic{8, 0.03, 0}, Harmonic{16, 0.004, 0}}) {
    const double omega = 2 * pi * 50.0 * static_cast<double>(h.m);
    allowed += omega * omega * h.amplitude * 1.2041 / (4 * pi * 0.5) / 48000;
  }
  CHECK(most < 1.05 * allowed);
  CHECK(most > 0.2 * allowed);
  // And the slope does not jump either: the second difference, where a kink would show.
  double bend = 0;
  for (std::size_t i = 2; i < moving.size(); ++i) {
    bend = std::max(bend,
                    std::abs(static_cast<double>(moving[i]) - 2.0 * moving[i - 1] + moving[i - 2]));
  }
  double bend_allowed = 0;
  for (const Harmonic& h : {Harmonic{3, 0.03, 0}, Harmonic{8, 0.03, 0}, Harmonic{16, 0.004, 0}}) {
    const double omega = 2 * pi * 50.0 * static_cast<double>(h.m);
    bend_allowed += omega * omega * omega * h.amplitude * 1.2041 / (4 * pi * 0.5) / 48000 / 48000;
  }
  CHECK(bend < 1.1 * bend_allowed);
}

// 6000 to 60 rpm in 2400 samples, which end within a block of 64: half a block further the speed
// would be negative. Between blocks amplitude and phase are linear, of whose product 0.1 % of the
// amplitude at the start is not.
TEST_CASE("a falling pull has its sound to the last sample") {
  const std::vector<Harmonic> order_4{{8, 0.01, 1.0}};
  const ContentOverSpeed over({content(1, order_4), content(100, order_4)});
  const Pull pull{100, 1, 0.3, 8000};
  const std::vector<float> sound = pull_sound(free_field(), over, 3000, pull);
  REQUIRE(sound.size() == 2400);
  const auto amplitude = [](double speed) { return 1.2041 * 4 * speed * 0.01 / (2 * 0.5); };
  double worst = 0;
  for (std::size_t i = 0; i < sound.size(); ++i) {
    const double t = static_cast<double>(i) / 8000;
    const double speed = 100 - 330 * t;
    const double turns = 4 * (100 * t - 165 * t * t);  // of the harmonic
    const double omega = 2 * pi * 4 * speed;
    // The derivative of the flow, from half a metre away.
    const double phase = 2 * pi * turns + 1.0 + 0.5 * pi - omega * 0.5 / 343.24;
    worst = std::max(worst, std::abs(sound[i] - amplitude(speed) * std::cos(phase)));
  }
  CHECK(worst < 2e-3 * amplitude(100));
}

TEST_CASE("orders that leave the band in a pull fade out") {
  // Order 30 reaches 4000 Hz at 8000 rpm; from 0.9 of that on it fades.
  const std::vector<Harmonic> high{{60, 0.001, 0}};
  const ContentOverSpeed over({content(100, high), content(150, high)});
  const auto sound = pull_sound(free_field(), over, limit, {100, 150, 2.0, 48000});
  const auto peak = [&](double from, double to) {
    float most = 0;
    for (auto i = static_cast<std::size_t>(from * 48000); i < static_cast<std::size_t>(to * 48000);
         ++i)
      most = std::max(most, std::abs(sound[i]));
    return most;
  };
  CHECK(peak(0.0, 0.1) > 0.5F * peak(0.7, 0.8));
  CHECK(peak(1.4, 2.0) < 1e-6F * peak(0.0, 0.1));
}

TEST_CASE("a pull that cannot be made is refused") {
  const ContentOverSpeed over({content(100, {{8, 0.01, 1.0}})});
  CHECK_THROWS_AS(pull_sound(free_field(), over, limit, {0, 100, 1, 48000}), std::invalid_argument);
  CHECK_THROWS_AS(pull_sound(free_field(), over, limit, {50, 100, 0, 48000}),
                  std::invalid_argument);
  CHECK_THROWS_AS(pull_sound(free_field(), over, limit, {50, 100, 1, 8000}), std::invalid_argument);
}

TEST_CASE("a sound file read back has frequency and level of what was written") {
  // 400 Hz at half of full scale: rms 0.5 / sqrt(2).
  std::vector<float> samples(48000);
  for (std::size_t i = 0; i < samples.size(); ++i)
    samples[i] = 0.5F * std::sin(static_cast<float>(
                            2 * pi * std::fmod(400.0 * static_cast<double>(i) / 48000, 1.0)));
  for (const int bits : {16, 24}) {
    CAPTURE(bits);
    const std::string path = scratch(".wav");
    tools::write_wave(path, samples, {48000, bits}, "a sine");
    const SoundRead read = read_sound(path);
    CHECK(read.info.samplerate == 48000);
    CHECK(read.info.channels == 1);
    CHECK(read.info.format == (SF_FORMAT_WAV | (bits == 16 ? SF_FORMAT_PCM_16 : SF_FORMAT_PCM_24)));
    REQUIRE(read.samples.size() == samples.size());
    CHECK(near(frequency(read.samples, 0, read.samples.size(), 48000), 400, 1e-5));
    CHECK(near(rms(read.samples), 0.5 / std::sqrt(2.0), 1e-4));
    double worst = 0;
    for (std::size_t i = 0; i < samples.size(); ++i)
      worst = std::max(worst, std::abs(static_cast<double>(read.samples[i]) - samples[i]));
    CHECK(worst < std::ldexp(1.01, 1 - bits));  // a step of whole numbers
    std::filesystem::remove(path);
  }
  CHECK_THROWS_AS(tools::write_wave("/nowhere/at/all.wav", samples, {}, ""), tools::StoreError);
  CHECK_THROWS_AS(tools::write_wave(scratch(".wav"), samples, {48000, 20}, ""),
                  std::invalid_argument);

  const std::string flac = tools::flac_of(samples, 24000);
  CHECK(flac.substr(0, 4) == "fLaC");
  const std::string path = scratch(".flac");
  {
    std::FILE* file = std::fopen(path.c_str(), "wb");
    REQUIRE(file != nullptr);
    CHECK(std::fwrite(flac.data(), 1, flac.size(), file) == flac.size());
    std::fclose(file);
  }
  const SoundRead read = read_sound(path);
  CHECK(read.info.samplerate == 24000);
  REQUIRE(read.samples.size() == samples.size());
  CHECK(near(frequency(read.samples, 0, read.samples.size(), 24000), 200, 1e-5));
  CHECK(near(rms(read.samples), 0.5 / std::sqrt(2.0), 1e-3));
  std::filesystem::remove(path);
}

TEST_CASE("headers in one file have one gain, and a header twice as loud stays so") {
  tools::HeardHeaders heard;
  heard.limit.frequency = limit;
  for (const double amplitude : {0.01, 0.02}) {
    heard.headers.push_back(
        {"",
         free_field(),
         ContentOverSpeed({content(50, {{8, amplitude, 0}}), content(100, {{8, amplitude, 0}})}),
         {}});
  }
  const tools::Audio audio = tools::audio_of(heard, {std::nullopt, 1.0, 48000});
  CHECK(audio.from == 50);
  CHECK(audio.to == 100);
  REQUIRE(audio.pieces.size() == 2);
  CHECK(near(rms(audio.pieces[1]) / rms(audio.pieces[0]), 2, 1e-5));
  const auto [least, most] = std::minmax_element(audio.pieces[1].begin(), audio.pieces[1].end());
  const float peak = std::max(-*least, *most);
  CHECK(near(peak, std::pow(10, -1.0 / 20), 1e-4));  // 1 dB below full scale
  CHECK(audio.pieces[0].front() == 0);
  // Pieces of 1 s and half a second of silence between them.
  CHECK(tools::one_after_another(audio).size() == 48000 + 24000 + 48000);
  CHECK(tools::audio_of(heard, {75.0, 1.0, 48000}).to == 75);
  CHECK_THROWS_AS(tools::audio_of(heard, {120.0, 1.0, 48000}), std::invalid_argument);
  CHECK_THROWS_AS(tools::require_pull(50, 50), std::invalid_argument);
}

}  // namespace pulsewright::tests
