// The crew as the processes of an MPI job. Only the main thread of each speaks MPI.
#include <algorithm>
#include <chrono>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <mpi.h>
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

// What goes to the one that leads, and what it answers.
enum Tag : int { ready = 1, outcome_bytes, point_finished, broken, leaving, take_point, no_more };

constexpr auto pause = std::chrono::milliseconds(2);  // between looks for a message

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

class MpiCrew : public Crew {
 public:
  MpiCrew(int rank, int size) : rank_(rank), present_(size - 1) {}
  // The one that leads lets the others go, also when it never led because its input was wrong, or
  // could not go on: it takes what they still send and answers the next question with an end. One
  // that was never let go, because it found its input wrong, says that it leaves.
  ~MpiCrew() override {
    if (!leads()) {
      if (!let_go_) send(0, leaving, "");
    } else {
      Message message;
      while (present_ > 0) {
        if (receive(message) && (message.tag == ready || message.tag == leaving)) let_go(message);
      }
    }
    MPI_Finalize();
  }
  MpiCrew(const MpiCrew&) = delete;
  MpiCrew& operator=(const MpiCrew&) = delete;

  bool leads() const override { return rank_ == 0; }

  QueueReport lead(const Study& study, const std::atomic<bool>& stop, const WantedPoint& wanted,
                   const OutcomeSink& consume, const PointDone& point_done) override {
    const std::vector<Point> points = points_of(study, wanted);
    QueueReport report;
    std::size_t next = 0;
    Message message;
    while (present_ > 0 && !stop) {
      if (!receive(message)) continue;
      switch (message.tag) {
        case ready:
          if (next < points.size()) {
            send(message.from, take_point, bytes_of_point(points[next++]));
          } else {
            let_go(message);
          }
          break;
        case leaving:
          let_go(message);
          break;
        case outcome_bytes: {
          const OwnedOutcome outcome = outcome_of(message.bytes);
          if (!outcome.result) ++report.failed;
          consume(outcome.view());
          break;
        }
        case point_finished: {
          const Point point = point_of(message.bytes);
          ++report.computed;
          point_done(point.first, point.second);
          break;
        }
        default:
          throw std::runtime_error(message.bytes);
      }
    }
    report.stopped = report.computed < points.size();
    return report;
  }

  void serve(const Study& study, const std::atomic<bool>& stop) override {
    Message message;
    while (true) {
      send(0, ready, "");
      while (!receive(message)) {
      }
      if (message.tag == no_more) {
        let_go_ = true;
        return;
      }
      const Point point = point_of(message.bytes);
      try {
        study.run_point(
            point.first, point.second,
            [](const PointOutcome& outcome) { send(0, outcome_bytes, bytes_of(outcome)); },
            [&] { return !stop; });
        send(0, point_finished, message.bytes);
      } catch (const models::RunStopped&) {
        // The one that leads was told to stop as well, and will say so.
      } catch (const std::exception& error) {
        send(0, broken, error.what());
      }
    }
  }

 private:
  void let_go(const Message& message) {
    if (message.tag == ready) send(message.from, no_more, "");
    --present_;
  }

  int rank_;
  int present_;          // of the one that leads: others that have not been let go
  bool let_go_ = false;  // of the others
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
