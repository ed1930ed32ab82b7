// Firing orders, groups of cylinders and stepped lengths.
//
// The expected gaps are facts of the crank: they follow from the firing order and its intervals
// alone. Which orders and bank numberings are in use is standard knowledge, from memory; the uneven
// cross-plane banks and the 180-degree collectors {1,4,6,7} and {8,3,5,2} are described in trade
// magazines (common practice).
#include "cases/grouping.hpp"

#include <algorithm>
#include <doctest/doctest.h>
#include <stdexcept>
#include <string>
#include <vector>

#include "tests/near.hpp"

using namespace pulsewright::cases;
using pulsewright::tests::near;

namespace {

using Numbers = std::vector<int>;
using Angles = std::vector<double>;

Engine engine_of(const Numbers& order, const std::vector<Bank>& banks, Angles intervals = {}) {
  Engine engine;
  engine.firing_order = order;
  engine.interval_deg = intervals.empty() ? even_intervals(order.size()) : std::move(intervals);
  engine.banks = banks;
  return engine;
}

void check_group(const CollectorGroup& group, const Numbers& cylinders, const Angles& intervals) {
  CAPTURE(group.name);
  CHECK(group.cylinders == cylinders);
  REQUIRE(group.interval_deg.size() == intervals.size());
  double sum = 0;
  for (std::size_t i = 0; i < intervals.size(); ++i) {
    CHECK(near(group.interval_deg[i], intervals[i], 0, 1e-9));
    sum += group.interval_deg[i];
  }
  CHECK(near(sum, 720, 0, 1e-9));
}

struct FiringCase {
  std::string name;
  Engine engine;
  std::vector<std::pair<Numbers, Angles>> by_bank;
};

const Numbers odd8{1, 3, 5, 7};
const Numbers even8{2, 4, 6, 8};
const Numbers first4{1, 2, 3, 4};
const Numbers last4{5, 6, 7, 8};

std::vector<FiringCase> rows() {
  const Angles v10_odd{90, 54, 90, 54, 90, 54, 90, 54, 90, 54};
  const Angles five144(5, 144);
  const Angles six120(6, 120);
  const Angles three240(3, 240);
  const Angles four180(4, 180);
  return {
      {"I4", engine_of({1, 3, 4, 2}, {{"all", {1, 2, 3, 4}}}), {{{1, 3, 4, 2}, four180}}},
      {"I4 crossplane",
       engine_of({1, 3, 2, 4}, {{"all", {1, 2, 3, 4}}}, {270, 180, 90, 180}),
       {{{1, 3, 2, 4}, {270, 180, 90, 180}}}},
      {"I3", engine_of({1, 3, 2}, {{"all", {1, 2, 3}}}), {{{1, 3, 2}, three240}}},
      {"I5", engine_of({1, 2, 4, 5, 3}, {{"all", {1, 2, 3, 4, 5}}}), {{{1, 2, 4, 5, 3}, five144}}},
      {"I6 split",
       engine_of({1, 5, 3, 6, 2, 4}, {{"front", {1, 2, 3}}, {"rear", {4, 5, 6}}}),
       {{{1, 3, 2}, three240}, {{5, 6, 4}, three240}}},
      {"V8 1-8-4-3-6-5-7-2",
       engine_of({1, 8, 4, 3, 6, 5, 7, 2}, {{"L", odd8}, {"R", even8}}),
       {{{1, 3, 5, 7}, {270, 180, 90, 180}}, {{8, 4, 6, 2}, {90, 180, 270, 180}}}},
      {"V8 1-8-7-2-6-5-4-3",
       engine_of({1, 8, 7, 2, 6, 5, 4, 3}, {{"L", odd8}, {"R", even8}}),
       {{{1, 7, 5, 3}, {180, 270, 180, 90}}, {{8, 2, 6, 4}, {180, 90, 180, 270}}}},
      {"V8 1-5-4-2-6-3-7-8",
       engine_of({1, 5, 4, 2, 6, 3, 7, 8}, {{"R", first4}, {"L", last4}}),
       {{{1, 4, 2, 3}, {180, 90, 180, 270}}, {{5, 6, 7, 8}, {270, 180, 90, 180}}}},
      {"V8 1-3-7-2-6-5-4-8",
       engine_of({1, 3, 7, 2, 6, 5, 4, 8}, {{"R", first4}, {"L", last4}}),
       {{{1, 3, 2, 4}, {90, 180, 270, 180}}, {{7, 6, 5, 8}, {180, 90, 180, 270}}}},
      {"V8 flat 1-5-3-7-4-8-2-6",
       engine_of({1, 5, 3, 7, 4, 8, 2, 6}, {{"R", first4}, {"L", last4}}),
       {{{1, 3, 4, 2}, four180}, {{5, 7, 8, 6}, four180}}},
      {"V6 60",
       engine_of({1, 2, 3, 4, 5, 6}, {{"odd", {1, 3, 5}}, {"even", {2, 4, 6}}}),
       {{{1, 3, 5}, three240}, {{2, 4, 6}, three240}}},
      {"V6 90 odd-fire",
       engine_of({1, 6, 5, 4, 3, 2}, {{"odd", {1, 3, 5}}, {"even", {2, 4, 6}}},
                 {150, 90, 150, 90, 150, 90}),
       {{{1, 5, 3}, three240}, {{6, 4, 2}, three240}}},
      {"V10 72",
       engine_of({1, 6, 5, 10, 2, 7, 3, 8, 4, 9},
                 {{"first", {1, 2, 3, 4, 5}}, {"last", {6, 7, 8, 9, 10}}}),
       {{{1, 5, 2, 3, 4}, five144}, {{6, 10, 7, 8, 9}, five144}}},
      {"V10 90 common pin",
       engine_of({1, 10, 9, 4, 3, 6, 5, 8, 7, 2},
                 {{"odd", {1, 3, 5, 7, 9}}, {"even", {2, 4, 6, 8, 10}}}, v10_odd),
       {{{1, 9, 3, 5, 7}, five144}, {{10, 4, 6, 8, 2}, five144}}},
      {"V12 60",
       engine_of({1, 7, 5, 11, 3, 9, 6, 12, 2, 8, 4, 10},
                 {{"first", {1, 2, 3, 4, 5, 6}}, {"last", {7, 8, 9, 10, 11, 12}}}),
       {{{1, 5, 3, 6, 2, 4}, six120}, {{7, 11, 9, 12, 8, 10}, six120}}},
      {"F6",
       engine_of({1, 6, 2, 4, 3, 5}, {{"L", {1, 2, 3}}, {"R", {4, 5, 6}}}),
       {{{1, 2, 3}, three240}, {{6, 4, 5}, three240}}},
      {"F4 1-3-2-4",
       engine_of({1, 3, 2, 4}, {{"R", {1, 3}}, {"L", {2, 4}}}),
       {{{1, 3}, {180, 540}}, {{2, 4}, {180, 540}}}},
      {"F4 1-4-3-2",
       engine_of({1, 4, 3, 2}, {{"R", {1, 2}}, {"L", {3, 4}}}),
       {{{1, 2}, {540, 180}}, {{4, 3}, {180, 540}}}},
      {"V2 45", engine_of({1, 2}, {{"all", {1, 2}}}, {315, 405}), {{{1, 2}, {315, 405}}}},
      {"V2 90", engine_of({1, 2}, {{"all", {1, 2}}}, {270, 450}), {{{1, 2}, {270, 450}}}},
      {"P2 360", engine_of({1, 2}, {{"all", {1, 2}}}), {{{1, 2}, {360, 360}}}},
      {"P2 180", engine_of({1, 2}, {{"all", {1, 2}}}, {180, 540}), {{{1, 2}, {180, 540}}}},
  };
}

}  // namespace

TEST_CASE("groups by bank and their gaps") {
  for (const FiringCase& row : rows()) {
    CAPTURE(row.name);
    const std::vector<CollectorGroup> groups = groups_by_bank(row.engine);
    REQUIRE(groups.size() == row.by_bank.size());
    for (std::size_t i = 0; i < groups.size(); ++i) {
      check_group(groups[i], row.by_bank[i].first, row.by_bank[i].second);
    }
  }
}

TEST_CASE("the collectors of a 180-degree header on a cross-plane V8 are even") {
  const Engine engine = engine_of({1, 8, 4, 3, 6, 5, 7, 2}, {{"L", odd8}, {"R", even8}});
  const std::vector<CollectorGroup> groups = groups_180_degree(engine, 2);
  REQUIRE(groups.size() == 2);
  check_group(groups[0], {1, 4, 6, 7}, {180, 180, 180, 180});
  check_group(groups[1], {8, 3, 5, 2}, {180, 180, 180, 180});
  CHECK(groups[0].name == "A");
  CHECK(groups[0].collector_position == Numbers{1, 2, 3, 4});
}

TEST_CASE("180-degree collectors are even for every evenly firing engine") {
  for (const FiringCase& row : rows()) {
    const std::size_t n = row.engine.firing_order.size();
    if (row.engine.interval_deg != even_intervals(n) || n % 2 != 0) continue;
    CAPTURE(row.name);
    for (const CollectorGroup& group : groups_180_degree(row.engine, 2)) {
      for (const double gap : group.interval_deg) {
        CHECK(near(gap, 1440 / static_cast<double>(n), 0, 1e-9));
      }
    }
  }
  const Engine flat = engine_of({1, 3, 2, 4}, {{"R", {1, 3}}, {"L", {2, 4}}});
  check_group(groups_180_degree(flat, 2)[0], {1, 2}, {360, 360});
  CHECK_THROWS_AS(groups_180_degree(flat, 3), std::invalid_argument);
}

TEST_CASE("pairs lie as far apart in firing as they can") {
  const Engine four = engine_of({1, 3, 4, 2}, {{"all", {1, 2, 3, 4}}});
  CollectorGroup all = groups_by_bank(four)[0];
  split_far_apart(four, all, 2);
  CHECK(all.subgroups == std::vector<Numbers>{{1, 4}, {3, 2}});
  // No pair of a cross-plane bank is 360 deg apart; 270 deg is the best.
  const Engine eight = engine_of({1, 8, 4, 3, 6, 5, 7, 2}, {{"L", odd8}, {"R", even8}});
  std::vector<CollectorGroup> banks = groups_by_bank(eight);
  split_far_apart(eight, banks[0], 2);
  split_far_apart(eight, banks[1], 2);
  CHECK(banks[0].subgroups == std::vector<Numbers>{{1, 5}, {3, 7}});
  CHECK(banks[1].subgroups == std::vector<Numbers>{{8, 6}, {4, 2}});
  // The tubes of one part lie next to each other: 1 and 5 at 1 and 2, 3 and 7 at 3 and 4.
  CHECK(banks[0].collector_position == Numbers{1, 3, 2, 4});
  const Engine six = engine_of({1, 5, 3, 6, 2, 4}, {{"all", {1, 2, 3, 4, 5, 6}}});
  CollectorGroup inline_six = groups_by_bank(six)[0];
  split_far_apart(six, inline_six, 3);
  CHECK(inline_six.subgroups == std::vector<Numbers>{{1, 6}, {5, 2}, {3, 4}});
  CHECK_THROWS_AS(split_far_apart(six, inline_six, 4), std::invalid_argument);
}

TEST_CASE("the close pair of every cross-plane bank ends up on opposite sides of the wall") {
  for (const FiringCase& row : rows()) {
    if (row.name.rfind("V8 1-", 0) != 0) continue;
    CAPTURE(row.name);
    for (CollectorGroup group : groups_by_bank(row.engine)) {
      const int leading = leading_of_close_pair(group);
      REQUIRE(leading >= 0);
      const int a = group.cylinders[static_cast<std::size_t>(leading)];
      const int b = group.cylinders[static_cast<std::size_t>(leading + 1) % 4];
      split_far_apart(row.engine, group, 2);
      const auto holds = [](const Numbers& part, int number) {
        return std::find(part.begin(), part.end(), number) != part.end();
      };
      CHECK(holds(group.subgroups[0], a) != holds(group.subgroups[0], b));
    }
  }
}

TEST_CASE("stepped lengths: leading cylinder of the close pair shortest, trailing longest") {
  // Rule of the trade (common practice, no source); the order between them is our own choice.
  const Engine engine = engine_of({1, 8, 4, 3, 6, 5, 7, 2}, {{"L", odd8}, {"R", even8}});
  const std::vector<CollectorGroup> banks = groups_by_bank(engine);
  const Angles left = stepped_lengths(banks[0], 28, 34);   // 1, 3, 5, 7: 5 leads 7 by 90 deg
  const Angles right = stepped_lengths(banks[1], 28, 34);  // 8, 4, 6, 2: 8 leads 4 by 90 deg
  const Angles left_expected{32, 30, 28, 34};
  const Angles right_expected{28, 34, 32, 30};
  for (std::size_t i = 0; i < 4; ++i) {
    CHECK(near(left[i], left_expected[i], 1e-12));
    CHECK(near(right[i], right_expected[i], 1e-12));
  }
  const Engine even = engine_of({1, 3, 4, 2}, {{"all", {1, 2, 3, 4}}});
  CHECK(leading_of_close_pair(groups_by_bank(even)[0]) == -1);
  CHECK_THROWS_AS(stepped_lengths(groups_by_bank(even)[0], 28, 34), std::invalid_argument);
}

TEST_CASE("stepping gives the close gap the whole span and takes an equal share of every other") {
  for (const FiringCase& row : rows()) {
    if (row.name.rfind("V8 1-", 0) != 0) continue;
    CAPTURE(row.name);
    for (const CollectorGroup& group : groups_by_bank(row.engine)) {
      const Angles lengths = stepped_lengths(group, 0.7, 0.85);
      const auto leading = static_cast<std::size_t>(leading_of_close_pair(group));
      for (std::size_t i = 0; i < 4; ++i) {
        const double change = lengths[(i + 1) % 4] - lengths[i];
        CHECK(near(change, i == leading ? 0.15 : -0.05, 0, 1e-12));
      }
    }
  }
}

TEST_CASE("firing angles count from cylinder 1") {
  const Engine engine = engine_of({3, 1, 2}, {{"all", {1, 2, 3}}}, {200, 220, 300});
  CHECK(near(firing_angle(engine, 1), 0, 0, 1e-12));
  CHECK(near(firing_angle(engine, 2), 220, 0, 1e-12));
  CHECK(near(firing_angle(engine, 3), 520, 0, 1e-12));
  CHECK_THROWS_AS(firing_angle(engine, 4), std::invalid_argument);
}
