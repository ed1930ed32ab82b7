// A run that is sent and received is the same in every field, to the last bit. That the walk over
// the fields misses none is tested in tests/models/figures/figure_table_test.cpp.
#include "tools/spread/point_serialization.hpp"

#include <cstddef>
#include <doctest/doctest.h>
#include <limits>
#include <type_traits>
#include <vector>

#include "models/figures/figure_table.hpp"

using namespace pulsewright::models;
using namespace pulsewright::tools;

namespace {

// Another value for every number and text, and what arithmetic does not tell apart: signed zero,
// NaN, the smallest one.
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
      for_each_member(x, *this);
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
      for_each_member(x, *this);
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
