// Engines in a batch against the same engines alone. Both go through the same formulas, so every
// number must be the same to the last bit, whatever else is in the batch.
#include "models/engine/point_batch.hpp"

#include <doctest/doctest.h>
#include <memory>

#include "models/figures/absorbed_pulse.hpp"
#include "validation/rig/sample_engines.hpp"

namespace pulsewright::tests {

using namespace models;
using namespace validation;

namespace {

struct Job {
  EngineSpecification engine;
  double speed;  // rev/s
  std::unique_ptr<PointSimulation> run;
  PointBatch::End end;
  bool done = false;
};

RunSettings settings(int most_cycles = 1) {
  RunSettings s;
  s.most_cycles = most_cycles;  // equal from the first step on or not at all
  s.trace_points = 90;
  s.store_wave_diagram = true;
  s.wave_angles = 36;
  return s;
}

std::vector<Job> jobs_at(const EngineSpecification& engine, const std::vector<double>& rpm) {
  std::vector<Job> jobs;
  for (const double speed : rpm) jobs.push_back({engine, speed / 60, nullptr, {}});
  return jobs;
}

void run_together(std::vector<Job>& jobs) {
  std::size_t next = 0;
  PointBatch batch;
  batch.run(
      [&]() -> PointSimulation* {
        if (next == jobs.size()) return nullptr;
        Job& job = jobs[next++];
        job.run = std::make_unique<PointSimulation>(job.engine, job.speed, settings());
        return job.run.get();
      },
      [&](PointSimulation& run, const PointBatch::End& end) {
        for (Job& job : jobs) {
          if (job.run.get() != &run) continue;
          CHECK_FALSE(job.done);
          job.done = true;
          job.end = end;
        }
      });
}

void check_equal(const PointResult& a, const PointResult& b) {
  CHECK(a.torque == b.torque);
  CHECK(a.cycles == b.cycles);
  CHECK(a.steps == b.steps);
  CHECK(a.overlap_exhaust_pressure == b.overlap_exhaust_pressure);
  CHECK(a.residual_fraction == b.residual_fraction);
  CHECK(a.ledger.mass.out == b.ledger.mass.out);
  CHECK(a.ledger.energy.imbalance == b.ledger.energy.imbalance);
  CHECK((a.wave.pressure == b.wave.pressure));
  REQUIRE(a.traces.size() == b.traces.size());
  for (std::size_t i = 0; i < a.traces.size(); ++i) {
    CHECK((a.traces[i].exhaust_pressure == b.traces[i].exhaust_pressure));
    CHECK((a.traces[i].intake_mass_flow == b.traces[i].intake_mass_flow));
  }
  REQUIRE(a.merges.size() == b.merges.size());
  for (std::size_t i = 0; i < a.merges.size(); ++i) {
    CHECK((a.merges[i].arrival == b.merges[i].arrival));
  }
  REQUIRE(a.pipes.size() == b.pipes.size());
  for (std::size_t i = 0; i < a.pipes.size(); ++i) {
    CHECK(a.pipes[i].wall_temperature == b.pipes[i].wall_temperature);
    CHECK(a.pipes[i].peak_mach == b.pipes[i].peak_mach);
  }
}

void check_as_alone(std::vector<Job>& jobs) {
  for (Job& job : jobs) {
    CAPTURE(60 * job.speed);
    CHECK(job.done);
    std::string failure;
    PointResult alone;
    try {
      alone = PointSimulation(job.engine, job.speed, settings()).run();
    } catch (const RunFault& fault) {
      failure = fault.what();
    }
    CHECK(job.end.failure == failure);
    if (failure.empty()) check_equal(job.run->result(), alone);
  }
}

}  // namespace

TEST_CASE("batch of points: more speeds than slots, each as alone") {
  auto jobs = jobs_at(single_cylinder(0.7, 0.04),
                      {4000, 4300, 4600, 4900, 5200, 5500, 5800, 6100, 6400, 6700, 7000});
  run_together(jobs);
  check_as_alone(jobs);
  double seconds = 0;
  for (const Job& job : jobs) seconds += job.end.seconds;
  CHECK(seconds > 0);
}

TEST_CASE("batch of points: merges of every law and other lengths together") {
  std::vector<Job> jobs;
  for (const auto law :
       {JunctionLaw::momentum, JunctionLaw::constant_pressure, JunctionLaw::plenum}) {
    for (const double longer : {0.0, 0.004}) {
      auto engine = cross_plane_v8({{1, 3, 5, 7}, {8, 4, 6, 2}}, 0.8, 0.12);
      for (auto& junction : engine.junctions) junction.law = law;
      for (auto& pipe : engine.pipes) pipe.length += longer;
      jobs.push_back({engine, 100 + 500 * longer, nullptr, {}});
    }
  }
  run_together(jobs);
  check_as_alone(jobs);
}

TEST_CASE("batch of points: ends without reflection count what passes them once") {
  // Beside runs whose merges take more iterations than their own.
  std::vector<Job> jobs;
  const auto whole = cross_plane_v8({{1, 3, 5, 7}, {8, 4, 6, 2}}, 0.8, 0.12);
  for (const std::size_t absorbed : {0u, 3u, 5u}) {
    jobs.push_back({with_pulse_absorbed(whole, absorbed), 100.0, nullptr, {}});
  }
  jobs[1].engine.junctions.front().law = JunctionLaw::plenum;
  jobs[2].engine.junctions.front().law = JunctionLaw::constant_pressure;
  run_together(jobs);
  for (const Job& job : jobs) {
    CHECK(std::abs(job.run->result().ledger.mass.imbalance) < 1e-10);
  }
  check_as_alone(jobs);
}

TEST_CASE("batch of points: engines of another kind, and one that fails, leave the others alone") {
  auto jobs = jobs_at(single_cylinder(0.7, 0.04), {5000, 5500, 6000, 6500, 7000, 7500});
  jobs.push_back({single_cylinder(0.9, 0.02), 100, nullptr, {}});
  auto freezing = single_cylinder(0.7, 0.04);
  freezing.combustion.heating_value = -43e7;
  jobs.insert(jobs.begin() + 2, {freezing, 95, nullptr, {}});
  auto vacuum = single_cylinder(0.7, 0.04);
  vacuum.pipes[1].initial_pressure = 1e-3;
  jobs.insert(jobs.begin() + 1, {vacuum, 96, nullptr, {}});
  run_together(jobs);
  CHECK_FALSE(jobs[1].end.failure.empty());
  CHECK_FALSE(jobs[3].end.failure.empty());
  check_as_alone(jobs);
}

TEST_CASE("batch of points: a run of a batch is a start for others, as one alone is") {
  auto jobs = jobs_at(single_cylinder(0.7, 0.05), {5000, 5300, 5600, 5900, 6200, 6500});
  run_together(jobs);
  for (Job& job : jobs) {
    PointSimulation first(job.engine, job.speed, settings());
    first.run();
    PointSimulation from_alone(single_cylinder(0.7, 0.02), job.speed, settings());
    from_alone.start_from(first);
    PointSimulation from_together(single_cylinder(0.7, 0.02), job.speed, settings());
    from_together.start_from(*job.run);
    check_equal(from_together.run(), from_alone.run());
  }
}

TEST_CASE("batch of points: stopped, they give up every run and can be used again") {
  const auto engine = single_cylinder(0.7, 0.04);
  std::vector<std::unique_ptr<PointSimulation>> runs;
  for (int i = 0; i < 8; ++i) {
    runs.push_back(std::make_unique<PointSimulation>(engine, 90 + i, settings(9)));
  }
  PointBatch batch;
  std::size_t next = 0;
  const PointBatch::Next take = [&] { return next < runs.size() ? runs[next++].get() : nullptr; };
  int calls = 0;
  CHECK_THROWS_AS(batch.run(
                      take, [](PointSimulation&, const PointBatch::End&) { FAIL("one was done"); },
                      [&] { return ++calls < 12; }),
                  RunStopped);
  CHECK(calls == 12);
  runs.clear();  // no slot holds one any more
  std::vector<Job> jobs = jobs_at(engine, {6000});
  jobs[0].run = std::make_unique<PointSimulation>(engine, 100, settings());
  bool given = false;
  batch.run([&] { return std::exchange(given, true) ? nullptr : jobs[0].run.get(); },
            [&](PointSimulation&, const PointBatch::End& end) {
              jobs[0].done = true;
              jobs[0].end = end;
            });
  check_as_alone(jobs);
}

}  // namespace pulsewright::tests
