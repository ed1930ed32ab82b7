// Which parts of an engine are the same: facts that follow from firing order and grouping alone.
#include "models/network/repeated_parts.hpp"

#include <doctest/doctest.h>
#include <map>
#include <stdexcept>

#include "models/network/network.hpp"
#include "models/network/symmetry.hpp"
#include "solver/gas/thermodynamics.hpp"
#include "tests/near.hpp"
#include "validation/rig/sample_engines.hpp"

namespace pulsewright::tests {

using namespace models;
using namespace validation;

namespace {

constexpr std::size_t any = 1000;  // no cylinder has this index

// Cylinders by number: which one each is computed as, and how much later it is.
std::map<int, std::pair<int, double>> cylinder_sources(const EngineSpecification& e,
                                                       const RepeatedParts& parts) {
  std::map<int, std::pair<int, double>> found;
  for (std::size_t i = 0; i < e.cylinders.size(); ++i) {
    const auto& image = parts.cylinders[i];
    found[e.cylinders[i].number] = {parts.computed.cylinders[image.source].number, image.shift};
  }
  return found;
}

// Every pipe of the engine has the specification of its source, and every source stands for itself
// once.
void check_pipes(const EngineSpecification& e, const RepeatedParts& parts) {
  REQUIRE(parts.pipes.size() == e.pipes.size());
  CHECK(parts.computed.pipes.size() * parts.copies == e.pipes.size());
  std::vector<int> uses(parts.computed.pipes.size(), 0);
  for (std::size_t i = 0; i < e.pipes.size(); ++i) {
    const PipeSpecification& source = parts.computed.pipes[parts.pipes[i].source];
    CHECK(source.length == e.pipes[i].length);
    CHECK((source.name == e.pipes[i].name) == (parts.pipes[i].copy == 0));
    CHECK((parts.pipes[i].shift == 0) == (parts.pipes[i].copy == 0));
    uses[parts.pipes[i].source] += parts.pipes[i].copy == 0 ? 1 : 0;
  }
  for (const int n : uses) CHECK(n == 1);
  // What is computed is an engine by itself.
  const auto gas = solver::air_and_products(e.combustion.hydrogen_to_carbon, 0);
  CHECK_NOTHROW(
      Network(parts.computed, gas, LimiterChoice::monotonized_central, Method::finite_volume, 100));
}

// Two cylinders, each with its runner and an open pipe, so many degrees apart.
EngineSpecification two_stacks(double apart) {
  EngineSpecification e = engine_without_pipes();
  for (const int number : {1, 2}) {
    const int primary = add_cylinder(e, number, 0, number == 1 ? 0 : apart, 0.7, 0.0443, 0.06);
    e.open_ends.push_back({{primary, Side::right}, 1.0, 0.5, true});
  }
  return e;
}

}  // namespace

TEST_CASE("independent parts: what gas joins, each an engine of its own") {
  const auto e = cross_plane_v8(banks, 0.8, 0.06);
  const auto parts = independent_parts_of(e);
  REQUIRE(parts.size() == 2);
  const auto numbers = [](const EngineSpecification& part) {
    std::vector<int> list;
    for (const auto& cylinder : part.cylinders) list.push_back(cylinder.number);
    return list;
  };
  CHECK(numbers(parts[0]) == std::vector<int>{1, 3, 5, 7});
  CHECK(numbers(parts[1]) == std::vector<int>{8, 4, 6, 2});  // the firing order 1-8-4-3-6-5-7-2
  for (const auto& part : parts) {
    CHECK(part.pipes.size() * 2 == e.pipes.size());
    CHECK(part.exhaust_paths.size() == 4);
    CHECK(independent_parts_of(part).size() == 1);
  }
  // Eight cylinders fire every 90 degrees.
  CHECK(parts[1].cylinders.front().firing_angle_deg == 90);
  CHECK(parts[1].cylinders.back().firing_angle_deg == 630);
  CHECK(independent_parts_of(two_stacks(270)).size() == 2);
  // A pipe that no cylinder reaches: nothing is divided.
  auto beside = two_stacks(270);
  beside.pipes.push_back(beside.pipes.front());
  const int last = static_cast<int>(beside.pipes.size()) - 1;
  beside.closed_ends = {{{last, Side::left}}, {{last, Side::right}}};
  CHECK(independent_parts_of(beside).size() == 1);
}

TEST_CASE("banks of a cross-plane V8 with separate collectors are computed once") {
  const auto e = cross_plane_v8(banks, 0.8, 0.06);
  const auto parts = repeated_parts_of(e, any);
  CHECK(parts.copies == 2);
  CHECK(parts.shifts() == std::vector<double>{360});
  // The firing order 1-8-4-3-6-5-7-2: a revolution after 1, 3, 5, 7 fire 6, 2, 8, 4.
  CHECK(cylinder_sources(e, parts) == std::map<int, std::pair<int, double>>{{1, {1, 0}},
                                                                            {3, {3, 0}},
                                                                            {5, {5, 0}},
                                                                            {7, {7, 0}},
                                                                            {6, {1, 360}},
                                                                            {2, {3, 360}},
                                                                            {8, {5, 360}},
                                                                            {4, {7, 360}}});
  check_pipes(e, parts);
  CHECK(parts.computed.exhaust_paths.size() == 4);
  CHECK(parts.computed.junctions.size() == 2);
  CHECK(parts.computed.open_ends.size() == 5);
  for (std::size_t i = 0; i < 4; ++i) {
    CHECK(parts.computed.exhaust_paths[i].cylinder == static_cast<int>(i));
  }
  // The other bank where one of its cylinders is asked for: index 4 is cylinder 8.
  const auto other = repeated_parts_of(e, 4);
  CHECK(other.copies == 2);
  CHECK(cylinder_sources(e, other).at(8) == std::pair(8, 0.0));
  CHECK(cylinder_sources(e, other).at(1) == std::pair(6, 360.0));
  check_pipes(e, other);
  CHECK(parts.cylinder_beside(0, static_cast<std::size_t>(e.cylinders[5].exhaust.pipe)) == 6);
}

TEST_CASE("crossed headers: one collector a quarter of a revolution after the other") {
  const auto e = cross_plane_v8(crossed, 0.8, 0.06);
  const auto parts = repeated_parts_of(e, any);
  CHECK(parts.copies == 2);
  CHECK(parts.shifts() == std::vector<double>{90});
  CHECK(cylinder_sources(e, parts).at(8) == std::pair(1, 90.0));
  check_pipes(e, parts);
}

TEST_CASE("every stack of its own is one part, however unevenly the engine fires") {
  // A V twin of 45 deg: no turn of the crank maps it onto itself.
  const auto e = two_stacks(315);
  CHECK_FALSE(symmetry_of(e).has_value());
  const auto parts = repeated_parts_of(e, any);
  CHECK(parts.copies == 2);
  CHECK(parts.shifts() == std::vector<double>{315});
  check_pipes(e, parts);
  // Both at once.
  const auto twin = repeated_parts_of(two_stacks(0), any);
  CHECK(twin.copies == 2);
  CHECK(twin.shifts().empty());
}

TEST_CASE("parts that differ in a tube, an air temperature or a law are computed each") {
  const auto whole = [](const EngineSpecification& e) {
    const auto parts = repeated_parts_of(e, any);
    return parts.copies == 1 && parts.computed.pipes.size() == e.pipes.size() &&
           parts.computed.cylinders.size() == e.cylinders.size();
  };
  CHECK_FALSE(whole(cross_plane_v8(banks, 0.8, 0.06)));
  auto longer = cross_plane_v8(banks, 0.8, 0.06);
  longer.pipes[1].length += 1e-3;
  CHECK(whole(longer));
  auto warm = cross_plane_v8(banks, 0.8, 0.06);
  warm.open_ends[0].outside_temperature = 320;
  CHECK(whole(warm));
  auto other_law = cross_plane_v8(banks, 0.8, 0.06);
  other_law.junctions[0].law = JunctionLaw::constant_pressure;
  CHECK(whole(other_law));
  auto vented = cross_plane_v8(banks, 0.8, 0.06);
  vented.junctions[0].vent_area = vented.junctions[2].vent_area = 1e-4;
  CHECK_FALSE(whole(vented));
  vented.junctions[2].vent_temperature = 320;
  CHECK(whole(vented));
  CHECK(whole(single_cylinder(0.8, 0.06)));
  // Two stacks that are the same and one that is not: sums would be no multiples.
  auto three = two_stacks(240);
  const int primary = add_cylinder(three, 3, 0, 480, 0.5, 0.0443, 0.06);
  three.open_ends.push_back({{primary, Side::right}, 1.0, 0.5, true});
  CHECK(whole(three));
  // An end that changes over time by the clock.
  auto driven = two_stacks(360);
  driven.open_ends.pop_back();
  driven.prescribed_ends.push_back(
      {{3, Side::right}, PrescribedQuantity::static_pressure, [](double) { return 101325.0; }});
  CHECK(whole(driven));
}

TEST_CASE("banks that a pipe, a plenum or a shared tail joins are one part") {
  // A pipe from the joint of one bank to that of the other.
  auto balanced = cross_plane_v8(banks, 0.8, 0.06);
  const int pipe = static_cast<int>(balanced.pipes.size());
  balanced.pipes.push_back(hot_pipe("balance", 0.4, 0.05, 0.06));
  balanced.junctions[1].branches.push_back({{pipe, Side::left}, {0, 1, 0}});
  balanced.junctions[3].branches.push_back({{pipe, Side::right}, {0, 1, 0}});
  CHECK(repeated_parts_of(balanced, any).copies == 1);
  // All runners from one volume.
  auto plenum = cross_plane_v8(banks, 0.8, 0.06);
  JunctionSpecification volume;
  volume.name = "plenum";
  volume.law = JunctionLaw::plenum;
  volume.volume = 5e-3;
  volume.vent_area = 4e-3;
  for (const auto& cylinder : plenum.cylinders) {
    volume.branches.push_back({{cylinder.intake.pipe, Side::left}, {1, 0, 0}});
  }
  std::erase_if(plenum.open_ends, [](const auto& end) { return end.end.side == Side::left; });
  plenum.junctions.push_back(volume);
  CHECK(repeated_parts_of(plenum, any).copies == 1);
}

TEST_CASE("parts: probes move to the source, and a broken network is refused") {
  auto e = cross_plane_v8(banks, 0.8, 0.06);
  const int there = e.cylinders[5].exhaust.pipe;  // of cylinder 4, computed as 7
  const int here = e.cylinders[3].exhaust.pipe;
  e.probes = {{"there", there, 0.2}, {"here", here, 0.3}};
  const auto parts = repeated_parts_of(e, any);
  REQUIRE(parts.computed.probes.size() == 2);
  CHECK(parts.computed.probes[0].name == "there");
  for (const auto& probe : parts.computed.probes) {
    CHECK(parts.computed.pipes[static_cast<std::size_t>(probe.pipe)].name == "primary 7");
  }
  CHECK(undivided(e).computed.probes[0].pipe == there);
  e.open_ends.pop_back();
  CHECK_THROWS_AS(repeated_parts_of(e, any), std::invalid_argument);
}

}  // namespace pulsewright::tests
