// The summary follows from verdicts alone, and names every other header once.
#include "tools/study/comparison_words.hpp"

#include <algorithm>
#include <cmath>
#include <doctest/doctest.h>
#include <limits>

#include "tools/report/packed_series.hpp"

namespace pulsewright::tests {

using namespace tools;

namespace {

Comparison with_others(const std::vector<Difference>& differences) {
  Comparison c;
  c.title = "invented";
  c.band_from = 75;
  c.band_to = 100;
  c.speeds = {75, 100};
  const char* names[] = {"first", "second", "third", "fourth"};
  for (std::size_t i = 0; i <= differences.size(); ++i) {
    HeaderFigures f;
    f.name = names[i];
    f.band[0].value = 500;  // torque
    f.torque = {540, 90};
    c.headers.push_back(f);
  }
  for (std::size_t i = 0; i < differences.size(); ++i) {
    c.pairs.push_back({i + 1, differences[i], {}, {{75, differences[i]}}});
  }
  return c;
}

Difference difference(double value, double grid, double merge, bool turns = false, double gas = 0) {
  return {value, {grid, 0, 0, merge, gas}, turns};
}

std::string all_of(const std::vector<std::string>& sentences) {
  std::string text;
  for (const auto& sentence : sentences) text += sentence + "\n";
  return text;
}

bool says(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("the summary: ahead, behind and too close") {
  const auto c = with_others({difference(8, 1, 2), difference(-6, 1, 2), difference(1.5, 1, 2)});
  const ComparisonWords words(c, UnitSystem::metric);
  const auto summary = words.summary();
  // root of 1 + 4 = 2.2
  CHECK(
      summary.at(0) ==
      "Over 4500 to 6000 rpm, ahead of first in mean torque: second (+8.0 plus or minus 2.2 N m).");
  CHECK(summary.at(1) == "Behind: third (-6.0 plus or minus 2.2 N m).");
  CHECK(summary.at(2) == "Too close to call: fourth (+1.5 plus or minus 2.2 N m).");
  CHECK(summary.at(3) == "Most of the margin comes from the model of the merge.");
  CHECK(summary.size() == 4);
  CHECK(words.single_speeds(c.pairs[0]) == "at single speeds up to +8.0 N m at 4500 rpm");
  CHECK(words.single_speeds(c.pairs[2]) == "at no single speed by more than its margin");
  const ComparisonWords inch(c, UnitSystem::inch);
  // 8 N m are 5.9 lb ft: NIST Special Publication 811 (2008), appendix B.
  CHECK(says(inch.summary().at(0), "second (+5.9 plus or minus 1.6 lb ft)"));
}

TEST_CASE("the summary: nobody ahead, a sign that turns, a quick run") {
  auto c = with_others({difference(8, 3, 2, true), difference(2, 5, 1)});
  c.quick = true;
  const auto text = all_of(ComparisonWords(c, UnitSystem::metric).summary());
  CHECK(says(text, "no header is ahead of first"));
  CHECK(says(text, "Too close to call: second (+8.0 plus or minus 3.6 N m) and third"));
  CHECK(says(text, "The sign of the difference of second depends on the model of the merge."));
  CHECK(says(text, "Most of the margin comes from the grid."));
  CHECK(says(text, "the true one is larger"));
}

TEST_CASE("the temperature of the gas is a part of the margin") {
  // root of 1 + 4 + 16 = 4.6
  const auto c = with_others({difference(5, 1, 2, false, 4)});
  const ComparisonWords words(c, UnitSystem::metric);
  CHECK(says(words.summary().at(0), "(+5.0 plus or minus 4.6 N m)"));
  CHECK(says(all_of(words.summary()), "Most of the margin comes from the temperature of the gas."));
  CHECK(words.contributions(c.pairs[0].torque.margin, words.units().torque, 1) ==
        "grid 1.0, cycles 0.0, build 0.0, merge model 2.0, gas temperature 4.0");
  // Without it the difference would be larger than the margin.
  CHECK(difference(3, 1, 2).verdict() == Verdict::ahead);
  CHECK(difference(3, 1, 2, false, 4).verdict() == Verdict::too_close);
}

TEST_CASE("the summary: one header has no other beside it") {
  const auto text = all_of(ComparisonWords(with_others({}), UnitSystem::metric).summary());
  CHECK(says(text, "One header only, first"));
  CHECK(says(text, "500.0 N m on average, at most 540.0 N m at 5400 rpm"));
}

TEST_CASE("what is wrong with points is named, and nothing else") {
  HeaderFigures f;
  f.name = "first";
  CHECK(ComparisonWords::faults(f).empty());
  const ComparisonWords words(with_others({}), UnitSystem::metric);
  CHECK(words.remarks(f).empty());
  f.failed = 1;
  f.missing = 2;
  f.unconverged = 3;
  f.clipped = 4;
  f.worst_imbalance = 1e-3;
  f.repeating = 5;
  const auto faults = ComparisonWords::faults(f);
  CHECK(faults.size() == 5);
  CHECK(std::all_of(faults.begin(), faults.end(),
                    [](const std::string& text) { return text.starts_with("first: "); }));
  CHECK(words.remarks(f).size() == 1);
}

TEST_CASE("a point in which equal cylinders settle differently is named with what was found") {
  models::PointResult point;
  point.speed = 62.5;
  point.torque = 500;
  CHECK(!uneven_point(point));
  point.same_cylinders = 8;
  point.pattern_firings = 1;
  CHECK(!uneven_point(point));
  point.pattern_firings = 2;
  point.pattern_spread = 0.112;
  point.second_pattern = 1;
  point.second_torque = 520;
  HeaderFigures f;
  f.name = "first";
  f.uneven = {*uneven_point(point)};
  const Comparison none = with_others({});
  const auto remarks = ComparisonWords(none, UnitSystem::metric).remarks(f);
  REQUIRE(remarks.size() == 1);
  CHECK(says(remarks[0],
             "first: at 3750 rpm cylinders that are the same by symmetry settle "
             "differently, charging efficiency by 11.2 %"));
  CHECK(says(remarks[0], "every 2 of their firings"));
  CHECK(says(remarks[0], "with 520.0 N m for 500.0: both patterns exist"));
  // 500 and 520 N m are 368.8 and 383.5 lb ft: NIST Special Publication 811 (2008), appendix B.
  CHECK(says(ComparisonWords(none, UnitSystem::inch).remarks(f).at(0), "383.5 lb ft for 368.8"));
  point.pattern_firings = 8;
  point.second_pattern = 2;
  CHECK(says(pattern_words(*uneven_point(point), UnitSystem::metric), "each of 8 in its own way"));
  CHECK(says(pattern_words(*uneven_point(point), UnitSystem::metric), "part again"));
  point.second_pattern = 3;
  CHECK(says(pattern_words(*uneven_point(point), UnitSystem::metric), "no pattern that repeats"));
  point.second_pattern = 4;
  CHECK(says(pattern_words(*uneven_point(point), UnitSystem::metric), "fades away"));
  point.second_pattern = 0;
  CHECK(!says(pattern_words(*uneven_point(point), UnitSystem::metric), "started alike"));
}

TEST_CASE("packed series refuse what they cannot hold") {
  const std::vector<float> values{1.0F, 2.0F};
  CHECK_THROWS_AS(pack_series(values, 0), std::invalid_argument);
  CHECK_THROWS_AS(pack_series(values, std::nan("")), std::invalid_argument);
  const std::vector<float> broken{1.0F, std::numeric_limits<float>::quiet_NaN()};
  CHECK_THROWS_AS(pack_series(broken, 1), std::invalid_argument);
  const std::vector<float> endless{std::numeric_limits<float>::infinity()};
  CHECK_THROWS_AS(pack_series(endless, 1), std::invalid_argument);
  for (const float beyond : {3e38F, -3e38F}) {  // as damage may make them
    const std::vector<float> two{-beyond, beyond};
    CHECK_THROWS_AS(pack_series(two, 1), std::invalid_argument);
  }
  // zlib's stream begins with 0x78 0xDA at its strongest (RFC 1950): "eN" and more in base64.
  CHECK(pack_series(values, 1).starts_with("eN"));
}

}  // namespace pulsewright::tests
