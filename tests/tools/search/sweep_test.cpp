// A sweep on hand-worked numbers and on the single cylinder; what resuming brings.
#include "tools/search/sweep.hpp"

#include <atomic>
#include <cmath>
#include <cstdio>
#include <doctest/doctest.h>
#include <filesystem>
#include <limits>
#include <stdexcept>
#include <string>
#include <unistd.h>
#include <vector>

#include "tests/near.hpp"
#include "tests/tools/search/invented_trials.hpp"
#include "tests/tools/search/search_case.hpp"
#include "tools/search/search_file.hpp"

using namespace pulsewright;
using pulsewright::tests::near;

namespace {

tools::SearchTask task_of(const cases::CaseFile& case_file,
                          const std::vector<tools::SweepAxis>& axes) {
  tools::SearchOptions options;
  options.verb = "sweep";
  options.speeds = {50, 100};
  options.cell_size = tests::search_cells;
  options.variables = tools::variables_of(axes);
  return tools::SearchTask(case_file, options);
}

// A file that is removed in the end.
struct Scratch {
  std::string path;
  explicit Scratch(const std::string& name)
      : path((std::filesystem::temp_directory_path() / (name + std::to_string(getpid()) + ".h5"))
                 .string()) {}
  ~Scratch() { std::remove(path.c_str()); }
};

}  // namespace

TEST_CASE("a plateau ends where the line between two values crosses its margin") {
  const std::vector<double> xs{28, 30, 32, 34, 36};
  // 1 below 100 is 99: between 97 and 99.5 it is crossed at 0.8 of the way back from 99.5 to 97,
  // that is 2 * 0.5 / 2.5 = 0.4 before 30; between 99 and 95 at 34 itself.
  const auto plateau = tools::plateau_of(xs, {97, 99.5, 100, 99, 95}, 2, 1);
  CHECK(near(plateau.from, 29.6, 1e-12, 0));
  CHECK(near(plateau.to, 34, 1e-12, 0));
  CHECK_FALSE(plateau.open_below);
  CHECK_FALSE(plateau.open_above);

  const auto open = tools::plateau_of(xs, {99.5, 99.5, 100, 99.9, 99.8}, 2, 1);
  CHECK(open.open_below);
  CHECK(open.open_above);
  CHECK(open.from == 28);
  CHECK(open.to == 36);

  const double nan = std::numeric_limits<double>::quiet_NaN();
  const auto broken = tools::plateau_of(xs, {99.5, nan, 100, nan, 99.8}, 2, 1);
  CHECK(broken.from == 32);
  CHECK(broken.to == 32);
  CHECK_FALSE(broken.open_below);
}

TEST_CASE("an axis is read from its text, with the sizes and limits of the case") {
  const cases::CaseFile case_file = tests::search_case();
  const auto& header = case_file.headers.front();
  const auto axis = tools::axis_of("primary_length=700 mm to 900 mm by 50 mm", case_file, header);
  REQUIRE(axis.values.size() == 5);
  CHECK(near(axis.values[1], 0.75, 1e-12, 0));
  CHECK(near(axis.values[4], 0.9, 1e-12, 0));
  const auto nine = tools::axis_of("primary_length[1] = 28 in to 36 in", case_file, header);
  CHECK(nine.values.size() == 9);
  CHECK(nine.variable.cylinders == std::vector<int>{1});
  CHECK(tools::axis_of("primary_tube", case_file, header).values.size() == 5);
  const auto band = tools::axis_of("band_from=4000 to 5000 by 500", case_file, header);
  REQUIRE(band.values.size() == 3);
  CHECK(near(band.values[2], 5000.0 / 60, 1e-12, 0));
  for (const char* wrong :
       {"length=1 m to 2 m", "primary_length=1 m", "primary_length=2 m to 1 m",
        "primary_length=1 to 2", "primary_length[1", "primary_length[x]=1 m to 2 m",
        "primary_length[2]=1 m to 2 m", "tail_tube", "primary_tube=1 in to 2 in", "primary_length",
        "primary_length=1 m to 2 m by 1 um", ""}) {
    CAPTURE(wrong);
    CHECK_THROWS_AS(tools::axis_of(wrong, case_file, header), std::invalid_argument);
  }
}

TEST_CASE("a map has the designs of its axes, its best, and what the limits of the car cost") {
  // The table says that no more than 0.75 m fits; the map looks farther.
  const cases::CaseFile case_file = tests::search_case(R"([tune]
[[tune.vary]]
part = "primary_length"
from = "600 mm"
to = "750 mm"
)");
  const std::vector<tools::SweepAxis> axes{
      tools::axis_of("primary_length=600 mm to 1200 mm by 150 mm", case_file,
                     case_file.headers.front()),
      tools::axis_of("band_to=3000 to 6000 by 3000", case_file, case_file.headers.front())};
  const tools::SearchTask task = task_of(case_file, axes);
  tools::DesignEvaluator evaluator = task.evaluator(1);
  tools::LocalTrials source(task.space(), evaluator);
  std::atomic<bool> stop{false};
  tools::SearchRecord start;
  start.plan = task.plan();
  tools::TrialHistory history(start, source, "", stop);
  const tools::SweepMap map = tools::sweep_map(task, axes, history);
  REQUIRE(map.cells.size() == 10);
  CHECK(history.record().trials.size() == 6);  // five lengths and the header as it is, 0.8 m
  for (const auto& cell : map.cells) {
    REQUIRE(std::isfinite(cell.trial->torque[0]));
    REQUIRE(std::isfinite(cell.trial->torque[1]));
    // A band that ends at the lowest speed has the torque of that speed.
    if (cell.place[1] == 0) CHECK(near(cell.torque, cell.trial->torque[0], 1e-12, 0));
    const double both = 0.5 * (cell.trial->torque[0] + cell.trial->torque[1]);
    if (cell.place[1] == 1) CHECK(near(cell.torque, both, 1e-12, 0));
  }
  REQUIRE(map.best);
  REQUIRE(map.within);
  for (const auto& cell : map.cells) {
    CHECK(cell.torque <= map.cells[*map.best].torque);
    if (cell.place[0] < 2) CHECK(cell.torque <= map.cells[*map.within].torque);
  }
  CHECK(map.cells[*map.within].place[0] < 2);
}

TEST_CASE("a search that was stopped and resumed has the file of one that was not") {
  const cases::CaseFile case_file = tests::search_case();
  const std::vector<tools::SweepAxis> axes{tools::axis_of(
      "primary_length=650 mm to 950 mm by 100 mm", case_file, case_file.headers.front())};
  const tools::SearchTask task = task_of(case_file, axes);
  tools::SearchRecord start;
  start.plan = task.plan();
  start.date = "2000-01-01T00:00:00Z";
  const auto run = [&](const std::string& path, const tools::SearchRecord& from, int points) {
    tools::DesignEvaluator evaluator = task.evaluator(1);
    tools::LocalTrials source(task.space(), evaluator);
    std::atomic<bool> stop{false};
    std::size_t computed = 0;  // points
    tools::TrialHistory history(from, source, path, stop, [&](std::size_t done, std::size_t) {
      ++computed;
      if (static_cast<int>(done) == points) stop = true;
    });
    tools::sweep_map(task, axes, history);
    history.finish("{}");
    return computed;
  };
  const Scratch whole("pulsewright-whole"), parts("pulsewright-parts");
  run(whole.path, start, -1);
  CHECK_THROWS_AS(run(parts.path, start, 3), tools::SearchStopped);
  const tools::SearchRecord part = tools::read_search(parts.path);
  CHECK(tools::first_difference(part.plan, task.plan()) == "");
  std::size_t missing = 0, known = 0;
  for (const auto& trial : part.trials) {
    for (const auto& fault : trial.faults) ++(fault ? missing : known);
  }
  CHECK(known >= 3);
  CHECK(missing > 0);
  run(parts.path, part, -1);

  const tools::SearchRecord one = tools::read_search(whole.path);
  const tools::SearchRecord other = tools::read_search(parts.path);
  CHECK(one.date == other.date);
  CHECK(one.findings == other.findings);
  REQUIRE(one.trials.size() == 5);
  REQUIRE(other.trials.size() == 5);
  for (std::size_t i = 0; i < one.trials.size(); ++i) {
    CHECK(one.trials[i].key == other.trials[i].key);
    CHECK(one.trials[i].torque == other.trials[i].torque);
    CHECK(one.trials[i].power == other.trials[i].power);
    CHECK(one.trials[i].faults == other.trials[i].faults);
  }
  CHECK(run(parts.path, other, -1) == 0);  // nothing is left to compute
}

TEST_CASE("what is no file of a search is refused with its name") {
  const Scratch none("pulsewright-none");
  CHECK_FALSE(tools::looks_like_search(none.path));
  CHECK_THROWS_AS(tools::read_search(none.path), std::runtime_error);
  tools::SearchPlan plan;
  tools::SearchPlan other = plan;
  CHECK(tools::first_difference(plan, other) == "");
  other.seed = 2;
  CHECK(tools::first_difference(plan, other) == "seed");
}

TEST_CASE("a sweep also shows what does not fit, and finds the best that does") {
  cases::CaseFile case_file = tests::search_case();
  case_file.tune.fits = {{{1}, 0.05, 0.75}};
  const std::vector<tools::SweepAxis> axes{tools::axis_of(
      "primary_length=600 mm to 900 mm by 100 mm", case_file, case_file.headers.front())};
  const tools::SearchTask task = task_of(case_file, axes);
  // Torque in N m is the length in mm.
  tests::InventedTrials source(
      task, [](const cases::HeaderDesign& design, double, tools::DesignPoint& point) {
        point.torque = 1000 * tests::length_of(design);
      });
  std::atomic<bool> stop{false};
  tools::SearchRecord start;
  start.plan = task.plan();
  tools::TrialHistory history(start, source, "", stop);
  const tools::SweepMap map = tools::sweep_map(task, axes, history);
  REQUIRE(map.cells.size() == 4);
  CHECK(near(map.cells[3].torque, 900, 1e-12, 0));
  CHECK(near(map.start_torque, 800, 1e-12, 0));
  CHECK(map.best == 3);
  CHECK(map.within == 1);  // 700 mm
}

TEST_CASE("a map over an edge of the band has the speeds of all its bands") {
  cases::CaseFile case_file = tests::search_case();  // 3000 to 7000 rpm in steps of 1000
  const auto& header = case_file.headers.front();
  const std::vector<tools::SweepAxis> axes{
      tools::axis_of("band_from=3000 to 5000 by 1000", case_file, header)};
  tools::SearchOptions options;
  options.verb = "sweep";
  options.band = {5000.0 / 60, 7000.0 / 60};
  CHECK(tools::SearchTask(case_file, options).speeds().size() == 3);
  options.other_edges = tools::band_edges(axes);
  const tools::SearchTask task(case_file, options);
  REQUIRE(task.speeds().size() == 5);
  // The torque is the speed in rpm, and does not count at 3000 rpm.
  tests::InventedTrials source(
      task, [](const cases::HeaderDesign&, double speed, tools::DesignPoint& point) {
        point.torque = 60 * speed;
        if (60 * speed < 3500) point.fault = tools::PointFault::not_repeating;
      });
  std::atomic<bool> stop{false};
  tools::SearchRecord start;
  start.plan = task.plan();
  tools::TrialHistory history(start, source, "", stop);
  const tools::SweepMap map = tools::sweep_map(task, axes, history);
  REQUIRE(map.cells.size() == 3);
  CHECK(near(map.cells[0].torque, 5000, 1e-9, 0));  // the middle of the band
  CHECK(near(map.cells[1].torque, 5500, 1e-9, 0));
  CHECK(near(map.cells[2].torque, 6000, 1e-9, 0));
  CHECK_FALSE(map.cells[0].counts);
  CHECK(map.cells[1].counts);
  CHECK(map.cells[2].counts);
}

TEST_CASE("what varies is held against the header that is searched, and gets its sizes there") {
  cases::CaseFile case_file = tests::search_case();
  case_file.headers[1].primaries.at(1).tube.inside_diameter = 0.045;
  cases::DesignVariable tube;
  tube.part = cases::VariedPart::primary_tube;
  tools::SearchOptions options;
  options.verb = "sweep";
  options.header = case_file.headers[1].name;
  options.variables = {tube};
  const tools::SearchTask task(case_file, options);
  const auto& sizes = task.space().variables.front().tubes;
  REQUIRE(sizes.size() == 5);
  CHECK(near(sizes[2].inside_diameter, 0.045, 1e-3, 0));  // in the digits of a case file
  // A list of sizes that has not that of the header.
  options.variables.front().tubes = {case_file.headers[0].primaries.at(1).tube};
  CHECK_THROWS_WITH_AS(tools::SearchTask(case_file, options),
                       doctest::Contains("its tubes leave out"), std::invalid_argument);
  options.variables.front().part = cases::VariedPart::tail_tube;
  CHECK_THROWS_WITH_AS(tools::SearchTask(case_file, options), doctest::Contains("has no tail_tube"),
                       std::invalid_argument);
}

TEST_CASE("the failure of a design is that of the lowest speed, also where it was resumed") {
  const cases::CaseFile case_file = tests::search_case();
  const tools::SearchTask task = task_of(case_file, {});  // 50 and 100 rev/s
  tests::InventedTrials source(task, [](const auto&, double speed, tools::DesignPoint& point) {
    point.fault = tools::PointFault::failed;
    point.failure = speed < 75 ? "low" : "high";
  });
  const tools::TrialKey key{{}, 0};
  const auto failure_after = [&](const tools::Trial& earlier) {
    std::atomic<bool> stop{false};
    tools::SearchRecord start;
    start.plan = task.plan();
    start.trials = {earlier};
    tools::TrialHistory history(start, source, "", stop);
    return history.trials({key}).front()->failure;
  };
  tools::Trial none = tools::missing_trial(key, 2);
  CHECK(failure_after(none) == "low");
  tools::Trial low = none;
  low.faults[0] = tools::PointFault::failed;
  low.failure = "low before";
  CHECK(failure_after(low) == "low before");
  tools::Trial high = none;
  high.faults[1] = tools::PointFault::failed;
  high.failure = "high before";
  CHECK(failure_after(high) == "low");
}

TEST_CASE("a file with a status that has no meaning is refused") {
  const cases::CaseFile case_file = tests::search_case();
  tools::SearchRecord record;
  record.plan = task_of(case_file, {tools::axis_of("primary_length=700 mm to 800 mm", case_file,
                                                   case_file.headers.front())})
                    .plan();
  record.trials = {tools::missing_trial({{0.7}, 0}, 2)};
  const Scratch file("pulsewright-status");
  tools::write_search(file.path, record);
  CHECK(tools::read_search(file.path).trials.front().faults == record.trials.front().faults);
  record.trials.front().faults[1] = static_cast<tools::PointFault>(40);
  tools::write_search(file.path, record);
  CHECK_THROWS_WITH_AS(tools::read_search(file.path), doctest::Contains("status 41"),
                       std::runtime_error);
}
