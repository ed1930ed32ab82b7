#include "models/dyno/mean_pull.hpp"

#include <cmath>
#include <cstddef>
#include <doctest/doctest.h>
#include <random>
#include <stdexcept>
#include <utility>
#include <vector>

#include "tests/near.hpp"

using namespace pulsewright;
using models::mean_of_pulls;
using models::pull_at;
using models::PullSamples;
using models::student_t_95;
using tests::near;

// Abramowitz and Stegun (1964), table 26.10, as quantiles of Boost.Math 1.74 to more digits.
TEST_CASE("t of Student for 95 %") {
  const std::vector<std::pair<std::size_t, double>> table{
      {1, 12.7062047362}, {2, 4.30265272975}, {3, 3.18244630528},  {4, 2.7764451052},
      {5, 2.57058183564}, {6, 2.44691185114}, {10, 2.22813885199}, {11, 2.20098516009},
      {30, 2.0422724563}, {59, 2.00099537809}};
  for (const auto& [degrees, t] : table) CHECK(near(student_t_95(degrees), t, 1e-11));
  CHECK_THROWS_AS(student_t_95(0), std::invalid_argument);
}

TEST_CASE("mean pull: a straight line is met exactly, dense or sparse, in any order") {
  PullSamples dense, sparse;
  for (int i = 200; i >= 0; --i) {
    dense.speed.push_back(50 + 0.25 * i);
    dense.value.push_back(300 + 2 * dense.speed.back());
  }
  sparse.speed = {70, 50, 60};
  sparse.value = {440, 400, 420};
  for (const double speed : {52.0, 55.0, 66.6}) {
    CHECK(near(pull_at(dense, speed, 4), 300 + 2 * speed, 1e-12, 0));
    CHECK(near(pull_at(sparse, speed, 10), 300 + 2 * speed, 1e-12, 0));
  }
  CHECK(std::isnan(pull_at(sparse, 49.9, 10)));  // nothing below
  CHECK(std::isnan(pull_at(sparse, 55, 4)));     // the neighbours are too far away
  CHECK(std::isnan(pull_at(dense, 101, 4)));     // no extrapolation
}

TEST_CASE("mean pull: a peak is kept, noise is smoothed") {
  PullSamples pull;
  for (int i = 0; i <= 400; ++i) {
    const double x = 50 + 0.1 * i;
    pull.speed.push_back(x);
    pull.value.push_back(400 - 0.5 * (x - 70) * (x - 70) + (i % 2 == 0 ? 2 : -2));
  }
  CHECK(near(pull_at(pull, 70, 8), 400, 0, 0.05));
  CHECK(near(pull_at(pull, 62, 8), 400 - 0.5 * 64, 0, 0.05));
  // Every second of two steps, without noise: an exact parabola.
  const PullSamples few{{64, 67, 70, 73, 76}, {382, 395.5, 400, 395.5, 382}};
  CHECK(near(pull_at(few, 70, 8), 400, 1e-12, 0));
  CHECK(near(pull_at(few, 69, 8), 399.5, 1e-12, 0));
}

TEST_CASE("mean pull: mean, scatter and interval of three pulls") {
  const std::vector<double> speeds{50, 60};
  const std::vector<PullSamples> pulls{
      {speeds, {99, 198}}, {speeds, {100, 200}}, {speeds, {101, 202}}};
  const auto mean = mean_of_pulls(pulls, speeds, 10);
  CHECK(near(mean.value[0], 100, 1e-12, 0));
  CHECK(near(mean.scatter, 0.01, 1e-12, 0));
  // t of 2 degrees of freedom at 97.5 %: 4.303 (Abramowitz and Stegun 1964, table 26.10).
  CHECK(near(mean.half_interval(0, 0.001), 4.303 * 0.01 * 100 / std::sqrt(3.0), 2e-4, 0));
  // A larger least scatter counts, with 1.96 of the normal distribution.
  CHECK(near(mean.half_interval(1, 0.05), 1.96 * 0.05 * 200 / std::sqrt(3.0), 1e-12, 0));
  const auto one = mean_of_pulls(std::span(pulls).first(1), speeds, 10);
  CHECK(near(one.half_interval(0, 0.0025), 1.96 * 0.0025 * 99, 1e-12, 0));
  CHECK_THROWS_AS(mean_of_pulls({}, speeds, 10), std::invalid_argument);
  const std::vector<PullSamples> uneven{{{50.0}, {1.0, 2.0}}};
  CHECK_THROWS_AS(mean_of_pulls(uneven, speeds, 10), std::invalid_argument);
}

// A value of its own is known less well than a mean of three, and no better for being alone.
TEST_CASE("mean pull: a speed that one of several pulls reaches has the scatter of all") {
  const std::vector<PullSamples> pulls{
      {{50, 60}, {99, 198}}, {{50, 60}, {100, 200}}, {{50, 60, 70}, {101, 202, 150}}};
  const auto mean = mean_of_pulls(pulls, std::vector<double>{50, 60, 70}, 10);
  REQUIRE(mean.count[2] == 1);
  CHECK(near(mean.value[2], 150, 1e-12, 0));
  // t of 2 degrees of freedom, as above; the scatter of 1 % is that of the other speeds.
  CHECK(near(mean.half_interval(2, 0.001), 4.303 * 0.01 * 150, 2e-4, 0));
}

// 400 sets of three pulls, each off by its own normal share: 95 % of the intervals hold the truth.
// Of 400 the share of 95 % scatters by 1.1 %; four times that is allowed.
TEST_CASE("mean pull: the interval holds what it says") {
  std::mt19937 random(7);
  std::normal_distribution<double> normal(0, 0.006);
  const std::vector<double> speeds{50, 60, 70};
  int held = 0;
  const int sets = 400;
  for (int set = 0; set < sets; ++set) {
    std::vector<PullSamples> pulls;
    for (int i = 0; i < 3; ++i) {
      const double off = 1 + normal(random);
      pulls.push_back({speeds, {100 * off, 120 * off, 110 * off}});
    }
    const auto mean = mean_of_pulls(pulls, speeds, 10);
    held += std::abs(mean.value[1] - 120) <= mean.half_interval(1, 0) ? 1 : 0;
  }
  CHECK(near(held / static_cast<double>(sets), 0.95, 0, 0.044));
}
