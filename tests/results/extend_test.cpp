// A file gets more speeds and runs: every point that it had stays as it was.
#include <algorithm>
#include <doctest/doctest.h>
#include <filesystem>

#include "tests/results/damager.hpp"
#include "tests/results/invented_study.hpp"
#include "tests/results/scratch_folder.hpp"
#include "tools/results/plan_attributes.hpp"
#include "tools/results/results_reader.hpp"
#include "tools/results/results_store.hpp"

namespace pulsewright::tests {

using namespace tools;

namespace {

// The invented study without its coarse runs and its second speed, whose wave diagram goes with it.
StudyPlan smaller_study() {
  StudyPlan plan = invented_study();
  std::erase_if(plan.headers, [](const HeaderPlan& run) { return run.variant == coarse_grid; });
  plan.speeds.erase(plan.speeds.begin() + 1);
  plan.wave_speed_indices = {2};
  return plan;
}

std::size_t run_in(const StudyPlan& plan, const HeaderPlan& run) {
  const auto at = std::find_if(plan.headers.begin(), plan.headers.end(), [&](const HeaderPlan& h) {
    return run_group_name(h) == run_group_name(run);
  });
  return static_cast<std::size_t>(at - plan.headers.begin());
}

// All points but the last of every run, and one that failed.
void write_smaller(const std::string& path) {
  const StudyPlan plan = smaller_study();
  const auto store = ResultsStore::create(path, plan);
  for (std::size_t run = 0; run < plan.headers.size(); ++run) {
    for (std::size_t s = 0; s + 1 < plan.speeds.size(); ++s) {
      if (run == 1 && s == 0) {
        store->write_failure(run, s, "invented reason", 2.5);
      } else {
        store->write(run, s, invented_point(plan, run, s, 3), 1.5);
      }
    }
  }
}

}  // namespace

TEST_CASE("a file gets more speeds and runs, and keeps every point") {
  const ScratchFolder folder;
  const auto path = folder.file("results.h5");
  write_smaller(path);
  const StudyPlan small = smaller_study();
  const StudyPlan plan = invented_study();
  REQUIRE(first_difference(small, part_of(plan, small)).empty());
  {
    const auto store = ResultsStore::extend(path, plan);
    CHECK(store->path() == path);
    CHECK(store->remarks().empty());
    CHECK(store->status(run_in(plan, small.headers[0]), 1) == PointStatus::missing);
    // It goes on like any other file.
    store->write(0, 1, invented_point(plan, 0, 1, 4), 0.5);
  }
  CHECK(folder.entries() == 1);
  const ResultsReader reader(path);
  CHECK(reader.structure_tested());
  CHECK(first_difference(reader.plan(), plan).empty());
  std::size_t kept = 0;
  for (std::size_t run = 0; run < small.headers.size(); ++run) {
    const std::size_t target = run_in(plan, small.headers[run]);
    for (std::size_t s = 0; s < small.speeds.size(); ++s) {
      const std::size_t speed = s == 0 ? 0 : s + 1;
      CAPTURE(run);
      CAPTURE(s);
      if (s + 1 == small.speeds.size()) {
        CHECK(reader.status(target, speed) == PointStatus::missing);
      } else if (run == 1 && s == 0) {
        CHECK(reader.status(target, speed) == PointStatus::failed);
        CHECK(reader.failure(target, speed) == "invented reason");
        CHECK(reader.seconds(target, speed) == 2.5);
      } else {
        CHECK(differing_field(reader.point(target, speed), invented_point(small, run, s, 3)) == "");
        CHECK(reader.seconds(target, speed) == 1.5);
        ++kept;
      }
    }
  }
  CHECK(kept > 3);
}

TEST_CASE("a file without wave diagrams gets a speed with one") {
  const ScratchFolder folder;
  const auto path = folder.file("results.h5");
  StudyPlan plan = invented_study();
  REQUIRE(plan.speeds.size() == 4);
  plan.wave_speed_indices = {1};
  StudyPlan small = plan;
  small.speeds.erase(small.speeds.begin() + 1);
  small.wave_speed_indices.clear();
  for (HeaderPlan& run : small.headers) {
    run.wave_distance.clear();
    run.wave_pipe_start.clear();
    run.wave_pipe_names.clear();
  }
  ResultsStore::create(path, small)->write(0, 0, invented_point(small, 0, 0, 3), 1.5);
  CHECK(first_difference(small, part_of(plan, small)) == "");
  ResultsStore::extend(path, plan)->write(0, 1, invented_point(plan, 0, 1, 4), 0.5);
  const ResultsReader reader(path);
  CHECK(differing_field(reader.point(0, 0), invented_point(small, 0, 0, 3)) == "");
  CHECK(differing_field(reader.point(0, 1), invented_point(plan, 0, 1, 4)) == "");
}

TEST_CASE("a file of another study is not extended, and stays") {
  const ScratchFolder folder;
  const auto path = folder.file("results.h5");
  write_smaller(path);
  const auto before = bytes_of(path);
  auto other = invented_study();
  other.settings.courant = 0.7;
  CHECK_THROWS_AS(ResultsStore::extend(path, other), PlanMismatch);
  auto fewer = invented_study();
  fewer.speeds.pop_back();  // the file has one that this plan has not
  fewer.wave_speed_indices = {1};
  CHECK_THROWS_AS(ResultsStore::extend(path, fewer), PlanMismatch);
  CHECK(bytes_of(path) == before);
  CHECK(folder.entries() == 1);
}

TEST_CASE("a file in use is not extended") {
  const ScratchFolder folder;
  const auto path = folder.file("results.h5");
  write_smaller(path);
  const auto in_use = ResultsStore::resume(path, smaller_study());
  CHECK_THROWS_AS(ResultsStore::extend(path, invented_study()), StoreError);
}

TEST_CASE("a file that lost its checksums of the structure gets them again") {
  const ScratchFolder folder;
  const auto path = folder.file("results.h5");
  write_smaller(path);
  auto bytes = bytes_of(path);
  bytes.back() ^= static_cast<decltype(bytes)::value_type>(1);
  bytes[bytes.size() - 10] ^= static_cast<decltype(bytes)::value_type>(1);
  write_bytes(path, bytes);
  REQUIRE_FALSE(ResultsReader(path).structure_tested());
  ResultsStore::extend(path, smaller_study());
  const ResultsReader reader(path);
  CHECK(reader.structure_tested());
  CHECK(differing_field(reader.point(0, 0), invented_point(smaller_study(), 0, 0, 3)) == "");
}

}  // namespace pulsewright::tests
