// Threads that compute for the coordinator, without MPI: what they send, and that they can be shut
// down at any moment.
#include "tools/spread/worker_threads.hpp"

#include <doctest/doctest.h>
#include <set>

#include "cases/case_reader.hpp"
#include "tools/spread/point_serialization.hpp"

using namespace pulsewright;
using namespace pulsewright::tools;

namespace {

constexpr int first = 5;  // number of the first thread

struct Rig {
  cases::CaseFile case_file =
      cases::read_case_file(PULSEWRIGHT_SOURCE_DIR "/cases/single-cylinder.toml");
  Study study{case_file, options()};
  std::atomic<bool> stop{false};

  static StudyOptions options() {
    StudyOptions options;
    options.headers = {"0.8 m", "1.2 m"};
    options.speeds = {100, 110};
    options.cell_size = 0.03;
    options.quick = true;
    return options;
  }
};

Message next(WorkerThreads& threads) {
  Message message;
  while (!threads.try_receive(message)) threads.wait(std::chrono::milliseconds(2));
  return message;
}

}  // namespace

TEST_CASE("a work unit whose points others have finished meanwhile is finished, and no fault") {
  struct Scripted : Channel {
    std::vector<Tag> sent;
    int replies = 0;
    void send(Tag tag, std::string) override { sent.push_back(tag); }
    Message receive() override {
      return {0, replies++ == 0 ? Tag::assignment : Tag::shut_down, bytes_of_points({})};
    }
    bool is_shut_down() override { return false; }
  };
  Rig rig;
  Scripted channel;
  compute_points(rig.study, rig.stop, channel);
  CHECK(channel.sent == std::vector<Tag>{Tag::ready, Tag::work_unit_finished, Tag::ready});
}

TEST_CASE("threads of the coordinator compute what one thread computes") {
  Rig rig;
  std::set<std::string> expected;
  const auto bytes_without_time = [](PointOutcome outcome) {
    outcome.seconds = 0;
    return bytes_of(outcome);
  };
  const std::vector<WorkUnit> work_units = {{{0, 0}, {0, 1}}, {{1, 0}}, {{1, 1}}};
  std::size_t points = 0;
  run_points(
      rig.study, work_units, 1, [] { return true; },
      [&](const PointOutcome& outcome) { expected.insert(bytes_without_time(outcome)); },
      [&](auto, auto) { ++points; });
  REQUIRE(points == 4);
  REQUIRE(expected.size() == 8);  // the production grid and the coarse one of each

  std::set<std::string> found;
  std::size_t given = 0, finished = 0, work_units_finished = 0;
  WorkerThreads threads(rig.study, rig.stop, first, 2);
  while (work_units_finished < work_units.size()) {
    const Message message = next(threads);
    REQUIRE(threads.has(message.from));
    REQUIRE(message.from < first + 2);
    if (message.tag == Tag::ready) {
      CHECK((message.bytes == identity_of(rig.study.plan())));
      if (given < work_units.size())
        threads.assign(message.from, bytes_of_points(work_units[given++]));
    } else if (message.tag == Tag::outcome) {
      found.insert(bytes_without_time(outcome_of(message.bytes).view()));
    } else if (message.tag == Tag::point_finished) {
      CHECK(points_of(message.bytes).size() == 1);
      ++finished;
    } else {
      REQUIRE(message.tag == Tag::work_unit_finished);
      ++work_units_finished;
    }
  }
  CHECK(finished == points);
  CHECK((found == expected));
  CHECK_FALSE(threads.has(first - 1));
}

TEST_CASE("a thread of the coordinator can be shut down while it waits and while it computes") {
  Rig rig;
  { const WorkerThreads waiting(rig.study, rig.stop, first, 2); }
  WorkerThreads computing(rig.study, rig.stop, first, 1);
  CHECK(next(computing).tag == Tag::ready);
  computing.assign(first, bytes_of_points({{0, 0}}));
}

TEST_CASE("what is wrong beyond the fault of a run is sent by a thread and it goes on") {
  Rig rig;
  WorkerThreads threads(rig.study, rig.stop, first, 1);
  CHECK(next(threads).tag == Tag::ready);
  threads.assign(first, "no point");
  const Message trouble = next(threads);
  CHECK(trouble.tag == Tag::broken);
  CHECK(trouble.bytes == "a message of wrong size between processes");
  CHECK(next(threads).tag == Tag::ready);
}

TEST_CASE("runs that cannot be made are sent by a thread as failed ones") {
  Rig rig;
  WorkerThreads threads(rig.study, rig.stop, first, 1);
  CHECK(next(threads).tag == Tag::ready);
  // A case that turns wrong after the plan was made: no valve is smaller than such a port.
  rig.case_file.exhaust.port_valve_diameter = 0.01;
  threads.assign(first, bytes_of_points({{0, 0}}));
  for (std::size_t run = 0; run < rig.study.variants(0).size(); ++run) {
    const Message message = next(threads);
    REQUIRE(message.tag == Tag::outcome);
    CHECK(outcome_of(message.bytes).view().failure ==
          "cannot be simulated: cylinder 1: the effective area of a valve is larger than its port");
  }
  CHECK(next(threads).tag == Tag::point_finished);
  CHECK(next(threads).tag == Tag::work_unit_finished);
}

TEST_CASE("a study has the identity of another only if nothing differs that moves a number") {
  Rig rig;
  const std::string identity = identity_of(rig.study.plan());
  StudyPlan plan = rig.study.plan();
  plan.case_file = "elsewhere/" + plan.case_file;
  CHECK((identity_of(plan) == identity));
  const auto differs = [&](const auto& change) {
    StudyPlan other = rig.study.plan();
    change(other);
    return identity_of(other) != identity;
  };
  CHECK(differs([](StudyPlan& p) { p.case_text += "\n"; }));
  CHECK(differs([](StudyPlan& p) { p.program_version += "1"; }));
  CHECK(differs([](StudyPlan& p) { p.commit += "1"; }));
  CHECK(differs([](StudyPlan& p) { p.settings.tolerance *= 1.0000001; }));
  CHECK(differs([](StudyPlan& p) { p.speeds[0] += 1e-12; }));
  CHECK(differs([](StudyPlan& p) { p.headers.pop_back(); }));
  CHECK(differs([](StudyPlan& p) { p.headers[0].group += "1"; }));
  CHECK(differs([](StudyPlan& p) { p.headers[0].variant = longer_primaries; }));
  CHECK(differs([](StudyPlan& p) { p.headers[0].junction_law = models::JunctionLaw::plenum; }));
  CHECK(differs([](StudyPlan& p) { p.headers[0].cell_size *= 1.0000001; }));
}
