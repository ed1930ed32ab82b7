// Which work_unit of points is handed to whom, and when a study is done.
#include "tools/spread/task_pool.hpp"

#include <doctest/doctest.h>

using namespace pulsewright::tools;

namespace {
const std::vector<WorkUnit> three = {{{0, 0}, {0, 1}}, {{1, 0}}, {{0, 2}}};
}

TEST_CASE("work_units are handed out in their order, each once as long as there are new ones") {
  TaskPool points(three, 2);
  CHECK_FALSE(points.held_by(0).has_value());
  CHECK((points.hand_to(0) == three[0]));
  CHECK((points.hand_to(1) == three[1]));
  CHECK((points.held_by(0) == three[0]));
  CHECK(points.finish(0));
  CHECK_FALSE(points.held_by(0).has_value());
  CHECK((points.hand_to(0) == three[2]));
  CHECK(points.finish(1));
  CHECK(points.undone() == 1);
  CHECK(points.finish(0));
  CHECK(points.undone() == 0);
}

TEST_CASE("whoever has nothing else to do gets the work_unit that the fewest have") {
  TaskPool points(three, 5);
  for (std::size_t holder = 0; holder < 3; ++holder) points.hand_to(holder);
  CHECK((points.hand_to(3) == three[0]));
  CHECK((points.hand_to(4) == three[1]));
  // One that asks again has given up what it had.
  CHECK((points.hand_to(2) == three[2]));
  points.put_back(0);
  points.put_back(3);
  CHECK((points.hand_to(0) == three[0]));
}

TEST_CASE("a work_unit is done once, whoever is first, and not handed out again") {
  TaskPool points({three[0], three[1]}, 3);
  points.hand_to(0);
  points.hand_to(1);
  CHECK((points.hand_to(2) == three[0]));
  CHECK(points.finish(2));
  CHECK(points.undone() == 1);
  CHECK_FALSE(points.finish(0));
  CHECK_FALSE(points.finish(0));  // has none
  CHECK(points.undone() == 1);
  CHECK((points.hand_to(0) == three[1]));
  CHECK((points.hand_to(2) == three[1]));
}
