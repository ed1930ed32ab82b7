// What a worker and the coordinator send to each other.
//
//   worker              coordinator
//   ready (identity)    assignment (work unit), or shut_down
//   outcome             -                                 for each run of the points
//   point_finished      -                                 for each point
//   work_unit_finished  -
//   broken (text)       -                                 in place of the rest of a work unit
//   wrong_input (text)  -                                 the same, when the input is to blame
//   exiting             shut_down, if it was not sent yet the last message of another process
#pragma once

#include <atomic>
#include <string>

#include "tools/study/work_queue.hpp"

namespace pulsewright::tools {

enum class Tag : int {
  ready = 1,
  outcome,
  point_finished,
  work_unit_finished,
  broken,
  wrong_input,
  exiting,
  assignment,
  shut_down
};

struct Message {
  int from = 0;
  Tag tag = Tag::ready;
  std::string bytes;
};

std::string bytes_of_points(const WorkUnit& points);
// Throws std::runtime_error for bytes that bytes_of_points() did not make.
WorkUnit points_of(const std::string& bytes);

// Whatever moves a number: two processes that have the same text compute the same.
std::string identity_of(const StudyPlan& plan);

// From a worker to the coordinator and back.
class Channel {
 public:
  Channel() = default;
  virtual ~Channel() = default;
  Channel(const Channel&) = delete;
  Channel& operator=(const Channel&) = delete;

  virtual void send(Tag tag, std::string bytes) = 0;
  virtual Message receive() = 0;    // waits for assignment or shut_down
  virtual bool is_shut_down() = 0;  // whether shut_down has come; polled while it computes
};

// What a worker does: requests work units and computes them until there are none, it is shut down,
// or `stop` is set. A work unit may have no points left.
void compute_points(const Study& study, const std::atomic<bool>& stop, Channel& channel);

}  // namespace pulsewright::tools
