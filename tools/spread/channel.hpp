// What one that computes and the one that leads say to each other.
//
//   computes            leads
//   ready (identity)    take_points (work_unit), or no_more
//   outcome_bytes       -                                 for each run of the points
//   point_finished      -                                 for each point
//   work_unit_finished     -
//   broken (text)       -                                 in place of the rest of a work_unit
//   wrong_input (text)  -                                 the same, when the input is to blame
//   leaving             no_more, if it was not told yet   the last word of another process
#pragma once

#include <atomic>
#include <string>

#include "tools/spread/task_pool.hpp"
#include "tools/study/study.hpp"

namespace pulsewright::tools {

enum class Tag : int {
  ready = 1,
  outcome_bytes,
  point_finished,
  work_unit_finished,
  broken,
  wrong_input,
  leaving,
  take_points,
  no_more
};

struct Message {
  int from = 0;
  Tag tag = Tag::ready;
  std::string bytes;
};

std::string bytes_of_points(const WorkUnit& points);
WorkUnit points_of(const std::string& bytes);

// What moves a number: two that have the same text compute the same.
std::string identity_of(const StudyPlan& plan);

// How one that computes speaks with the one that leads.
class Line {
 public:
  Line() = default;
  virtual ~Line() = default;
  Line(const Line&) = delete;
  Line& operator=(const Line&) = delete;

  virtual void say(Tag tag, std::string bytes) = 0;
  virtual Message hear() = 0;       // waits for take_points or no_more
  virtual bool is_dismissed() = 0;  // whether no_more is there; asked while it computes
};

// Asks for points and computes them until there are none, it is dismissed, or `stop` is set.
void compute_points(const Study& study, const std::atomic<bool>& stop, Line& line);

}  // namespace pulsewright::tools
