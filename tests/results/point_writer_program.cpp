// Writes the invented study to a results file, for tests that open the file with other programs or
// kill the writer.
//
//   point_writer_program example FILE.h5 EXPECTED.json
//       points of every state, and as JSON what every dataset must hold
//   point_writer_program endless FILE.h5
//       makes the file anew and writes all points over and over, until it is killed; the time
//       stored with a point is its generation. Prints a page (4096 bytes) for each file and point
//       that it finished: a reader whose pipe holds one page leaves it at most two points ahead
#include <algorithm>
#include <array>
#include <cstdint>
#include <fstream>
#include <iostream>
#include <stdexcept>
#include <string_view>
#include <unistd.h>

#include "tests/results/invented_study.hpp"
#include "tools/results/plan_attributes.hpp"
#include "tools/results/results_store.hpp"

namespace {

using namespace pulsewright;

nlohmann::json expected_header(const tools::StudyPlan& plan, std::size_t c) {
  nlohmann::json expected = nlohmann::json::object();
  for (std::size_t s = 0; s < plan.speeds.size(); ++s) {
    const auto point = tests::invented_point(plan, c, s, 0);
    const auto slots = std::max<std::size_t>(plan.headers[c].merge_slots, 1);
    const auto all = tests::named_values(point, slots);
    for (const auto& [name, values] : all.items()) {
      expected[name].push_back(values);
    }
  }
  return expected;
}

void write_example(const std::string& path, const std::string& expected_path) {
  const auto plan = tests::invented_study();
  const auto store = tools::ResultsStore::create(path, plan, true);
  nlohmann::json expected;
  for (std::size_t c = 0; c < plan.headers.size(); ++c) {
    for (std::size_t s = 0; s < plan.speeds.size(); ++s) {
      // The stepped header keeps one missing and one failed point.
      if (c == 1 && s == 0) continue;
      if (c == 1 && s == 3) {
        store->write_failure(c, s, "invented: 9 \xC2\xB0 of nonsense", 0.25);
      } else {
        store->write(c, s, tests::invented_point(plan, c, s, 0), 1.5);
      }
    }
    expected[tools::run_group_name(plan.headers[c])] = expected_header(plan, c);
  }
  std::ofstream(expected_path) << expected;
}

void tell_progress() {
  static const std::array<char, 4096> page{};
  if (::write(STDOUT_FILENO, page.data(), page.size()) != static_cast<ssize_t>(page.size()))
    throw std::runtime_error("nobody reads the progress");
}

[[noreturn]] void write_endlessly(const std::string& path) {
  const auto plan = tests::invented_study();
  for (std::uint64_t round = 0;; ++round) {
    const auto store = tools::ResultsStore::create(path, plan, true);
    tell_progress();
    for (std::uint64_t generation = 0; generation < 3; ++generation) {
      for (std::size_t c = 0; c < plan.headers.size(); ++c) {
        for (std::size_t s = 0; s < plan.speeds.size(); ++s) {
          store->write(c, s, tests::invented_point(plan, c, s, generation),
                       static_cast<double>(generation));
          tell_progress();
        }
      }
    }
  }
}

}  // namespace

int main(int count, char** arguments) {
  try {
    const std::string_view mode = count > 1 ? arguments[1] : "";
    if (mode == "example" && count == 4) {
      write_example(arguments[2], arguments[3]);
      return 0;
    }
    if (mode == "endless" && count == 3) write_endlessly(arguments[2]);
    std::cerr << "usage: point_writer_program example FILE.h5 EXPECTED.json | endless FILE.h5\n";
    return 2;
  } catch (const std::exception& error) {
    std::cerr << error.what() << '\n';
    return 1;
  }
}
