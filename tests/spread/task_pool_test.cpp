// Which work unit is assigned to which worker, and when a study is done.
#include "tools/spread/task_pool.hpp"

#include <doctest/doctest.h>

using namespace pulsewright::tools;

namespace {
const std::vector<WorkUnit> three = {{{0, 0}, {0, 1}}, {{1, 0}}, {{0, 2}}};
}

TEST_CASE("work units are assigned in their order, each once as long as there are new ones") {
  TaskPool pool(three, 2);
  CHECK_FALSE(pool.assigned_to(0).has_value());
  CHECK((pool.assign(0) == three[0]));
  CHECK((pool.assign(1) == three[1]));
  CHECK((pool.assigned_to(0) == three[0]));
  CHECK(pool.complete(0));
  CHECK_FALSE(pool.assigned_to(0).has_value());
  CHECK((pool.assign(0) == three[2]));
  CHECK(pool.complete(1));
  CHECK(pool.remaining() == 1);
  CHECK(pool.complete(0));
  CHECK(pool.remaining() == 0);
}

TEST_CASE("a worker with nothing else to do is assigned the work unit that the fewest have") {
  TaskPool pool(three, 5);
  for (std::size_t worker = 0; worker < 3; ++worker) pool.assign(worker);
  CHECK((pool.assign(3) == three[0]));
  CHECK((pool.assign(4) == three[1]));
  // One that requests again has given up what it had.
  CHECK((pool.assign(2) == three[2]));
  pool.release(0);
  pool.release(3);
  CHECK((pool.assign(0) == three[0]));
}

TEST_CASE("a work unit is completed once, whichever worker is first, and not assigned again") {
  TaskPool pool({three[0], three[1]}, 3);
  pool.assign(0);
  pool.assign(1);
  CHECK((pool.assign(2) == three[0]));
  CHECK(pool.complete(2));
  CHECK(pool.remaining() == 1);
  CHECK_FALSE(pool.complete(0));
  CHECK_FALSE(pool.complete(0));  // has none
  CHECK(pool.remaining() == 1);
  CHECK((pool.assign(0) == three[1]));
  CHECK((pool.assign(2) == three[1]));
}
