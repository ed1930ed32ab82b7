// What is written comes back: all fields bit for bit, the plan, the state of every point.
#include <array>
#include <cmath>
#include <doctest/doctest.h>
#include <hdf5.h>
#include <limits>
#include <thread>

#include "tests/results/invented_study.hpp"
#include "tests/results/scratch_folder.hpp"
#include "tools/results/results_reader.hpp"
#include "tools/results/results_store.hpp"

using namespace pulsewright;
using pulsewright::tests::write_all;
using tests::differing_field;
using tests::invented_point;
using tests::invented_study;
using tests::ScratchFolder;
using tools::PointStatus;
using tools::ResultsReader;
using tools::ResultsStore;

TEST_CASE("every field of every point comes back exactly") {
  const ScratchFolder folder;
  const auto path = folder.file("results.h5");
  const auto plan = invented_study();
  {
    const auto store = ResultsStore::create(path, plan);
    write_all(*store, 0, 0.5);
  }
  const ResultsReader reader(path);
  std::size_t diagrams = 0;
  for (std::size_t c = 0; c < plan.headers.size(); ++c) {
    for (std::size_t s = 0; s < plan.speeds.size(); ++s) {
      const auto expected = invented_point(plan, c, s, 0);
      const auto point = reader.point(c, s);
      CHECK(differing_field(point, expected) == "");
      CHECK(reader.status(c, s) ==
            (expected.converged ? PointStatus::converged : PointStatus::not_converged));
      CHECK(reader.seconds(c, s) == 0.5);
      CHECK(reader.failure(c, s).empty());
      if (!point.wave.pressure.empty()) ++diagrams;
    }
  }
  CHECK(diagrams == 6);  // three headers with a path, two speeds
}

TEST_CASE("the comparison of points sees a change of any single field") {
  const auto plan = invented_study();
  const auto reference = invented_point(plan, 0, 1, 0);
  std::size_t fields = 0;
  const auto count = [&](const std::string&, auto&) { ++fields; };
  auto point = invented_point(plan, 0, 1, 0);
  tests::for_each_field(point, count);
  for (std::size_t changed = 0; changed < fields; ++changed) {
    auto other = invented_point(plan, 0, 1, 0);
    std::size_t at = 0;
    tests::InventedNumbers numbers(changed);
    const auto change = [&](const std::string& name, auto& value) {
      if (at++ != changed) return;
      if constexpr (std::is_same_v<std::decay_t<decltype(value)>, std::vector<std::string>>) {
        value.front() += "x";
      } else {
        numbers(name, value);
      }
    };
    tests::for_each_field(other, change);
    CHECK(differing_field(other, reference) != "");
  }
  CHECK(fields > 100);
}

TEST_CASE("figures alone are read without traces and diagram") {
  const ScratchFolder folder;
  const auto plan = invented_study();
  const auto store = ResultsStore::create(folder.file("results.h5"), plan);
  auto expected = invented_point(plan, 0, 1, 0);
  store->write(0, 1, expected, 1);
  const ResultsReader reader(folder.file("results.h5"));
  const auto point = reader.point(0, 1, ResultsReader::Detail::figures);
  expected.traces.clear();
  expected.tails.clear();
  expected.probes.clear();
  expected.wave = {};
  CHECK(differing_field(point, expected) == "");
}

TEST_CASE("a figure that the file does not have is not known, and the others are read") {
  const ScratchFolder folder;
  const auto path = folder.file("results.h5");
  const auto plan = invented_study();
  const auto expected = invented_point(plan, 0, 1, 0);
  ResultsStore::create(path, plan)->write(0, 1, expected, 1);
  const hid_t file = H5Fopen(path.c_str(), H5F_ACC_RDWR, H5P_DEFAULT);
  for (const char* name : {"torque", "cycles", "cylinder_pmep"}) {
    REQUIRE(H5Ldelete(file, (std::string("headers/equal-length/") + name).c_str(), H5P_DEFAULT) >=
            0);
  }
  H5Fclose(file);
  auto point = ResultsReader(path).point(0, 1);
  CHECK(std::isnan(point.torque));
  CHECK(point.cycles == -1);
  REQUIRE(point.cylinders.size() == expected.cylinders.size());
  for (std::size_t i = 0; i < point.cylinders.size(); ++i) {
    CHECK(std::isnan(point.cylinders[i].pmep));
    point.cylinders[i].pmep = expected.cylinders[i].pmep;
  }
  point.torque = expected.torque;
  point.cycles = expected.cycles;
  CHECK(differing_field(point, expected) == "");
  // No run adds points to it.
  CHECK_THROWS_WITH_AS(ResultsStore::resume(path, plan), doctest::Contains("doesn't exist"),
                       tools::StoreError);
}

TEST_CASE("infinite, tiny and undefined numbers come back") {
  const ScratchFolder folder;
  const auto plan = invented_study();
  const auto store = ResultsStore::create(folder.file("results.h5"), plan);
  auto written = invented_point(plan, 0, 0, 0);
  written.torque = std::numeric_limits<double>::infinity();
  written.power = -0.0;
  written.bmep = std::numeric_limits<double>::denorm_min();
  written.imep = std::numeric_limits<double>::quiet_NaN();
  written.steps = std::numeric_limits<long>::max();
  written.merges[0].gap[1] = std::numeric_limits<double>::quiet_NaN();
  store->write(0, 0, written, 1);
  const auto point = ResultsReader(folder.file("results.h5")).point(0, 0);
  CHECK(point.torque == written.torque);
  CHECK(std::signbit(point.power));
  CHECK(point.bmep == written.bmep);
  CHECK(std::isnan(point.imep));
  CHECK(point.steps == written.steps);
  REQUIRE(point.merges[0].gap.size() == 3);
  CHECK(std::isnan(point.merges[0].gap[1]));
  CHECK(point.merges[0].gap[2] == written.merges[0].gap[2]);
}

TEST_CASE("a point may come without traces, tails, probes or diagram") {
  const ScratchFolder folder;
  const auto plan = invented_study();
  const auto store = ResultsStore::create(folder.file("results.h5"), plan);
  auto point = invented_point(plan, 0, 1, 0);
  store->write(0, 1, point, 1);  // first with everything: nothing of it may stay
  point.traces.clear();
  point.tails.clear();
  point.probes.clear();
  point.wave = {};
  store->write(0, 1, point, 1);
  CHECK(differing_field(ResultsReader(folder.file("results.h5")).point(0, 1), point) == "");
}

TEST_CASE("a study without traces and diagrams stores the rest") {
  const ScratchFolder folder;
  auto plan = invented_study();
  plan.trace_points = 0;
  plan.wave_speed_indices.clear();
  plan.wave_angles = 0;
  const auto store = ResultsStore::create(folder.file("results.h5"), plan);
  auto written = invented_point(invented_study(), 0, 1, 0);
  store->write(0, 1, written, 1);
  written.traces.clear();
  written.tails.clear();
  written.probes.clear();
  written.wave = {};
  const ResultsReader reader(folder.file("results.h5"));
  CHECK(differing_field(reader.point(0, 1), written) == "");
  CHECK(tools::first_difference(reader.plan(), plan).empty());
}

TEST_CASE("a header that keeps no traces drops them and keeps its diagram") {
  const ScratchFolder folder;
  const auto plan = invented_study();
  REQUIRE_FALSE(plan.headers[2].traces);
  auto with_traces = plan;
  with_traces.headers[2].traces = true;
  auto written = invented_point(with_traces, 2, 1, 0);
  REQUIRE_FALSE(written.traces.empty());
  ResultsStore::create(folder.file("results.h5"), plan)->write(2, 1, written, 1);
  written.traces.clear();
  written.tails.clear();
  written.probes.clear();
  CHECK(differing_field(ResultsReader(folder.file("results.h5")).point(2, 1), written) == "");
}

TEST_CASE("the plan comes back, long and foreign texts included") {
  const ScratchFolder folder;
  auto plan = invented_study();
  for (int i = 0; i < 20000; ++i) plan.case_text += "# Rohr \xC3\xB8 48 mm\n";  // beyond 64 kB
  plan.title = "";
  ResultsStore::create(folder.file("results.h5"), plan);
  const ResultsReader reader(folder.file("results.h5"));
  const auto& stored = reader.plan();
  CHECK(stored.title.empty());
  CHECK(stored.case_file == plan.case_file);
  CHECK(stored.case_text == plan.case_text);
  CHECK(stored.speeds == plan.speeds);
  CHECK(stored.headers.at(0).merges == plan.headers[0].merges);
  CHECK(stored.headers.at(2).wave_distance == plan.headers[2].wave_distance);
  CHECK(tools::first_difference(stored, plan).empty());
  CHECK(stored.headers.at(2).variant == tools::coarse_grid);
  CHECK(stored.settings.band_to == plan.settings.band_to);
  CHECK(stored.headers.at(1).primary_length == plan.headers[1].primary_length);
  CHECK(reader.date().size() == std::string("2000-01-01T00:00:00Z").size());
  CHECK(reader.date().back() == 'Z');
}

TEST_CASE("missing and failed points say so") {
  const ScratchFolder folder;
  const auto plan = invented_study();
  const auto store = ResultsStore::create(folder.file("results.h5"), plan);
  store->write(0, 1, invented_point(plan, 0, 1, 0), 1);
  store->write_failure(0, 1, "pressure below zero", 0.25);  // takes the earlier numbers away
  store->write_failure(0, 2, std::string(510, 'x') + "\xC3\xBC", 0);
  const ResultsReader reader(folder.file("results.h5"));
  CHECK(reader.status(0, 0) == PointStatus::missing);
  CHECK(std::isnan(reader.seconds(0, 0)));
  CHECK(reader.failure(0, 0).empty());
  CHECK_THROWS_WITH_AS(reader.point(0, 0), doctest::Contains("is missing"), tools::StoreError);
  CHECK(reader.status(0, 1) == PointStatus::failed);
  CHECK(reader.failure(0, 1) == "pressure below zero");
  CHECK(reader.seconds(0, 1) == 0.25);
  CHECK_THROWS_WITH_AS(reader.point(0, 1), doctest::Contains("failed"), tools::StoreError);
  CHECK(reader.failure(0, 2) == std::string(510, 'x'));  // no half character at the cut
  CHECK_THROWS_AS(static_cast<void>(reader.status(9, 0)), std::out_of_range);
  CHECK_THROWS_AS(static_cast<void>(reader.status(0, 9)), std::out_of_range);
  CHECK_THROWS_AS(reader.point(0, 9), std::out_of_range);
}

TEST_CASE("a resumed file keeps its points and takes the others") {
  const ScratchFolder folder;
  const auto path = folder.file("results.h5");
  const auto plan = invented_study();
  {
    const auto store = ResultsStore::create(path, plan);
    store->write(0, 0, invented_point(plan, 0, 0, 0), 1);
    store->write(0, 1, invented_point(plan, 0, 1, 0), 1);
    store->write_failure(2, 3, "invented", 1);
  }
  const auto store = ResultsStore::resume(path, plan);
  CHECK(store->status(0, 0) == PointStatus::converged);
  CHECK(store->status(0, 1) == PointStatus::not_converged);
  CHECK(store->status(2, 3) == PointStatus::failed);
  CHECK(store->status(1, 0) == PointStatus::missing);
  store->write(1, 0, invented_point(plan, 1, 0, 0), 1);
  store->write(2, 3, invented_point(plan, 2, 3, 0), 1);
  const ResultsReader reader(path);
  const std::array<std::array<std::size_t, 2>, 3> points = {{{0, 0}, {1, 0}, {2, 3}}};
  for (const auto& [c, s] : points) {
    CHECK(differing_field(reader.point(c, s), invented_point(plan, c, s, 0)) == "");
  }
  CHECK(reader.failure(2, 3).empty());
}

TEST_CASE("several threads write while others read") {
  const ScratchFolder folder;
  const auto path = folder.file("results.h5");
  const auto plan = invented_study();
  const auto store = ResultsStore::create(path, plan);
  const ResultsReader reader(path);
  std::vector<std::thread> threads;
  std::array<int, 4> wrong{};  // doctest's checks are kept out of the threads
  for (std::size_t c = 0; c < plan.headers.size(); ++c) {
    threads.emplace_back([&, c] {
      for (std::size_t s = 0; s < plan.speeds.size(); ++s) {
        const auto point = invented_point(plan, c, s, 0);
        store->write(c, s, point, 1);
        if (!differing_field(reader.point(c, s), point).empty()) ++wrong[c];
      }
    });
  }
  for (auto& thread : threads) thread.join();
  for (const int count : wrong) CHECK(count == 0);
}
