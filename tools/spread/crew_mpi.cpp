// The crew as the processes of an MPI job. Only the main thread of each speaks MPI.
#include <algorithm>
#include <chrono>
#include <cstdint>
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

#include "models/run_fault.hpp"
#include "tools/spread/crew.hpp"
#include "tools/spread/point_bytes.hpp"

namespace pulsewright::tools {

namespace {

// What goes to the one that leads, and what it answers. The last word of each of the others is
// `leaving`, and each is told `no_more` once.
enum Tag : int { ready = 1, outcome_bytes, point_finished, broken, leaving, take_point, no_more };

constexpr auto pause = std::chrono::milliseconds(2);  // between looks for a message
constexpr int patience = 5000;  // looks without a message until those that are missing are lost

using Point = std::pair<std::size_t, std::size_t>;  // header, speed

void send(int to, Tag tag, const std::string& bytes) {
  MPI_Send(bytes.data(), static_cast<int>(bytes.size()), MPI_CHAR, to, tag, MPI_COMM_WORLD);
}

std::string bytes_of_point(Point point) {
  const std::uint64_t numbers[2] = {point.first, point.second};
  return {reinterpret_cast<const char*>(numbers), sizeof numbers};
}

Point point_of(const std::string& bytes) {
  std::uint64_t numbers[2] = {};
  if (bytes.size() != sizeof numbers) throw std::runtime_error("crew: a message of wrong size");
  std::copy(bytes.begin(), bytes.end(), reinterpret_cast<char*>(numbers));
  return {numbers[0], numbers[1]};
}

// Does not wait, since who died takes no message; the bytes must stay until it is answered.
void post(int to, Tag tag, const std::string& bytes) {
  MPI_Request request;
  MPI_Isend(bytes.data(), static_cast<int>(bytes.size()), MPI_CHAR, to, tag, MPI_COMM_WORLD,
            &request);
  MPI_Request_free(&request);
}

struct Message {
  int from = 0;
  Tag tag = ready;
  std::string bytes;
};

// The next message, or none after a short pause.
bool receive(Message& message) {
  int there = 0;
  MPI_Status status;
  MPI_Iprobe(MPI_ANY_SOURCE, MPI_ANY_TAG, MPI_COMM_WORLD, &there, &status);
  if (!there) {
    std::this_thread::sleep_for(pause);
    return false;
  }
  int size = 0;
  MPI_Get_count(&status, MPI_CHAR, &size);
  message.from = status.MPI_SOURCE;
  message.tag = static_cast<Tag>(status.MPI_TAG);
  message.bytes.resize(static_cast<std::size_t>(size));
  MPI_Recv(message.bytes.data(), size, MPI_CHAR, message.from, message.tag, MPI_COMM_WORLD,
           MPI_STATUS_IGNORE);
  return true;
}

// What moves a number: two processes with the same text compute the same.
std::string identity_of(const StudyPlan& plan) {
  return plan.program_version + '\n' + plan.commit + '\n' + plan.settings_json + '\n' +
         plan.case_text;
}

// A point that is not done is handed out again to whoever has nothing else to do. So nobody has to
// find out which process is dead or hangs; results are the same whoever is first.
class OpenPoints {
 public:
  OpenPoints(const std::vector<Point>& points, int size)
      : held_(static_cast<std::size_t>(size), nullptr), undone_(points.size()) {
    for (const Point& point : points) entries_.push_back({point});
  }
  std::size_t undone() const { return undone_; }

  // The first of those that the fewest have; there must be one.
  Point hand_to(int rank) {
    put_back(rank);
    const auto entry = std::min_element(
        entries_.begin(), entries_.end(), [](const Entry& one, const Entry& other) {
          return std::pair(one.done, one.holders) < std::pair(other.done, other.holders);
        });
    ++entry->holders;
    held_[static_cast<std::size_t>(rank)] = &*entry;
    return entry->point;
  }

  void put_back(int rank) {
    Entry*& entry = held_[static_cast<std::size_t>(rank)];
    if (entry) --entry->holders;
    entry = nullptr;
  }

  // Whether this process is the first to finish its point.
  bool finish(int rank) {
    Entry* const entry = held_[static_cast<std::size_t>(rank)];
    put_back(rank);
    if (!entry || entry->done) return false;
    entry->done = true;
    --undone_;
    return true;
  }

 private:
  struct Entry {
    Point point;
    int holders = 0;
    bool done = false;
  };
  std::vector<Entry> entries_;
  std::vector<Entry*> held_;  // by rank
  std::size_t undone_;
};

class MpiCrew : public Crew {
 public:
  MpiCrew(int rank, int size) : rank_(rank), size_(size), present_(size - 1) {}

  bool leads() const override { return rank_ == 0; }

  QueueReport lead(const Study& study, const std::atomic<bool>& stop, const WantedPoint& wanted,
                   const OutcomeSink& consume, const PointDone& point_done) override {
    OpenPoints points(points_of(study, wanted), size_);
    const std::string identity = identity_of(study.plan());
    std::set<std::pair<std::size_t, std::size_t>> taken;  // runs: index in the plan, speed
    QueueReport report;
    Message message;
    while (points.undone() > 0 && present_ > 0 && !stop) {
      if (!receive(message)) continue;
      switch (message.tag) {
        case ready:
          if (message.bytes != identity) {
            throw std::runtime_error(fmt::format(
                "process {} of the job has another case file or is another build of the program",
                message.from));
          }
          orders_[message.from] = bytes_of_point(points.hand_to(message.from));
          post(message.from, take_point, orders_[message.from]);
          break;
        case leaving:
          points.put_back(message.from);
          take_leave(message);
          break;
        case outcome_bytes: {
          const OwnedOutcome outcome = outcome_of(message.bytes);
          // Another one may have sent the same.
          if (!taken.emplace(outcome.concept_index, outcome.speed_index).second) break;
          if (!outcome.result) ++report.failed;
          consume(outcome.view());
          break;
        }
        case point_finished:
          if (points.finish(message.from)) {
            const Point point = point_of(message.bytes);
            ++report.computed;
            point_done(point.first, point.second);
          }
          break;
        default:
          throw std::runtime_error(message.bytes);
      }
    }
    report.stopped = points.undone() > 0;
    if (report.stopped && !stop && refused_) {
      throw std::runtime_error(
          "no process is left to compute: those that were started do not find the case file, or "
          "find it wrong. All must see it under the same name");
    }
    dismiss();
    return report;
  }

  void serve(const Study& study, const std::atomic<bool>& stop) override {
    const std::string identity = identity_of(study.plan());
    Message message;
    while (true) {
      send(0, ready, identity);
      while (!receive(message)) {
      }
      if (message.tag == no_more) {
        dismissed_ = true;
        return;
      }
      const Point point = point_of(message.bytes);
      try {
        study.run_point(
            point.first, point.second,
            [](const PointOutcome& outcome) { send(0, outcome_bytes, bytes_of(outcome)); },
            [&] { return !stop && !is_dismissed(); });
        send(0, point_finished, message.bytes);
      } catch (const models::RunStopped&) {
        return;  // another one takes the point, if it is still wanted
      } catch (const std::exception& error) {
        send(0, broken, error.what());
      }
    }
  }

  // The one that leads comes here also when its input was wrong or it could not go on.
  void end(int exit_code) override {
    Message message;
    if (leads()) {
      dismiss();
      for (int silent = 0; present_ > 0 && silent < patience; ++silent) {
        if (!receive(message)) continue;
        silent = 0;
        if (message.tag == leaving) take_leave(message);
      }
      if (present_ > 0) {
        fmt::print(stderr, "pulsewright: {} of the job {} not answer; it ends without {}\n",
                   present_ == 1 ? "1 process" : fmt::format("{} processes", present_),
                   present_ == 1 ? "does" : "do", present_ == 1 ? "it" : "them");
        std::fflush(nullptr);
        MPI_Abort(MPI_COMM_WORLD, exit_code);
      }
    } else {
      send(0, leaving, exit_code == 0 ? "" : "refused");
      while (!dismissed_) dismissed_ = receive(message) && message.tag == no_more;
    }
    MPI_Finalize();
  }

 private:
  // Of the one that leads: all others are to end, also in the middle of a point.
  void dismiss() {
    for (int rank = 1; rank < size_ && !dismissed_; ++rank) {
      if (gone_.count(rank) == 0) post(rank, no_more, nothing_);
    }
    dismissed_ = true;
  }

  void take_leave(const Message& message) {
    if (!dismissed_) post(message.from, no_more, nothing_);
    refused_ = refused_ || !message.bytes.empty();
    gone_.insert(message.from);
    --present_;
  }

  // Of the others.
  bool is_dismissed() {
    int there = 0;
    MPI_Iprobe(0, no_more, MPI_COMM_WORLD, &there, MPI_STATUS_IGNORE);
    if (there) {
      MPI_Recv(nullptr, 0, MPI_CHAR, 0, no_more, MPI_COMM_WORLD, MPI_STATUS_IGNORE);
      dismissed_ = true;
    }
    return dismissed_;
  }

  int rank_;
  int size_;
  int present_;                        // of the one that leads: others that have not left
  std::set<int> gone_;                 // those that have
  std::map<int, std::string> orders_;  // by rank: the last that was posted
  const std::string nothing_;
  bool refused_ = false;    // one of them because of its input
  bool dismissed_ = false;  // the others have been told to end; of those: was told
};

}  // namespace

std::unique_ptr<Crew> join_crew(int& argc, char**& argv) {
  // Started by hand, a program with MPI is one without.
  if (std::getenv("OMPI_COMM_WORLD_SIZE") == nullptr && std::getenv("PMI_SIZE") == nullptr &&
      std::getenv("PMIX_RANK") == nullptr) {
    return nullptr;
  }
  MPI_Init(&argc, &argv);
  int rank = 0;
  int size = 1;
  MPI_Comm_rank(MPI_COMM_WORLD, &rank);
  MPI_Comm_size(MPI_COMM_WORLD, &size);
  if (size == 1) {
    MPI_Finalize();
    return nullptr;
  }
  auto crew = std::make_unique<MpiCrew>(rank, size);
  if (!crew->leads()) {
    // Whatever they have to say, the one that leads says it.
    if (!std::freopen("/dev/null", "w", stdout) || !std::freopen("/dev/null", "w", stderr)) {
      throw std::runtime_error("cannot silence a process of the crew");
    }
  }
  return crew;
}

}  // namespace pulsewright::tools
