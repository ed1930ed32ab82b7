// The process_group as the processes of an MPI job. Only the main thread of each speaks MPI.
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
#include "tools/spread/process_group.hpp"
#include "tools/spread/task_pool.hpp"
#include "tools/spread/worker_threads.hpp"

namespace pulsewright::tools {

namespace {

constexpr auto pause = std::chrono::milliseconds(2);  // between looks for a message
constexpr int patience = 5000;  // looks without a message until those that are missing are lost

void send(int to, Tag tag, const std::string& bytes) {
  MPI_Send(bytes.data(), static_cast<int>(bytes.size()), MPI_CHAR, to, static_cast<int>(tag),
           MPI_COMM_WORLD);
}

// Does not wait, since who died takes no message; the bytes must stay until it is answered.
void post(int to, Tag tag, const std::string& bytes) {
  MPI_Request request;
  MPI_Isend(bytes.data(), static_cast<int>(bytes.size()), MPI_CHAR, to, static_cast<int>(tag),
            MPI_COMM_WORLD, &request);
  MPI_Request_free(&request);
}

// The next message, if there is one.
bool receive(Message& message) {
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

// Points that one computes side by side: enough to fill its lanes, unless some would then have
// none. Several work_units each, so that all end together.
std::size_t points_at_once(const Study& study, std::size_t holders) {
  constexpr std::size_t work_units_each = 4;
  const std::size_t share = study.headers() * study.speeds() / (work_units_each * holders);
  return std::clamp(share, std::size_t{1}, models::PointBatch::seats);
}

class MpiProcessGroup : public ProcessGroup, private Line {
 public:
  MpiProcessGroup(int rank, int size)
      : rank_(rank), size_(size), present_(static_cast<unsigned>(size - 1)) {}

  bool leads() const override { return rank_ == 0; }

  QueueReport lead(const Study& study, unsigned threads, const std::atomic<bool>& stop,
                   const WantedPoint& wanted, const OutcomeSink& consume,
                   const PointDone& point_done) override {
    const std::size_t holders = static_cast<std::size_t>(size_) + threads;
    TaskPool points(work_units_of(study, wanted, points_at_once(study, holders)), holders);
    const std::string identity = identity_of(study.plan());
    // Another one may send the same.
    std::set<std::pair<std::size_t, std::size_t>> taken;  // runs: index in the plan, speed
    std::set<StudyPoint> finished;
    QueueReport report;
    WorkerThreads own(study, stop, size_, points.undone() > 0 ? threads : 0);
    Message message;
    while (points.undone() > 0 && present_ + threads > 0 && !stop) {
      if (!own.receive(message) && !receive(message)) {
        own.wait(pause);
        continue;
      }
      const auto holder = static_cast<std::size_t>(message.from);
      switch (message.tag) {
        case Tag::ready: {
          if (message.bytes != identity) {
            throw std::invalid_argument(fmt::format(
                "process {} of the job has another case file or other options, or is another build "
                "of the program",
                message.from));
          }
          WorkUnit work_unit = points.hand_to(holder);
          std::erase_if(work_unit, [&](const StudyPoint& p) { return finished.count(p) > 0; });
          std::string order = bytes_of_points(work_unit);
          if (own.has(message.from)) {
            own.order(message.from, std::move(order));
          } else {
            orders_[message.from] = std::move(order);
            post(message.from, Tag::take_points, orders_[message.from]);
          }
          break;
        }
        case Tag::leaving:
          points.put_back(holder);
          take_leave(message);
          if (!message.bytes.empty()) {
            throw std::invalid_argument(
                fmt::format("process {} of the job does not find the case file, or finds case or "
                            "options wrong. All must see the case under the same name",
                            message.from));
          }
          break;
        case Tag::outcome_bytes: {
          const OwnedOutcome outcome = outcome_of(message.bytes);
          if (!taken.emplace(outcome.header_index, outcome.speed_index).second) break;
          if (!outcome.result) ++report.failed;
          consume(outcome.view());
          break;
        }
        case Tag::point_finished: {
          const StudyPoint point = points_of(message.bytes).front();
          if (!finished.insert(point).second) break;
          ++report.computed;
          point_done(point.first, point.second);
          break;
        }
        case Tag::work_unit_finished:
          points.finish(holder);
          break;
        case Tag::wrong_input:
          throw std::invalid_argument(text_of_trouble(study, points, message));
        case Tag::broken:
          throw std::runtime_error(text_of_trouble(study, points, message));
        default:
          throw std::runtime_error(
              fmt::format("process_group: a message of kind {}", static_cast<int>(message.tag)));
      }
    }
    report.stopped = points.undone() > 0;
    dismiss();
    return report;
  }

  void serve(const Study& study, const std::atomic<bool>& stop) override {
    compute_points(study, stop, *this);
  }

  // The one that leads comes here also when its input was wrong or it could not go on.
  void end(int exit_code) override {
    if (leads()) {
      dismiss();
      Message message;
      for (int silent = 0; present_ > 0 && silent < patience; ++silent) {
        if (!receive(message)) {
          std::this_thread::sleep_for(pause);
          continue;
        }
        silent = 0;
        if (message.tag == Tag::leaving) take_leave(message);
      }
      if (present_ > 0) {
        fmt::print(stderr, "pulsewright: {} of the job {} not answer; it ends without {}\n",
                   present_ == 1 ? "1 process" : fmt::format("{} processes", present_),
                   present_ == 1 ? "does" : "do", present_ == 1 ? "it" : "them");
        std::fflush(nullptr);
        MPI_Abort(MPI_COMM_WORLD, exit_code);
      }
    } else {
      send(0, Tag::leaving, exit_code == 0 ? "" : "refused");
      while (!dismissed_) hear();
    }
    MPI_Finalize();
  }

 private:
  // Of the one that leads.

  // All others are to end, also in the middle of a point.
  void dismiss() {
    if (dismissed_) return;
    dismissed_ = true;
    for (int rank = 1; rank < size_; ++rank) {
      if (gone_.count(rank) == 0) post(rank, Tag::no_more, nothing_);
    }
  }

  void take_leave(const Message& message) {
    if (!dismissed_) post(message.from, Tag::no_more, nothing_);
    gone_.insert(message.from);
    --present_;
  }

  std::string text_of_trouble(const Study& study, const TaskPool& points,
                              const Message& message) const {
    const std::string who = message.from < size_
                                ? fmt::format("process {} of the job", message.from)
                                : "the process that leads the job";
    const auto work_unit = points.held_by(static_cast<std::size_t>(message.from));
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

  // Of the others.

  void say(Tag tag, std::string bytes) override { send(0, tag, bytes); }

  Message hear() override {
    Message message;
    while (!receive(message)) std::this_thread::sleep_for(pause);
    if (message.tag == Tag::no_more) dismissed_ = true;
    return message;
  }

  bool is_dismissed() override {
    int there = 0;
    if (!dismissed_) {
      MPI_Iprobe(0, static_cast<int>(Tag::no_more), MPI_COMM_WORLD, &there, MPI_STATUS_IGNORE);
    }
    if (there) hear();
    return dismissed_;
  }

  int rank_;
  int size_;
  unsigned present_;                   // of the one that leads: others that have not left
  std::set<int> gone_;                 // those that have
  std::map<int, std::string> orders_;  // by rank: the last that was posted
  std::string nothing_;
  bool dismissed_ = false;  // the others have been told to end; of those: was told
};

}  // namespace

std::unique_ptr<ProcessGroup> join_process_group(int& argc, char**& argv) {
  // Started by hand, a program with MPI is one without.
  if (std::getenv("OMPI_COMM_WORLD_SIZE") == nullptr && std::getenv("PMI_SIZE") == nullptr &&
      std::getenv("PMIX_RANK") == nullptr) {
    return nullptr;
  }
  int provided = MPI_THREAD_SINGLE;
  MPI_Init_thread(&argc, &argv, MPI_THREAD_FUNNELED, &provided);
  if (provided < MPI_THREAD_FUNNELED) {
    throw std::runtime_error("this MPI allows no thread beside the one that speaks it");
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
  if (!process_group->leads()) {
    // Whatever they have to say, the one that leads says it.
    if (!std::freopen("/dev/null", "w", stdout) || !std::freopen("/dev/null", "w", stderr)) {
      throw std::runtime_error("cannot silence a process of the process_group");
    }
  }
  return process_group;
}

}  // namespace pulsewright::tools
