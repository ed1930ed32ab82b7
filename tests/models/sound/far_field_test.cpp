// The pressure at the microphone: monopole and ground against their formulas, levels against the
// standard's table, two outlets of a cross-plane engine, and the power of the far field against
// that which an open end lets go.
#include <array>
#include <cmath>
#include <complex>
#include <doctest/doctest.h>
#include <numbers>
#include <stdexcept>

#include "models/boundary/radiation.hpp"
#include "models/sound/band_limit.hpp"
#include "models/sound/listening.hpp"
#include "models/sound/order_content.hpp"
#include "models/sound/sound_level.hpp"
#include "tests/near.hpp"

namespace pulsewright::tests {

using namespace models;

namespace {

using std::numbers::pi;
using Place = Eigen::Vector3d;

constexpr Air air_20{1.2041, 343.24};  // kg/m3, m/s: dry air of 20 degC

ListeningSpecification free_field(const Place& microphone) {
  ListeningSpecification spec;
  spec.microphone = microphone;
  spec.ground_reflection = 0;
  return spec;
}

// A trace of 720 values: a pulse of the given width (deg) at every angle (deg), each with its
// height.
std::vector<float> pulses(const std::vector<double>& angles, const std::vector<double>& heights,
                          double width) {
  std::vector<float> trace(720, 0.0F);
  for (std::size_t k = 0; k < angles.size(); ++k) {
    for (std::size_t i = 0; i < trace.size(); ++i) {
      const double x = std::remainder(static_cast<double>(i) - angles[k], 720.0) / width;
      if (std::abs(x) < 0.5)
        trace[i] += static_cast<float>(heights[k] * std::pow(std::cos(pi * x), 2));
    }
  }
  return trace;
}

double level_of_harmonic(const OrderContent& pressure, std::size_t m) {
  return order_level(m < pressure.size() ? pressure[m] : 0.0);
}

}  // namespace

TEST_CASE("a pulsating monopole has the pressure of its formula") {
  // p = rho dQ/dt / (4 pi r), Q of 0.01 m3/s peak: Pierce (1989), chapter 4, computed by hand.
  struct Row {
    double f, r, p_rms, level;
  };
  for (const Row& row : {Row{100, 0.5, 0.851427, 92.5824}, Row{200, 0.5, 1.702854, 98.6030},
                         Row{500, 0.5, 4.257135, 106.5618}, Row{100, 1.0, 0.4257135, 86.5618},
                         Row{100, 7.5, 0.0567618, 69.0606}}) {
    CAPTURE(row.f);
    CAPTURE(row.r);
    const Listening place(free_field({0, row.r, 0}), {Place::Zero()}, air_20);
    const std::complex<double> p = 0.01 * place.transfer(0, row.f);
    CHECK(near(std::abs(p) / std::sqrt(2.0), row.p_rms, 2e-6));
    CHECK(near(order_level(p), row.level, 0, 1e-3));
    // Later by r / c, and ahead of the flow by a quarter: dQ/dt.
    const double phase = pi / 2 - 2 * pi * row.f * row.r / air_20.sound_speed;
    CHECK(near(std::remainder(std::arg(p) - phase, 2 * pi), 0, 0, 1e-9));
  }
}

TEST_CASE("a hard floor doubles the pressure of a source on it, and the image has its own path") {
  ListeningSpecification spec = free_field({3, 0, 0});
  const Listening without(spec, {Place::Zero()}, air_20);
  spec.ground_reflection = 1;
  spec.outlet_height = 0;
  const Listening on_floor(spec, {Place::Zero()}, air_20);
  for (const double f : {50.0, 700.0, 3000.0}) {
    CHECK(near(std::abs(on_floor.transfer(0, f) / without.transfer(0, f)), 2.0, 1e-12));
  }
  // Outlet and microphone 0.3 m above the floor, 0.8 m apart: the image is 1 m away. Half a wave of
  // difference of the paths leaves 1 - 0.8, times a reflection of 0.5 leaves 1 - 0.4.
  spec.microphone = Place(0.8, 0, 0);
  spec.outlet_height = 0.3;
  const double f = 0.5 * air_20.sound_speed / 0.2;
  const double alone = 2 * pi * f * air_20.density / (4 * pi * 0.8);
  CHECK(near(std::abs(Listening(spec, {Place::Zero()}, air_20).transfer(0, f)) / alone, 0.2, 1e-9));
  spec.ground_reflection = 0.5;
  CHECK(near(std::abs(Listening(spec, {Place::Zero()}, air_20).transfer(0, f)) / alone, 0.6, 1e-9));
}

TEST_CASE(
    "the stationary test puts the microphone half a metre from the outermost outlet at 45 deg") {
  // ISO 5130:2019 and SAE J1492.
  const Listening place({}, {{0, -0.6, 0}, {0, 0.6, 0}}, air_20);
  CHECK(near((place.microphone() - Place(0, 0.6, 0)).norm(), 0.5, 1e-12));
  CHECK(near(place.microphone().x(), 0.5 * std::sqrt(0.5), 1e-12));
  CHECK(near(place.microphone().y(), 0.6 + 0.5 * std::sqrt(0.5), 1e-12));
  CHECK(place.microphone().z() == 0);
}

TEST_CASE("places that have no far field are refused") {
  CHECK_THROWS_AS(Listening({}, {}, air_20), std::invalid_argument);
  CHECK_THROWS_AS(Listening(free_field({0.02, 0, 0}), {Place::Zero()}, air_20),
                  std::invalid_argument);
  ListeningSpecification buried;
  buried.microphone = Place(1, 0, -0.5);
  CHECK_THROWS_AS(Listening(buried, {Place::Zero()}, air_20), std::invalid_argument);
  // Outlets are 0.3 m above the ground: one 0.3 m lower lies on it, one any lower in it.
  CHECK_NOTHROW(Listening(free_field({1, 0, 0}), {Place(0, 0, -0.3)}, air_20));
  CHECK_THROWS_AS(Listening(free_field({1, 0, 0}), {Place::Zero(), Place(0, 0, -0.31)}, air_20),
                  std::invalid_argument);
}

TEST_CASE("A-weighting is that of the standard's table") {
  // IEC 61672-1:2013, table 3 (to 0.1 dB), at the exact frequencies 10^(n/10); read in
  // restatements.
  struct Row {
    int n;
    double dB;
  };
  for (const Row& row :
       {Row{10, -70.4}, Row{12, -56.7}, Row{13, -50.5}, Row{15, -39.4}, Row{17, -30.2},
        Row{18, -26.2}, Row{20, -19.1}, Row{21, -16.1}, Row{23, -10.9}, Row{24, -8.6},
        Row{26, -4.8},  Row{27, -3.2},  Row{28, -1.9},  Row{29, -0.8},  Row{30, 0.0},
        Row{31, 0.6},   Row{32, 1.0},   Row{33, 1.2},   Row{34, 1.3},   Row{35, 1.2},
        Row{36, 1.0},   Row{37, 0.5},   Row{38, -0.1},  Row{39, -1.1},  Row{40, -2.5},
        Row{41, -4.3},  Row{42, -6.6},  Row{43, -9.3}}) {
    CAPTURE(row.n);
    CHECK(near(a_weighting(std::pow(10.0, 0.1 * row.n)), row.dB, 0, 0.051));  // rounded
  }
  CHECK(a_weighting(1000) == 0);
}

TEST_CASE("levels of a sine: 1 Pa rms is 94 dB, at 100 Hz 19.1 dB less with A-weighting") {
  OrderContent pressure(9);
  pressure[4] = std::polar(std::sqrt(2.0), 1.0);  // 4 x 25 Hz
  const SoundLevel level = sound_level(pressure, 25);
  CHECK(near(level.plain, 93.9794, 0, 1e-3));  // 20 log10(1 / 20e-6)
  CHECK(near(level.a_weighted, 93.9794 - 19.143, 0, 1e-2));
  CHECK(std::isinf(sound_level(OrderContent(9), 25).plain));
}

TEST_CASE("harmonics of a trace are those that it was made of") {
  std::vector<float> trace(720);
  for (std::size_t i = 0; i < trace.size(); ++i) {
    const double theta = 2 * pi * static_cast<double>(i) / 720;
    trace[i] = static_cast<float>(3 + 2 * std::cos(5 * theta - 0.7) + 0.5 * std::sin(300 * theta));
  }
  const OrderContent content = order_content(trace);
  REQUIRE(content.size() == 360);
  CHECK(near(content[0].real(), 3, 1e-6));
  CHECK(near(std::abs(content[5] - std::polar(2.0, -0.7)), 0, 0, 1e-6));
  CHECK(near(std::abs(content[300] - std::polar(0.5, -pi / 2)), 0, 0, 1e-6));
  CHECK(near(std::abs(content[7]), 0, 0, 1e-6));
  CHECK_THROWS_AS(order_content(std::vector<float>{1, 2}), std::invalid_argument);
  CHECK_THROWS_AS(order_content(std::vector<float>{1, NAN, 2, 3}), std::invalid_argument);
}

TEST_CASE("two outlets at one distance cancel the half orders of a cross-plane V8, one does not") {
  // Firing order 1-8-4-3-6-5-7-2, cylinders of odd number on one bank, 90 deg apart: the banks fire
  // at 0, 270, 450, 540 and at 90, 180, 360, 630 deg; both together every 90 deg.
  const std::vector<double> equal(4, 0.3);
  const OrderContent left = order_content(pulses({0, 270, 450, 540}, equal, 120));
  const OrderContent right = order_content(pulses({90, 180, 360, 630}, equal, 120));
  const SpeedContent both{100, {left, right}};
  const double limit = 4000;

  const Listening between(free_field({5, 0, 0}), {{0, -0.6, 0}, {0, 0.6, 0}}, air_20);
  const OrderContent even = pressure_content(between, both, limit);
  const OrderContent single = pressure_content(
      Listening(free_field({5, 0, 0}), {{0, -0.6, 0}}, air_20), {100, {left}}, limit);
  // Order 4 is the firing of eight cylinders: harmonic 8. Half orders are the odd harmonics.
  const double firing = level_of_harmonic(even, 8);
  CHECK(firing > 100);
  for (const std::size_t m : {1u, 3u, 5u, 7u, 9u, 11u}) {
    CAPTURE(m);
    CHECK(level_of_harmonic(even, m) < firing - 100);
    CHECK(level_of_harmonic(single, m) > level_of_harmonic(single, 8) - 20);
  }
  // Nearer to one of them they are back.
  const Listening aside(free_field({0.35, 0.95, 0}), {{0, -0.6, 0}, {0, 0.6, 0}}, air_20);
  const OrderContent heard = pressure_content(aside, both, limit);
  CHECK(level_of_harmonic(heard, 3) > level_of_harmonic(heard, 8) - 20);
}

TEST_CASE("an engine of four that fires evenly has the multiples of order two alone") {
  const OrderContent flow =
      order_content(pulses({0, 180, 360, 540}, std::vector<double>(4, 0.2), 140));
  const Listening place({}, {Place::Zero()}, air_20);
  const OrderContent pressure = pressure_content(place, {100, {flow}}, 4000);
  const double firing = level_of_harmonic(pressure, 4);
  for (std::size_t m = 1; m <= 24; ++m) {
    CAPTURE(m);
    if (m % 4 == 0) {
      CHECK(level_of_harmonic(pressure, m) > firing - 60);
    } else {
      CHECK(level_of_harmonic(pressure, m) < firing - 100);
    }
  }
  // One cylinder that gives less brings the others back.
  const OrderContent uneven = pressure_content(
      place, {100, {order_content(pulses({0, 180, 360, 540}, {0.2, 0.2, 0.2, 0.15}, 140))}}, 4000);
  CHECK(level_of_harmonic(uneven, 1) > firing - 60);
}

TEST_CASE("the far field carries the power that the open end lets go") {
  // The air outside an end of the model (boundary/radiation.hpp) takes the power (p - p_0) U S;
  // spread over a sphere it is the square of the pressure there over rho c. Both in the same cold
  // air, at low ka, with the 2 % by which a monopole and an unflanged end agree for ka < 0.1. Ratio
  // of the exact resistance (1 - |R|^2) / |1 - R|^2 to (ka)^2 / 4, with |R| and added length of
  // Levine & Schwinger, Phys. Rev. 73 (1948) 383, integrals evaluated: 0.998 at ka = 0.05, 0.993 at
  // 0.1.
  constexpr double radius = 0.025;
  constexpr double gamma = 1.4;
  constexpr double p_0 = 101325;
  const double rho = gamma * p_0 / (air_20.sound_speed * air_20.sound_speed);
  const Air air{rho, air_20.sound_speed};
  const double S = pi * radius * radius;
  for (const std::array<double, 2>& row : {std::array{0.05, 0.998}, std::array{0.1, 0.993}}) {
    const double ka = row[0];
    const double exact = row[1];
    CAPTURE(ka);
    const double omega = ka * air.sound_speed / radius;
    constexpr double U = 10;  // m/s, amplitude
    Radiation radiation(radius, p_0);
    constexpr int steps = 4000;  // per period
    const double dt = 2 * pi / omega / steps;
    double work = 0;  // J, of the last period
    for (int i = 0; i < 30 * steps; ++i) {
      const double v = -U * std::sin(omega * (i + 0.5) * dt);  // into the pipe
      const Radiation::Load load = radiation.load(rho, gamma, dt);
      const double p = load.p - load.impedance * v - p_0;
      radiation.advance(v, rho);
      if (i >= 29 * steps) work -= p * v * S * dt;
    }
    const double let_go = work * omega / (2 * pi);
    const double r = 20;
    const Listening place(free_field({r, 0, 0}), {Place::Zero()}, air);
    const double p = std::abs(place.transfer(0, omega / (2 * pi))) * U * S;
    const double far = 4 * pi * r * r * 0.5 * p * p / (air.density * air.sound_speed);
    CHECK(near(let_go / far, exact, 0.02));
  }
}

TEST_CASE("the band ends where the model does, and fades out below it") {
  // 1.8412 c / (2 pi a) of 38 mm radius and 600 m/s: 4627 Hz; ten cells of 20 mm: 3000 Hz; 0.8 of
  // the 90 samples of half a cycle at 10 rev/s: 360 Hz.
  CHECK(near(band_limit(0.038, 0.008, 600, 720, 100).frequency, 4627, 1e-3));
  CHECK(band_limit(0.038, 0.008, 600, 720, 100).reason == BandReason::higher_modes);
  CHECK(near(band_limit(0.038, 0.020, 600, 720, 100).frequency, 3000, 1e-12));
  CHECK(band_limit(0.038, 0.020, 600, 720, 100).reason == BandReason::cells);
  CHECK(near(band_limit(0.038, 0.008, 600, 180, 10).frequency, 360, 1e-12));
  CHECK(band_limit(0.038, 0.008, 600, 180, 10).reason == BandReason::trace);
  CHECK(band_weight(100, 1000) == 1);
  CHECK(near(band_weight(950, 1000), 0.5, 1e-9));
  CHECK(near(band_weight(1000, 1000), 0, 0, 1e-12));
  CHECK(near(band_weight(2000, 1000), 0, 0, 1e-12));
}

}  // namespace pulsewright::tests
