// A run that is sent and received is the same in every field, to the last bit. The fields are
// listed here by name, apart from the list that sends them.
#include "tools/spread/point_serialization.hpp"

#include <cstddef>
#include <doctest/doctest.h>
#include <limits>
#include <type_traits>
#include <vector>

using namespace pulsewright::models;
using namespace pulsewright::tools;

namespace {

// Each calls f(field) for all fields; vectors and structs are taken apart by Fill and Bytes.
template <class F>
void fields(CylinderFigures& x, F& f) {
  f(x.number), f(x.volumetric_efficiency), f(x.delivery_ratio), f(x.trapped_mass);
  f(x.residual_fraction), f(x.short_circuit_fraction), f(x.imep), f(x.imep_gross), f(x.pmep);
  f(x.peak_pressure), f(x.peak_pressure_angle), f(x.overlap_exhaust_pressure);
  f(x.overlap_difference), f(x.depression), f(x.depression_angle), f(x.exhaust_stroke_pressure);
  f(x.blowdown_pulse), f(x.blowdown_pulse_angle), f(x.exhaust_temperature);
}
template <class F>
void fields(MergeFigures& x, F& f) {
  f(x.name), f(x.cylinders), f(x.arrival), f(x.gap), f(x.evenness), f(x.wave_speed);
  f(x.degrees_per_metre), f(x.length_to_even), f(x.added_length);
}
template <class F>
void fields(LedgerLine& x, F& f) {
  f(x.in), f(x.source), f(x.out), f(x.lost), f(x.stored), f(x.imbalance);
}
template <class F>
void fields(Ledger& x, F& f) {
  f(x.mass), f(x.burnt), f(x.energy);
}
template <class F>
void fields(CylinderTraces& x, F& f) {
  f(x.exhaust_pressure), f(x.exhaust_outgoing), f(x.exhaust_returning), f(x.exhaust_temperature);
  f(x.exhaust_mass_flow), f(x.intake_pressure), f(x.intake_mass_flow), f(x.cylinder_pressure);
}
template <class F>
void fields(TailTrace& x, F& f) {
  f(x.name), f(x.mass_flow);
}
template <class F>
void fields(WaveDiagram& x, F& f) {
  f(x.cylinder), f(x.angle), f(x.distance), f(x.pipe_start), f(x.pipe_name), f(x.pressure);
  f(x.velocity);
}
template <class F>
void fields(PipeFigures& x, F& f) {
  f(x.name), f(x.wall_temperature), f(x.gas_temperature), f(x.peak_mach);
}
template <class F>
void fields(PointResult& x, F& f) {
  f(x.speed), f(x.converged), f(x.cycles), f(x.period), f(x.cells), f(x.cell_size), f(x.steps);
  f(x.clipped), f(x.torque), f(x.power), f(x.bmep), f(x.imep), f(x.pmep), f(x.fmep);
  f(x.volumetric_efficiency), f(x.delivery_ratio), f(x.residual_fraction);
  f(x.short_circuit_fraction), f(x.overlap_exhaust_pressure), f(x.overlap_difference);
  f(x.depression), f(x.depression_angle), f(x.exhaust_stroke_pressure), f(x.blowdown_pulse);
  f(x.exhaust_temperature), f(x.fuel_flow), f(x.cycle_noise_torque), f(x.cycle_noise_overlap);
  f(x.cylinders), f(x.merges), f(x.pipes), f(x.ledger), f(x.traces), f(x.tails), f(x.wave);
}

// Another value for every number and text, and what arithmetic does not tell apart: signed zero,
// numbers that are none, the smallest one.
struct Fill {
  int count = 0;

  template <class T>
  void operator()(T& x) {
    ++count;
    if constexpr (std::is_same_v<T, bool>) {
      x = true;
    } else if constexpr (std::is_floating_point_v<T>) {
      const T special[] = {T(-0.0), std::numeric_limits<T>::quiet_NaN(),
                           std::numeric_limits<T>::denorm_min(),
                           -std::numeric_limits<T>::infinity()};
      x = count % 7 == 0 ? special[(count / 7) % 4] : T(count) / T(3);
    } else if constexpr (std::is_integral_v<T>) {
      x = std::numeric_limits<T>::max() - count;
    } else {
      fields(x, *this);
    }
  }
  void operator()(std::string& x) {
    x = std::string("\0Rohr \xc3\xa4 ", 9) + std::to_string(++count);
  }
  template <class T>
  void operator()(std::vector<T>& x) {
    x.resize(static_cast<std::size_t>(1 + ++count % 3));
    for (T& part : x) (*this)(part);
  }
};

struct Bytes {
  std::string bytes;

  template <class T>
  void operator()(T& x) {
    if constexpr (std::is_arithmetic_v<T>) {
      bytes.append(reinterpret_cast<const char*>(&x), sizeof x);
    } else {
      fields(x, *this);
    }
  }
  void operator()(std::string& x) { bytes += std::to_string(x.size()) + ':' + x; }
  template <class T>
  void operator()(std::vector<T>& x) {
    bytes += std::to_string(x.size()) + ':';
    for (T& part : x) (*this)(part);
  }
};

std::string all_bytes(PointResult& result) {
  Bytes bytes;
  bytes(result);
  return bytes.bytes;
}

PointResult filled() {
  PointResult result;
  Fill fill;
  fill(result);
  return result;
}

}  // namespace

TEST_CASE("a run that is sent is received in every field, to the last bit") {
  PointResult result = filled();
  OwnedOutcome received = outcome_of(bytes_of({3, 5, &result, "", 0.1}));
  CHECK(received.header_index == 3);
  CHECK(received.speed_index == 5);
  CHECK(received.failure.empty());
  CHECK(received.seconds == 0.1);
  REQUIRE(received.result.has_value());
  CHECK((all_bytes(*received.result) == all_bytes(result)));
  PointResult empty;
  CHECK((all_bytes(empty) != all_bytes(result)));
}

TEST_CASE("a run that failed is received with its reason and without a result") {
  const OwnedOutcome received = outcome_of(bytes_of({7, 0, nullptr, "in 'pipe' at 0.9 m", 2.5}));
  CHECK(received.header_index == 7);
  CHECK_FALSE(received.result.has_value());
  CHECK(received.view().result == nullptr);
  CHECK(received.view().failure == "in 'pipe' at 0.9 m");
  CHECK(received.seconds == 2.5);
}

TEST_CASE("bytes that are cut short are refused") {
  PointResult result = filled();
  const std::string bytes = bytes_of({3, 5, &result, "", 0.1});
  for (std::size_t size = 0; size < bytes.size(); ++size) {
    INFO(size);
    CHECK_THROWS_AS(outcome_of(bytes.substr(0, size)), std::exception);
  }
}
