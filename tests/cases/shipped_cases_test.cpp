// The shipped cases: every one reads, every header builds, and what is built hangs together.
#include <cmath>
#include <doctest/doctest.h>
#include <filesystem>
#include <map>
#include <set>
#include <string>

#include "cases/case_reader.hpp"
#include "tests/cases/case_sample.hpp"
#include "tests/near.hpp"

using namespace pulsewright;
using namespace pulsewright::cases;
using pulsewright::tests::near;

namespace {

using Key = std::pair<int, int>;

Key key_of(const models::PipeEnd& end) { return {end.pipe, static_cast<int>(end.side)}; }

void use(std::map<Key, int>& uses, const models::PipeEnd& end, std::size_t pipes) {
  REQUIRE(end.pipe >= 0);
  REQUIRE(end.pipe < static_cast<int>(pipes));
  ++uses[key_of(end)];
}

void check_ends(const models::EngineSpecification& engine) {
  std::map<Key, int> uses;
  const std::size_t n = engine.pipes.size();
  for (const auto& cylinder : engine.cylinders) {
    use(uses, cylinder.exhaust, n);
    use(uses, cylinder.intake, n);
    CHECK(cylinder.exhaust.side == models::Side::left);
    CHECK(cylinder.intake.side == models::Side::right);
  }
  for (const auto& junction : engine.junctions) {
    for (const auto& branch : junction.branches) {
      use(uses, branch.end, n);
      CHECK(near(branch.direction.norm(), 1, 1e-12));
    }
  }
  for (const auto& holes : engine.perforates) {
    for (const auto* side : {&holes.core, &holes.space}) {
      for (const auto& branch : side->branches) use(uses, branch.end, n);
    }
  }
  for (const auto& open : engine.open_ends) use(uses, open.end, n);
  for (const auto& closed : engine.closed_ends) use(uses, closed.end, n);
  for (const auto& anechoic : engine.anechoic_ends) use(uses, anechoic.end, n);
  CHECK(uses.size() == 2 * n);
  for (const auto& [end, count] : uses) {
    const std::string name = engine.pipes[static_cast<std::size_t>(end.first)].name;
    CAPTURE(name);
    CHECK(count == 1);
  }
}

void check_pipes(const models::EngineSpecification& engine) {
  std::set<std::string> names;
  for (const auto& pipe : engine.pipes) {
    CAPTURE(pipe.name);
    CHECK(names.insert(pipe.name).second);
    CHECK(pipe.length > 0);
    CHECK(pipe.cell_size > 0);
    REQUIRE(!pipe.profile.empty());
    CHECK(pipe.profile.front().x == 0);
    CHECK(near(pipe.profile.back().x, pipe.length, 1e-12));
    for (std::size_t i = 0; i < pipe.profile.size(); ++i) {
      CHECK(pipe.profile[i].diameter > 0);
      if (i > 0) CHECK(pipe.profile[i].x > pipe.profile[i - 1].x);
    }
  }
}

// Every path begins at its valve, each pipe hands over to the next in one junction, and the last
// one ends in the open.
void check_paths(const models::EngineSpecification& engine) {
  REQUIRE(engine.exhaust_paths.size() == engine.cylinders.size());
  for (std::size_t i = 0; i < engine.cylinders.size(); ++i) {
    const models::ExhaustPath& path = engine.exhaust_paths[i];
    CAPTURE(engine.cylinders[i].number);
    REQUIRE(!path.pipes.empty());
    CHECK(path.cylinder == static_cast<int>(i));
    CHECK(path.pipes.front() == engine.cylinders[i].exhaust.pipe);
    for (std::size_t k = 0; k + 1 < path.pipes.size(); ++k) {
      int joined = 0;
      std::vector<models::JunctionSpecification> junctions = engine.junctions;
      for (const auto& holes : engine.perforates) junctions.push_back(holes.core);
      for (const auto& junction : junctions) {
        bool enters = false;
        bool leaves = false;
        for (const auto& branch : junction.branches) {
          enters = enters || key_of(branch.end) == Key(path.pipes[k], 1);
          leaves = leaves || key_of(branch.end) == Key(path.pipes[k + 1], 0);
        }
        joined += enters && leaves ? 1 : 0;
      }
      CHECK(joined == 1);
    }
    int open = 0;
    for (const auto& end : engine.open_ends) {
      open += key_of(end.end) == Key(path.pipes.back(), 1) ? 1 : 0;
    }
    CHECK(open == 1);
  }
}

}  // namespace

TEST_CASE("every shipped case reads, is marked invented, and every header builds a whole network") {
  auto files = tests::shipped_files();
  CHECK(files.size() >= 7);
  // Those of the tests of the program, too.
  const auto folder = std::filesystem::path(PULSEWRIGHT_SOURCE_DIR) / "tests" / "tools" / "engines";
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    files.push_back(entry.path());
  }
  CHECK(files.size() >= 12);
  for (const auto& file : files) {
    CAPTURE(file.string());
    const CaseFile case_file = read_case_file(file);
    CHECK(case_file.invented);
    CHECK(!case_file.text.empty());
    CHECK(!case_file.headers.empty());
    for (const HeaderDesign& header : case_file.headers) {
      CAPTURE(header.name);
      const models::EngineSpecification engine = build_engine(case_file, header);
      CHECK(engine.name == header.name);
      check_ends(engine);
      check_pipes(engine);
      check_paths(engine);
    }
  }
}

TEST_CASE("the demo case has its five headers over 19 speeds") {
  const CaseFile demo = read_case_file(tests::shipped_folder() / "hillclimb-v8.toml");
  CHECK(header_names(demo) == std::vector<std::string>{"equal-length", "180-degree",
                                                       "stepped-length", "4-2-1",
                                                       "divided-collector"});
  CHECK(demo.run.speeds.size() == 19);
  CHECK(near(demo.run.speeds.front() * 60, 3000, 1e-12));
  CHECK(near(demo.run.speeds.back() * 60, 7500, 1e-12));
  const auto& g = demo.engine.geometry;
  CHECK(near(8 * 3.14159265358979 / 4 * g.bore * g.bore * g.stroke, 5.0e-3, 0.01));
}

TEST_CASE("cell size and junction law of a build can be set from outside") {
  const CaseFile demo = read_case_file(tests::shipped_folder() / "hillclimb-v8.toml");
  BuildOptions options;
  options.cell_size = 0.005;
  options.law = models::JunctionLaw::plenum;
  const HeaderDesign& header = find_header(demo, "divided-collector");
  const auto fine = build_engine(demo, header, options);
  const auto usual = build_engine(demo, header);
  CHECK(near(static_cast<double>(cell_count(fine)), 2.0 * static_cast<double>(cell_count(usual)),
             0.01));
  for (const auto& junction : fine.junctions) CHECK(junction.law == models::JunctionLaw::plenum);
  for (const auto& junction : usual.junctions) {
    CHECK(junction.law == models::JunctionLaw::momentum);
  }
}

TEST_CASE("an unknown header is refused with the nearest name") {
  const CaseFile demo = read_case_file(tests::shipped_folder() / "hillclimb-v8.toml");
  try {
    find_header(demo, "steped-length");
    FAIL("no error");
  } catch (const CaseError& error) {
    CHECK(error.problems().front().advice == "did you mean \"stepped-length\"?");
  }
}
