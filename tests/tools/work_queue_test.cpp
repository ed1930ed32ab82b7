// Runs of a study that cannot be made: failed points, named, while the others are computed.
#include "tools/study/work_queue.hpp"

#include <atomic>
#include <doctest/doctest.h>
#include <filesystem>
#include <map>

#include "cases/case_reader.hpp"

namespace pulsewright::tests {

using namespace tools;

TEST_CASE("a run that cannot be made is a failed point, and the others go on") {
  cases::CaseFile case_file = cases::read_case_file(std::filesystem::path(PULSEWRIGHT_SOURCE_DIR) /
                                                    "cases" / "single-cylinder.toml");
  StudyOptions options;
  options.headers = {"0.8 m", "megaphone"};
  options.speeds = {100, 110};
  options.cell_size = 0.03;
  options.quick = true;
  const Study study(case_file, options);
  // Turned wrong after it was read: no valve is smaller than such a port. The pipe of the
  // megaphone, a network, has a port of its own.
  case_file.exhaust.port_valve_diameter = 0.01;

  std::map<std::size_t, int> computed, failed;  // runs by header of the study
  const std::atomic<bool> stop{false};
  std::size_t points = 0;
  const QueueReport report = run_study(
      study, 1, stop, [](std::size_t, std::size_t) { return true; },
      [&](const PointOutcome& outcome) {
        const std::size_t header = outcome.header_index / study.variants(0).size();
        ++(outcome.result ? computed : failed)[header];
        if (outcome.result) return;
        CAPTURE(outcome.failure);
        CHECK(outcome.failure.find("cannot be simulated: cylinder 1: the effective area of a valve "
                                   "is larger than its port") == 0);
      },
      [&](std::size_t, std::size_t) { ++points; });
  CHECK(points == 4);
  CHECK(report.computed == 4);
  CHECK(report.failed == 4);
  CHECK_FALSE(report.stopped);
  CHECK(failed == std::map<std::size_t, int>{{0, 4}});
  CHECK(computed == std::map<std::size_t, int>{{1, 4}});
}

TEST_CASE("names of headers that become the same group of the results file are told apart") {
  cases::CaseFile case_file = cases::read_case_file(std::filesystem::path(PULSEWRIGHT_SOURCE_DIR) /
                                                    "cases" / "single-cylinder.toml");
  case_file.headers[0].name = "0.8 m";
  case_file.headers[1].name = "0_8_m_1";
  const Study study(case_file, {});
  check_plan(study.plan());
  CHECK(study.plan().headers[0].group == "0_8_m_1");
  CHECK(study.plan().headers[study.variants(0).size()].group == "0_8_m_1_");
}

}  // namespace pulsewright::tests
