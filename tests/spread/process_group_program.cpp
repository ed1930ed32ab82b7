// A job in which a worker meets what no case file brings about: memory or the
// standard library fail it. Started by over_ranks.py with a case file; prints what the
// coordinator reports.
#include <atomic>
#include <cstdio>
#include <stdexcept>

#include "cases/case_reader.hpp"
#include "tools/spread/process_group.hpp"

using namespace pulsewright;
using namespace pulsewright::tools;

int main(int argc, char** argv) {
  const auto process_group = join_process_group(argc, argv);
  if (!process_group || argc != 2) return 2;
  cases::CaseFile case_file = cases::read_case_file(argv[1]);
  StudyOptions options;
  options.quick = true;
  options.cell_size = 0.02;
  const Study study(case_file, options);
  const std::atomic<bool> stop{false};
  int exit_code = 0;
  if (process_group->is_coordinator()) {
    try {
      process_group->coordinate(
          study, 0, stop, [](auto, auto) { return true; }, [](const auto&) {}, [](auto, auto) {});
      std::puts("done");
    } catch (const std::invalid_argument& error) {
      std::printf("wrong input: %s\n", error.what());
    } catch (const std::exception& error) {
      std::printf("broken: %s\n", error.what());
      exit_code = 1;
    }
  } else {
    case_file.run.settings.trace_points = -1;  // no vector is that long
    process_group->work(study, stop);
  }
  process_group->shut_down(exit_code);
  return exit_code;
}
