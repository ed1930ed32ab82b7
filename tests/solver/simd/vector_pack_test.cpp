// Packs on the vector types of the compiler: lane by lane what a double gives, to the last bit.
#include "solver/simd/vector_pack.hpp"

#include <array>
#include <bit>
#include <cmath>
#include <cstdint>
#include <doctest/doctest.h>
#include <limits>
#include <vector>

#include "solver/simd/math.hpp"

using namespace pulsewright;
using namespace pulsewright::solver;

namespace {

std::uint64_t bits_of(double x) { return std::bit_cast<std::uint64_t>(x); }

// Both zeros, the ends of the range, what is no number.
const std::vector<double> numbers{0.0,
                                  -0.0,
                                  1.0,
                                  -2.5,
                                  1e-310,
                                  -1e300,
                                  0.1,
                                  std::numeric_limits<double>::infinity(),
                                  -std::numeric_limits<double>::infinity(),
                                  std::numeric_limits<double>::quiet_NaN()};

template <std::size_t N>
using Numbers = VectorPack<double, N>;

// Every pair of them in every lane, the other lanes filled with other pairs.
template <std::size_t N, class Check>
void for_pairs(const Check& check) {
  for (std::size_t i = 0; i < numbers.size(); ++i) {
    for (std::size_t j = 0; j < numbers.size(); ++j) {
      std::array<double, N> a{}, b{};
      for (std::size_t k = 0; k < N; ++k) {
        a[k] = numbers[(i + k) % numbers.size()];
        b[k] = numbers[(j + 3 * k) % numbers.size()];
      }
      check(a, b);
    }
  }
}

template <std::size_t N>
void compare_operators() {
  int wrong = 0;
  for_pairs<N>([&](const std::array<double, N>& a, const std::array<double, N>& b) {
    const auto x = load<Numbers<N>>(a.data());
    const auto y = load<Numbers<N>>(b.data());
    bool any_less = false;
    double greatest = a[0];
    for (std::size_t k = 0; k < N; ++k) {
      const auto same = [&](const Numbers<N>& pack, double value) {
        // Which of two NaN an operation hands on is open.
        wrong += bits_of(pack[k]) != bits_of(value) && !(std::isnan(pack[k]) && std::isnan(value));
      };
      same(x + y, a[k] + b[k]);
      same(x - y, a[k] - b[k]);
      same(x * y, a[k] * b[k]);
      same(x / y, a[k] / b[k]);
      same(-x, -a[k]);
      same(abs(x), std::abs(a[k]));
      same(sqrt(x), std::sqrt(a[k]));
      same(floor(x), std::floor(a[k]));
      same(max(x, y), a[k] > b[k] ? a[k] : b[k]);
      same(min(x, y), a[k] < b[k] ? a[k] : b[k]);
      same(select(x < y, x, y), a[k] < b[k] ? a[k] : b[k]);
      same(select(!(x == y) && (x >= y || x != y), x, y), a[k] != b[k] ? a[k] : b[k]);
      wrong += (x <= y)[k] != (a[k] <= b[k]);
      wrong += (x > y)[k] != (a[k] > b[k]);
      any_less = any_less || a[k] < b[k];
      greatest = greatest < a[k] ? a[k] : greatest;
    }
    wrong += any(x < y) != any_less;
    wrong += bits_of(largest(x)) != bits_of(greatest);
    std::array<double, N> back{};
    store(back.data(), x);
    for (std::size_t k = 0; k < N; ++k) wrong += bits_of(back[k]) != bits_of(a[k]);
  });
  CHECK(wrong == 0);
}

}  // namespace

TEST_CASE("vector pack: operators and functions are those of a double, lane by lane") {
  compare_operators<2>();
  compare_operators<4>();
}

TEST_CASE("vector pack: numbers from one number, from a function and from scattered places") {
  const Numbers<4> same = 3;
  const Numbers<4> counted([](auto k) { return 10.0 * static_cast<double>(k()); });
  const std::array<double, 6> data{1, 2, 3, 4, 5, 6};
  const std::array<std::size_t, 4> places{5, 0, 3, 3};
  const auto gathered = gather<Numbers<4>>(data.data(), places.data());
  for (std::size_t k = 0; k < 4; ++k) {
    CHECK(same[k] == 3);
    CHECK(counted[k] == 10.0 * static_cast<double>(k));
    CHECK(gathered[k] == data[places[k]]);
    for (const double x : numbers) {
      if (!std::isnan(x)) CHECK(bits_of(Numbers<4>(x)[k]) == bits_of(x));
    }
  }
}

#ifdef PULSEWRIGHT_HAS_STANDARD_SIMD
TEST_CASE("vector pack: log, exp, pow, sin and cos are those of the pack of as many lanes") {
  int wrong = 0;
  for (int i = 1; i < 4000; ++i) {
    alignas(64) std::array<double, lanes<Pack>> x{}, y{};
    for (std::size_t k = 0; k < lanes<Pack>; ++k) {
      x[k] = 0.003 * i * static_cast<double>(k + 1);
      y[k] = 4.0 - 0.002 * i;
    }
    const auto a = load<PackPortable>(x.data()), b = load<PackPortable>(y.data());
    const auto c = load<Pack>(x.data()), d = load<Pack>(y.data());
    const auto same = [&](const PackPortable& own, const Pack& other) {
      for (std::size_t k = 0; k < lanes<Pack>; ++k) wrong += bits_of(own[k]) != bits_of(other[k]);
    };
    same(solver::log(a), solver::log(c));
    same(solver::exp(b), solver::exp(d));
    same(solver::pow(a, b), solver::pow(c, d));
    same(solver::sin(a), solver::sin(c));
    same(solver::cos(a), solver::cos(c));
  }
  CHECK(wrong == 0);
}
#endif
