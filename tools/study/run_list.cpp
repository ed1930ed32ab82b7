#include "tools/study/run_list.hpp"

#include <algorithm>
#include <atomic>
#include <exception>
#include <map>
#include <mutex>
#include <new>
#include <optional>
#include <thread>
#include <utility>
#include <vector>

#include "models/engine/point_batch.hpp"
#include "models/engine/run_fault.hpp"

namespace pulsewright::tools {

void on_threads(unsigned jobs, const std::function<bool()>& keep_going,
                const std::function<void(const std::function<bool()>& go_on)>& work) {
  std::atomic<bool> broken{false};
  std::exception_ptr error;
  std::mutex mutex;
  const std::function<bool()> go_on = [&] { return !broken && (!keep_going || keep_going()); };
  const auto guarded = [&] {
    try {
      work(go_on);
    } catch (const models::RunStopped&) {
    } catch (...) {
      const std::scoped_lock lock(mutex);
      if (!error) error = std::current_exception();
      broken = true;
    }
  };
  std::vector<std::jthread> threads;
  for (unsigned j = 1; j < jobs; ++j) threads.emplace_back(guarded);
  guarded();
  threads.clear();  // joins
  if (error) std::rethrow_exception(error);
}

namespace {

// What is left of a list, shared by all threads.
class RunsLeft {
 public:
  explicit RunsLeft(const RunList& list) : list_(list) {}

  std::size_t done() const { return done_; }

  // The key of the next run; none where the list is at its end.
  std::optional<std::size_t> next_key() {
    const std::scoped_lock lock(mutex_);
    return next_ == list_.count ? std::nullopt : std::optional(key_of(next_));
  }

  // The next run with this key that can be made, and its number; null where there is none.
  RunList::Run make_next(std::size_t key, std::size_t& number) {
    while (true) {
      {
        const std::scoped_lock lock(mutex_);
        if (next_ == list_.count || key_of(next_) != key) return nullptr;
        number = next_++;
      }
      try {
        return list_.make(number);
      } catch (const std::bad_alloc&) {
        throw;  // says nothing about the run
      } catch (const std::exception& fault) {
        take(number, nullptr, std::string("cannot be simulated: ") + fault.what(), 0);
      }
    }
  }

  void take(std::size_t number, RunList::Run run, const std::string& failure, double seconds) {
    const std::scoped_lock lock(mutex_);
    ++done_;
    list_.take(number, std::move(run), failure, seconds);
  }

 private:
  std::size_t key_of(std::size_t i) const { return list_.key ? list_.key(i) : 0; }

  const RunList& list_;
  std::mutex mutex_;
  std::size_t next_ = 0, done_ = 0;
};

}  // namespace

bool run_list(const RunList& list, unsigned jobs, const std::function<bool()>& keep_going) {
  RunsLeft left(list);
  // Few runs are shared out among the threads, so that none has all of them.
  const std::size_t threads = std::max(1U, jobs);
  const std::size_t at_once = (list.count + threads - 1) / threads;
  on_threads(jobs, keep_going, [&](const std::function<bool()>& go_on) {
    std::map<const models::PointSimulation*, std::pair<std::size_t, RunList::Run>> runs;
    models::PointBatch batch;
    while (go_on()) {
      const auto key = left.next_key();
      if (!key) break;
      batch.run(
          [&]() -> models::PointSimulation* {
            if (!go_on() || runs.size() >= at_once) return nullptr;
            std::size_t number = 0;
            RunList::Run run = left.make_next(*key, number);
            models::PointSimulation* const made = run.get();
            if (made) runs.emplace(made, std::pair(number, std::move(run)));
            return made;
          },
          [&](models::PointSimulation& run, const models::PointBatch::End& end) {
            auto ended = runs.extract(&run);
            left.take(ended.mapped().first, std::move(ended.mapped().second), end.failure,
                      end.seconds);
          },
          go_on);
    }
  });
  return left.done() == list.count;
}

models::RunSettings figure_settings(const models::RunSettings& of_case) {
  models::RunSettings settings = of_case;
  settings.second_pattern = false;
  settings.store_traces = false;
  settings.store_wave_diagram = false;
  return settings;
}

models::RunSettings difference_settings(const models::RunSettings& of_case) {
  models::RunSettings settings = figure_settings(of_case);
  settings.tolerance = std::min(settings.tolerance, difference_tolerance);
  return settings;
}

}  // namespace pulsewright::tools
