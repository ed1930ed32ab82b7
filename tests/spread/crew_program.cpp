// A job in which a process that computes meets what no case file brings about: memory or the
// standard library fail it. Started by over_ranks.py with a case file; prints what the one that
// leads was told.
#include <atomic>
#include <cstdio>
#include <stdexcept>

#include "cases/case_reader.hpp"
#include "tools/spread/crew.hpp"

using namespace pulsewright;
using namespace pulsewright::tools;

int main(int argc, char** argv) {
  const auto crew = join_crew(argc, argv);
  if (!crew || argc != 2) return 2;
  cases::Case a_case = cases::read_case_file(argv[1]);
  StudyOptions options;
  options.quick = true;
  options.cell_size = 0.02;
  const Study study(a_case, options);
  const std::atomic<bool> stop{false};
  int exit_code = 0;
  if (crew->leads()) {
    try {
      crew->lead(
          study, 0, stop, [](auto, auto) { return true; }, [](const auto&) {}, [](auto, auto) {});
      std::puts("done");
    } catch (const std::invalid_argument& error) {
      std::printf("wrong input: %s\n", error.what());
    } catch (const std::exception& error) {
      std::printf("broken: %s\n", error.what());
      exit_code = 1;
    }
  } else {
    a_case.run.settings.trace_points = -1;  // no vector is that long
    crew->serve(study, stop);
  }
  crew->end(exit_code);
  return exit_code;
}
