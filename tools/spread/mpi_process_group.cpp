#include "tools/spread/mpi_process_group.hpp"

#include <algorithm>
#include <atomic>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <fmt/format.h>
#include <map>
#include <mpi.h>
#include <set>
#include <stdexcept>
#include <string>
#include <thread>
#include <utility>
#include <vector>

#include "models/engine/point_batch.hpp"
#include "tools/spread/channel.hpp"
#include "tools/spread/point_serialization.hpp"
#include "tools/spread/task_pool.hpp"
#include "tools/spread/worker_threads.hpp"

namespace pulsewright::tools {

namespace {

constexpr auto pause = std::chrono::milliseconds(2);  // between polls for a message
constexpr int most_polls = 5000;  // polls without a message until those that are missing are lost

void mpi_send(int to, Tag tag, const std::string& bytes) {
  MPI_Send(bytes.data(), static_cast<int>(bytes.size()), MPI_CHAR, to, static_cast<int>(tag),
           MPI_COMM_WORLD);
}

// Does not wait, since a process that died receives nothing; the bytes must stay until the reply.
void mpi_post(int to, Tag tag, const std::string& bytes) {
  MPI_Request request;
  MPI_Isend(bytes.data(), static_cast<int>(bytes.size()), MPI_CHAR, to, static_cast<int>(tag),
            MPI_COMM_WORLD, &request);
  MPI_Request_free(&request);
}

// The next message, if there is one.
bool mpi_receive(Message& message) {
  int there = 0;
  MPI_Status status;
  MPI_Iprobe(MPI_ANY_SOURCE, MPI_ANY_TAG, MPI_COMM_WORLD, &there, &status);
  if (!there) return false;
  int size = 0;
  MPI_Get_count(&status, MPI_CHAR, &size);
  message.from = status.MPI_SOURCE;
  message.tag = static_cast<Tag>(status.MPI_TAG);
  message.bytes.resize(static_cast<std::size_t>(size));
  MPI_Recv(message.bytes.data(), size, MPI_CHAR, message.from, status.MPI_TAG, MPI_COMM_WORLD,
           MPI_STATUS_IGNORE);
  return true;
}

// Points in a work unit: enough to fill a batch, unless some workers would then have none. Several
// work units each, so that all end together.
std::size_t points_per_unit(const Study& study, std::size_t workers) {
  constexpr std::size_t work_units_each = 4;
  const std::size_t points = study.headers() * study.speeds() / (work_units_each * workers);
  return std::clamp(points, std::size_t{1}, models::PointBatch::slots);
}

class MpiProcessGroup : public ProcessGroup, private Channel {
 public:
  MpiProcessGroup(int rank, int size)
      : rank_(rank), size_(size), present_(static_cast<unsigned>(size - 1)) {}

  bool is_coordinator() const override { return rank_ == 0; }
  std::size_t rank() const override { return static_cast<std::size_t>(rank_); }
  std::size_t size() const override { return static_cast<std::size_t>(size_); }

  std::vector<std::string> exchange(const std::string& own) override {
    const auto count = static_cast<std::size_t>(size_);
    const int length = static_cast<int>(own.size());
    std::vector<int> lengths(count), begins(count, 0);
    MPI_Allgather(&length, 1, MPI_INT, lengths.data(), 1, MPI_INT, MPI_COMM_WORLD);
    for (std::size_t i = 1; i < count; ++i) begins[i] = begins[i - 1] + lengths[i - 1];
    std::string all(static_cast<std::size_t>(begins.back() + lengths.back()), '\0');
    MPI_Allgatherv(own.data(), length, MPI_CHAR, all.data(), lengths.data(), begins.data(),
                   MPI_CHAR, MPI_COMM_WORLD);
    std::vector<std::string> texts;
    for (std::size_t i = 0; i < count; ++i) {
      texts.push_back(
          all.substr(static_cast<std::size_t>(begins[i]), static_cast<std::size_t>(lengths[i])));
    }
    return texts;
  }

  QueueReport coordinate(const Study& study, unsigned threads, const std::atomic<bool>& stop,
                         const PointFilter& selected, const OutcomeSink& consume,
                         const PointDone& point_done) override {
    const std::size_t workers = static_cast<std::size_t>(size_) + threads;
    Progress progress{
        TaskPool(work_units_of(study, selected, points_per_unit(study, workers)), workers),
        identity_of(study.plan()),
        {},
        {},
        {}};
    WorkerThreads own(study, stop, size_, progress.pool.remaining() > 0 ? threads : 0);
    Message message;
    while (progress.pool.remaining() > 0 && present_ + threads > 0 && !stop) {
      if (own.try_receive(message) || mpi_receive(message)) {
        handle(message, study, progress, own, consume, point_done);
      } else {
        own.wait(pause);
      }
    }
    progress.report.stopped = progress.pool.remaining() > 0;
    shut_down_workers();
    return progress.report;
  }

  void work(const Study& study, const std::atomic<bool>& stop) override {
    compute_points(study, stop, *this);
  }

  // The coordinator comes here also when its input was wrong or it could not go on.
  void shut_down(int exit_code) override {
    if (is_coordinator()) {
      shut_down_workers();
      Message message;
      for (int silent = 0; present_ > 0 && silent < most_polls; ++silent) {
        if (!mpi_receive(message)) {
          std::this_thread::sleep_for(pause);
          continue;
        }
        silent = 0;
        if (message.tag == Tag::exiting) release_process(message);
      }
      if (present_ > 0) {
        const auto text =
            fmt::format("pulsewright: {} of the job {} not reply; it ends without {}\n",
                        present_ == 1 ? "1 process" : fmt::format("{} processes", present_),
                        present_ == 1 ? "does" : "do", present_ == 1 ? "it" : "them");
        std::fputs(text.c_str(), stderr);  // where that fails there is nobody to tell
        std::fflush(nullptr);
        MPI_Abort(MPI_COMM_WORLD, exit_code);
      }
    } else {
      mpi_send(0, Tag::exiting, exit_code == 0 ? "" : "refused");
      while (!shut_down_) receive();
    }
    MPI_Finalize();
  }

 private:
  // Of the coordinator.

  struct Progress {
    TaskPool pool;
    std::string identity;
    // A work unit may be computed by several workers: what comes first counts.
    std::set<std::pair<std::size_t, std::size_t>> stored;  // runs: index in the plan, speed
    std::set<StudyPoint> finished;
    QueueReport report;
  };

  void handle(const Message& message, const Study& study, Progress& progress, WorkerThreads& own,
              const OutcomeSink& consume, const PointDone& point_done) {
    const auto worker = static_cast<std::size_t>(message.from);
    switch (message.tag) {
      case Tag::ready:
        assign_work(message, progress, own);
        break;
      case Tag::exiting:
        progress.pool.release(worker);
        release_process(message);
        if (!message.bytes.empty()) {
          throw std::invalid_argument(
              fmt::format("process {} of the job does not find the case file, or finds case or "
                          "options wrong. All must see the case under the same name",
                          message.from));
        }
        break;
      case Tag::outcome: {
        const OwnedOutcome outcome = outcome_of(message.bytes);
        if (!progress.stored.emplace(outcome.header_index, outcome.speed_index).second) break;
        if (!outcome.result) ++progress.report.failed;
        consume(outcome.view());
        break;
      }
      case Tag::point_finished: {
        const StudyPoint point = points_of(message.bytes).front();
        if (!progress.finished.insert(point).second) break;
        ++progress.report.computed;
        point_done(point.first, point.second);
        break;
      }
      case Tag::work_unit_finished:
        progress.pool.complete(worker);
        break;
      case Tag::wrong_input:
        throw std::invalid_argument(text_of_failure(study, progress.pool, message));
      case Tag::broken:
        throw std::runtime_error(text_of_failure(study, progress.pool, message));
      default:
        throw std::runtime_error(fmt::format("a message of unknown kind {} between processes",
                                             static_cast<int>(message.tag)));
    }
  }

  void assign_work(const Message& request, Progress& progress, WorkerThreads& own) {
    if (request.bytes != progress.identity) {
      throw std::invalid_argument(fmt::format(
          "process {} of the job has another case file or other options, or is another build of "
          "the program",
          request.from));
    }
    WorkUnit work_unit = progress.pool.assign(static_cast<std::size_t>(request.from));
    std::erase_if(work_unit, [&](const StudyPoint& p) { return progress.finished.count(p) > 0; });
    std::string bytes = bytes_of_points(work_unit);
    if (own.has(request.from)) {
      own.assign(request.from, std::move(bytes));
    } else {
      assignments_[request.from] = std::move(bytes);
      mpi_post(request.from, Tag::assignment, assignments_[request.from]);
    }
  }

  // All others are to end, also in the middle of a point.
  void shut_down_workers() {
    if (shut_down_) return;
    shut_down_ = true;
    for (int rank = 1; rank < size_; ++rank) {
      if (gone_.count(rank) == 0) mpi_post(rank, Tag::shut_down, nothing_);
    }
  }

  void release_process(const Message& message) {
    if (!shut_down_) mpi_post(message.from, Tag::shut_down, nothing_);
    gone_.insert(message.from);
    --present_;
  }

  std::string text_of_failure(const Study& study, const TaskPool& pool,
                              const Message& message) const {
    const std::string who = message.from < size_
                                ? fmt::format("process {} of the job", message.from)
                                : "the coordinating process of the job";
    const auto work_unit = pool.assigned_to(static_cast<std::size_t>(message.from));
    if (!work_unit) return fmt::format("{}: {}", who, message.bytes);
    const StudyPlan& plan = study.plan();
    const auto rpm = [&](const StudyPoint& p) { return 60 * plan.speeds[p.second]; };
    const std::string speeds =
        work_unit->size() == 1
            ? fmt::format("{:.0f}", rpm(work_unit->front()))
            : fmt::format("{:.0f} to {:.0f}", rpm(work_unit->front()), rpm(work_unit->back()));
    return fmt::format("{}, '{}' at {} rpm: {}", who,
                       plan.headers[study.plan_index(work_unit->front().first, 0)].name, speeds,
                       message.bytes);
  }

  // Of the others: their channel to the coordinator.

  void send(Tag tag, std::string bytes) override { mpi_send(0, tag, bytes); }

  Message receive() override {
    Message message;
    while (!mpi_receive(message)) std::this_thread::sleep_for(pause);
    if (message.tag == Tag::shut_down) shut_down_ = true;
    return message;
  }

  bool is_shut_down() override {
    int there = 0;
    if (!shut_down_) {
      MPI_Iprobe(0, static_cast<int>(Tag::shut_down), MPI_COMM_WORLD, &there, MPI_STATUS_IGNORE);
    }
    if (there) receive();
    return shut_down_;
  }

  int rank_;
  int size_;
  unsigned present_;                        // of the coordinator: others that have not exited
  std::set<int> gone_;                      // those that have
  std::map<int, std::string> assignments_;  // by rank: the last that was posted
  std::string nothing_;
  bool shut_down_ = false;  // coordinator: shut_down was sent; others: was received
};

}  // namespace

std::unique_ptr<ProcessGroup> join_mpi_job(int& argc, char**& argv) {
  // Started by hand, a program with MPI is one without.
  if (std::getenv("OMPI_COMM_WORLD_SIZE") == nullptr && std::getenv("PMI_SIZE") == nullptr &&
      std::getenv("PMIX_RANK") == nullptr) {
    return nullptr;
  }
  int provided = MPI_THREAD_SINGLE;
  MPI_Init_thread(&argc, &argv, MPI_THREAD_FUNNELED, &provided);
  if (provided < MPI_THREAD_FUNNELED) {
    throw std::runtime_error("this MPI allows no thread beside the one that calls it");
  }
  int rank = 0;
  int size = 1;
  MPI_Comm_rank(MPI_COMM_WORLD, &rank);
  MPI_Comm_size(MPI_COMM_WORLD, &size);
  if (size == 1) {
    MPI_Finalize();
    return nullptr;
  }
  auto process_group = std::make_unique<MpiProcessGroup>(rank, size);
  if (!process_group->is_coordinator()) {
    // The coordinator prints for all.
    if (!std::freopen("/dev/null", "w", stdout) || !std::freopen("/dev/null", "w", stderr)) {
      throw std::runtime_error("cannot redirect the output of a process of the job");
    }
  }
  return process_group;
}

}  // namespace pulsewright::tools
