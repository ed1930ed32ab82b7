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

// Headers by mean torque as given, every two with an interval of plus or minus `half` about their
// difference, and a floor of 0.
Comparison with_torques(const std::vector<double>& torques, double half) {
  Comparison c;
  c.title = "invented";
  c.band_from = 75;
  c.band_to = 100;
  c.speeds = {75, 90, 100};
  const char* names[] = {"first", "second", "third", "fourth"};
  for (std::size_t i = 0; i < torques.size(); ++i) {
    HeaderFigures f;
    f.name = names[i];
    f.band[0].value = torques[i];
    f.torque = {540, 90};
    f.power = {300e3, 95};
    c.headers.push_back(f);
    for (std::size_t k = 0; k < i; ++k) {
      PairwiseComparison pair;
      pair.header = i;
      pair.other = k;
      pair.torque.value = torques[i] - torques[k];
      pair.torque.parts.merge_low = -half;
      pair.torque.parts.merge_high = half;
      pair.torque.complete = true;
      pair.verdict = verdict_of(pair.torque, 0);
      pair.power = 1e3 * pair.torque.value;
      pair.speeds = {
          {75, pair.torque, pair.verdict}, {90, {}, Verdict::none}, {100, {}, Verdict::none}};
      pair.other_bands = {{70, 100, pair.torque.value, pair.verdict}};
      c.pairs.push_back(pair);
    }
    c.ranking.push_back(i);
  }
  std::stable_sort(c.ranking.begin(), c.ranking.end(),
                   [&](std::size_t a, std::size_t b) { return torques[a] > torques[b]; });
  return c;
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

TEST_CASE("the summary: which header to build, the second, and which cannot be told apart") {
  const auto c = with_torques({500, 508, 494, 493}, 3);
  const ComparisonWords words(c, UnitSystem::metric);
  const auto summary = words.summary();
  REQUIRE(summary.size() == 5);
  CHECK(summary[0] ==
        "Build second: it has the most torque over 4500 to 6000 rpm, beyond all that the model "
        "leaves open.");
  CHECK(summary[1] ==
        "Second first 8.0 (5.0 to 11.0) N m and 8.0 kW behind, then third 14.0 (11.0 to 17.0) N m "
        "and 14.0 kW behind, then fourth 15.0 (12.0 to 18.0) N m and 15.0 kW behind.");
  CHECK(summary[2] == "third and fourth cannot be told apart.");
  CHECK(summary[3] == "The verdicts stay with either edge of the band moved by a step.");
  CHECK(summary[4] == "Most of the intervals comes from the model of the merge.");
  CHECK(words.single_speeds(c.between(1, 0)) == "at single speeds up to +8.0 N m at 4500 rpm");
  CHECK(words.single_speeds(c.between(3, 2)) == "at no single speed for certain");
  // 8 N m are 5.9 lb ft: NIST Special Publication 811 (2008), appendix B.
  const ComparisonWords inch(c, UnitSystem::inch);
  CHECK(says(inch.summary().at(1), "Second first 5.9 (3.7 to 8.1) lb ft"));
}

TEST_CASE("the summary: also when the first header of the file is the best") {
  const auto summary = ComparisonWords(with_torques({510, 500}, 3), UnitSystem::metric).summary();
  CHECK(says(summary.at(0), "Build first:"));
  CHECK(says(summary.at(1), "Second second 10.0 (7.0 to 13.0) N m"));
}

TEST_CASE("the summary: the best of those that cannot be told apart, and probably") {
  auto text =
      all_of(ComparisonWords(with_torques({500, 501, 480}, 3), UnitSystem::metric).summary());
  CHECK(says(text, "second and first cannot be told apart over 4500 to 6000 rpm"));
  CHECK(!says(text, "Build second"));
  // 5 of the 6 N m of the interval lie above zero.
  text = all_of(ComparisonWords(with_torques({500, 502}, 3), UnitSystem::metric).summary());
  CHECK(says(text, "Build second, probably: over 4500 to 6000 rpm first may be as good."));
}

TEST_CASE("the summary: a verdict that changes with the band") {
  auto c = with_torques({500, 508}, 3);
  c.pairs[0].other_bands.push_back({80, 100, 1.0, Verdict::too_close});
  const ComparisonWords words(c, UnitSystem::metric);
  CHECK(says(all_of(words.summary()),
             "With an edge of the band moved by a step the verdict on first changes."));
  CHECK(words.with_other_bands(c.pairs[0]) ==
        "with an edge of the band moved: too close to call (+1.0 N m) over 4800 to 6000 rpm");
}

TEST_CASE("the summary: without the runs of an interval there is no verdict") {
  auto c = with_torques({500, 508}, 3);
  c.quick = true;
  c.pairs[0].torque.complete = false;
  c.pairs[0].verdict = verdict_of(c.pairs[0].torque, 0);
  const auto text = all_of(ComparisonWords(c, UnitSystem::metric).summary());
  CHECK(says(text,
             "Provisional, no verdict: mean torque over 4500 to 6000 rpm against second: "
             "first -8.0 N m."));
  CHECK(says(text, "leaves out the runs that tell"));
  for (const char* word : {"ahead", "behind", "Build", "too close"}) {
    CAPTURE(word);
    CHECK(!says(text, word));
  }
}

TEST_CASE("the summary: a header without a verdict is named, the others are judged") {
  auto c = with_torques({500, 508, 520}, 3);
  for (auto& pair : c.pairs) {
    if (pair.header == 2) pair.verdict = Verdict::none;
  }
  const auto text = all_of(ComparisonWords(c, UnitSystem::metric).summary());
  CHECK(says(text, "Build second: it has the most torque"));
  CHECK(says(text, "No verdict on third: too few points count, or runs are missing."));
  CHECK(!says(text, "third 1"));
  CHECK(!says(text, "Provisional"));
}

TEST_CASE("the summary: of fewer than three speeds it says what the intervals leave out") {
  const std::string left_out = "Fewer than three speeds of the band count";
  auto c = with_torques({500, 508}, 3);
  CHECK(!says(all_of(ComparisonWords(c, UnitSystem::metric).summary()), left_out));
  c.pairs[0].speeds.pop_back();
  CHECK(says(all_of(ComparisonWords(c, UnitSystem::metric).summary()), left_out));
  // Of one speed alone nothing is said over a band.
  c.pairs[0].speeds.resize(1);
  c.band_to = c.band_from;
  const auto text = all_of(ComparisonWords(c, UnitSystem::metric).summary());
  CHECK(says(text, "Build second: it has the most torque at 4500 rpm, beyond all"));
  CHECK(!says(text, left_out));
  CHECK(!says(text, "edge of the band"));
}

TEST_CASE("what an interval is made of") {
  IntervalParts parts{-3.1, 0.4, 1.2, 0.1, 0, 0.3, 0.2};
  auto c = with_torques({500, 508}, 3);
  const ComparisonWords words(c, UnitSystem::metric);
  CHECK(words.contributions(parts, words.units().torque, 1) ==
        "grid 0.1, cycles 0.0, between speeds 0.2, build 0.3, merge -3.1 to +0.4, gas +1.2");
  c.quick = true;
  CHECK(words.contributions(parts, words.units().torque, 1) ==
        "grid 0.1, cycles 0.0, between speeds 0.2");
}

TEST_CASE("what makes a difference: part by part, in the units that are shown") {
  auto c = with_torques({500, 516}, 3);
  DifferenceSplit& split = c.pairs[0].split.emplace();  // second less first
  split.shares = {{cases::HeaderPart::length, 9, 8, 10},
                  {cases::HeaderPart::collector, 2, 3, 1},
                  {cases::HeaderPart::kind, 5.5, 5.5, 5.5}};
  split.rest = -0.5;
  const ComparisonWords words(c, UnitSystem::metric);
  CHECK(words.split(c.between(0, 1)) ==
        "of that length -9.0 (-10.0 to -8.0), collector and tail -2.0 (-3.0 to -1.0), kind -5.5 "
        "(-5.5 to -5.5), not split +0.5");
  CHECK(says(all_of(words.summary()),
             "Where it comes from, in N m: of the 16.0 to first length "
             "9.0, collector and tail 2.0 and kind 5.5."));
  // 9 N m are 6.6 lb ft: NIST Special Publication 811 (2008), appendix B.
  CHECK(says(ComparisonWords(c, UnitSystem::inch).split(c.pairs[0]), "length +6.6"));
  split.shares.resize(1);
  CHECK(words.split(c.pairs[0]) == "the headers differ in length alone");
  CHECK(says(all_of(words.summary()), "of the 16.0 to first length makes all."));
  split = {};
  CHECK(words.split(c.pairs[0]) == "the headers differ in nothing");
  split.obstacle = "H pipe is an explicit network";
  CHECK(words.split(c.pairs[0]) == "not split: H pipe is an explicit network");
  CHECK(!says(all_of(words.summary()), "Where it comes from"));
  split.not_run = true;
  CHECK(words.split(c.pairs[0]).empty());
  CHECK(words.split(with_torques({500, 516}, 3).pairs[0]).empty());
}

TEST_CASE("a peak at the end of the speeds is remarked") {
  auto c = with_torques({500, 508}, 3);
  c.headers[0].peak_at_end = true;
  CHECK(says(all_of(ComparisonWords(c, UnitSystem::metric).summary()),
             "The power peak of first lies at an end of the speeds that were run"));
  c.headers[1].peak_at_end = true;
  CHECK(says(all_of(ComparisonWords(c, UnitSystem::metric).summary()), "of every header lies"));
}

TEST_CASE("the summary: one header has no other beside it") {
  const auto text = all_of(ComparisonWords(with_torques({500}, 3), UnitSystem::metric).summary());
  CHECK(says(text, "One header only, first"));
  CHECK(says(text, "500.0 N m on average, at most 540.0 N m at 5400 rpm"));
}

TEST_CASE("what is wrong with points is named with its speed, and nothing else") {
  HeaderFigures f;
  f.name = "first";
  CHECK(ComparisonWords::faults(f).empty());
  const Comparison one = with_torques({500}, 3);
  const ComparisonWords words(one, UnitSystem::metric);
  CHECK(words.remarks(f).empty());
  f.excluded = {{60, PointFault::failed},
                {65, PointFault::missing},
                {70, PointFault::not_repeating},
                {75, PointFault::not_repeating},
                {80, PointFault::clipped}};
  f.clipped = 4;
  f.worst_imbalance = 1e-3;
  f.repeating = 5;
  const auto faults = ComparisonWords::faults(f);
  REQUIRE(faults.size() == 5);
  CHECK(std::all_of(faults.begin(), faults.end(),
                    [](const std::string& text) { return text.starts_with("first: "); }));
  CHECK(says(faults[0], "at 3600 rpm"));
  CHECK(says(faults[2], "does not repeat from cycle to cycle"));
  CHECK(says(faults[2], "4200 and 4500 rpm"));
  CHECK(says(faults[3], "clipped 4 times, left out: at 4800 rpm"));
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
  const Comparison none = with_torques({500}, 3);
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
