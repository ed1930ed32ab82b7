// A search shared by processes, which are threads here: the same figures as alone, in all of them.
#include "tools/search/shared_trials.hpp"

#include <array>
#include <atomic>
#include <barrier>
#include <doctest/doctest.h>
#include <map>
#include <stdexcept>
#include <string>
#include <thread>
#include <utility>
#include <vector>

#include "tests/tools/search/search_case.hpp"
#include "tools/search/search_task.hpp"

using namespace pulsewright;

namespace {

using Torques = std::map<std::pair<std::size_t, std::size_t>, double>;

// What a source may do in one process: compute, be stopped, or fail.
struct ProcessOutcome {
  Torques figures;
  bool complete = false;
  std::string error;
};

tools::SearchTask shared_task(const cases::CaseFile& case_file) {
  tools::SearchOptions options;
  options.verb = "sweep";
  options.speeds = {50, 75, 100};
  options.cell_size = tests::search_cells;
  options.variables = case_file.tune.variables;
  return tools::SearchTask(case_file, options);
}

const std::vector<tools::TrialKey> keys{{{0.6}, 0}, {{0.7}, 0}, {{0.9}, 0}};

ProcessOutcome compute(tools::TrialSource& source, const std::function<bool()>& keep_going) {
  ProcessOutcome outcome;
  source.add_start({{0.62}, 0});  // the nearest to the first one
  try {
    outcome.complete = source.compute(keys, {}, keep_going, [&](const tools::DesignPoint& point) {
      outcome.figures[{point.design, point.speed}] = point.torque;
    });
  } catch (const std::runtime_error& error) {
    outcome.error = error.what();
  }
  return outcome;
}

// A source that cannot go on.
class BrokenSource : public tools::TrialSource {
 public:
  bool compute(const std::vector<tools::TrialKey>&, const tools::DesignEvaluator::PointFilter&,
               const std::function<bool()>&, const tools::DesignEvaluator::PointSink&) override {
    throw std::runtime_error("out of memory");
  }
  void add_start(const tools::TrialKey&) override {}
};

// Two processes; `stop` and `broken` are those of the second one.
std::array<ProcessOutcome, 2> share(const tools::SearchTask& task, bool stop, bool broken) {
  std::barrier barrier(2);
  std::vector<std::string> texts(2);
  std::array<ProcessOutcome, 2> outcomes;
  const auto run = [&](std::size_t rank) {
    tools::DesignEvaluator evaluator = task.evaluator(1);
    tools::LocalTrials local(task.space(), evaluator);
    BrokenSource none;
    tools::TrialSource& source =
        broken && rank == 1 ? static_cast<tools::TrialSource&>(none) : local;
    const auto exchange = [&](const std::string& own) {
      texts[rank] = own;
      barrier.arrive_and_wait();
      const std::vector<std::string> all = texts;
      barrier.arrive_and_wait();
      return all;
    };
    tools::SharedTrials shared(source, task.speeds(), {rank, 2, exchange});
    outcomes[rank] = compute(shared, [&] { return !(stop && rank == 1); });
  };
  std::jthread other([&] { run(1); });
  run(0);
  other.join();
  return outcomes;
}

}  // namespace

TEST_CASE("processes that share a search have the figures of one that is alone") {
  const cases::CaseFile case_file = tests::search_case(R"([tune]
[[tune.vary]]
part = "primary_length"
from = "500 mm"
to = "1000 mm"
)");
  const tools::SearchTask task = shared_task(case_file);
  tools::DesignEvaluator evaluator = task.evaluator(1);
  tools::LocalTrials alone(task.space(), evaluator);
  const ProcessOutcome expected = compute(alone, {});
  REQUIRE(expected.figures.size() == 9);
  const auto both = share(task, false, false);
  for (const ProcessOutcome& outcome : both) {
    CHECK(outcome.complete);
    CHECK(outcome.figures == expected.figures);
  }
  for (const ProcessOutcome& outcome : share(task, true, false)) CHECK_FALSE(outcome.complete);
  for (const ProcessOutcome& outcome : share(task, false, true)) {
    CHECK(outcome.error == "a process of the job: out of memory");
  }
}

TEST_CASE("parts of a list have equal work") {
  using Parts = std::vector<std::size_t>;
  CHECK(tools::equal_parts({1, 1, 1, 1}, 2) == Parts{0, 2, 4});
  CHECK(tools::equal_parts({3, 1, 1, 1}, 2) == Parts{0, 1, 4});
  CHECK(tools::equal_parts({1, 1}, 4) == Parts{0, 1, 1, 2, 2});
  CHECK(tools::equal_parts({}, 2) == Parts{0, 0, 0});
}
