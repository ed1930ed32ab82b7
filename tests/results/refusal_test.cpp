// Wrong plans, points that do not fit, files that are no results files, other people's files.
#include <cstdlib>
#include <doctest/doctest.h>
#include <functional>
#include <hdf5.h>
#include <limits>
#include <sys/stat.h>
#include <unistd.h>

#include "tests/results/invented_study.hpp"
#include "tests/results/scratch_folder.hpp"
#include "tools/results/results_reader.hpp"
#include "tools/results/results_store.hpp"

using namespace pulsewright;
using doctest::Contains;
using tests::differing_field;
using tests::invented_point;
using tests::invented_study;
using tests::ScratchFolder;
using tools::FormatVersionError;
using tools::ResultsReader;
using tools::ResultsStore;
using tools::StoreError;
using tools::StudyPlan;

namespace {

const std::string other = "other";

}  // namespace

TEST_CASE("a plan that makes no sense is refused") {
  struct Mistake {
    const char* reason;
    std::function<void(StudyPlan&)> make;
  };
  const std::vector<Mistake> mistakes = {
      {"no speeds", [](StudyPlan& plan) { plan.speeds.clear(); }},
      {"not a positive number", [](StudyPlan& plan) { plan.speeds[0] = 0; }},
      {"not a positive number",
       [](StudyPlan& plan) { plan.speeds[1] = std::numeric_limits<double>::quiet_NaN(); }},
      {"do not increase", [](StudyPlan& plan) { plan.speeds[2] = plan.speeds[1]; }},
      {"no headers", [](StudyPlan& plan) { plan.headers.clear(); }},
      {"share the group", [](StudyPlan& plan) { plan.headers[1].group = "equal-length"; }},
      {"must be a name", [](StudyPlan& plan) { plan.headers[1].group = ""; }},
      {"must be a name", [](StudyPlan& plan) { plan.headers[1].group = "../x"; }},
      {"must be a name", [](StudyPlan& plan) { plan.headers[1].group = "equal-length/torque"; }},
      {"must be a name",
       [](StudyPlan& plan) { plan.headers[1].group = "equal-length/variants/coarse"; }},
      {"speed that does not exist", [](StudyPlan& plan) { plan.wave_speed_indices = {9}; }},
      {"at least one crank angle", [](StudyPlan& plan) { plan.wave_angles = 0; }},
      {"no slots", [](StudyPlan& plan) { plan.headers[0].merge_slots = 0; }},
      {"pipe starts", [](StudyPlan& plan) { plan.headers[0].wave_pipe_start.pop_back(); }},
      {"zero byte", [](StudyPlan& plan) { plan.case_text.push_back('\0'); }},
  };
  const ScratchFolder folder;
  for (const auto& mistake : mistakes) {
    CAPTURE(mistake.reason);
    auto plan = invented_study();
    mistake.make(plan);
    CHECK_THROWS_WITH_AS(ResultsStore::create(folder.file("results.h5"), plan),
                         Contains(mistake.reason), std::invalid_argument);
    CHECK(folder.entries() == 0);
  }
}

TEST_CASE("a resumed run that differs is refused with the difference") {
  struct Difference {
    const char* what;
    std::function<void(StudyPlan&)> make;
  };
  const std::vector<Difference> differences = {
      {"program version", [](StudyPlan& plan) { plan.program_version = other; }},
      {"program commit", [](StudyPlan& plan) { plan.commit = other; }},
      {"case file, line 3: the file was made with 'bore = \"94 mm\"', this run has 'bore = \"95 "
       "mm\"'",
       [](StudyPlan& plan) { plan.case_text.replace(plan.case_text.find("94"), 2, "95"); }},
      {"case file, line 4", [](StudyPlan& plan) { plan.case_text += "more"; }},
      {"settings", [](StudyPlan& plan) { plan.settings.band_to += 1e-13; }},
      {"ambient pressure", [](StudyPlan& plan) { plan.ambient_pressure += 1; }},
      {"ambient temperature", [](StudyPlan& plan) { plan.ambient_temperature += 1; }},
      {"number of speeds", [](StudyPlan& plan) { plan.speeds.push_back(200); }},
      {"speed 2", [](StudyPlan& plan) { plan.speeds[1] += 1e-9; }},
      {"points per trace", [](StudyPlan& plan) { plan.trace_points = 13; }},
      {"speeds with a wave diagram",
       [](StudyPlan& plan) {
         plan.wave_speed_indices = {1, 2};
       }},
      {"crank angles of a wave diagram", [](StudyPlan& plan) { plan.wave_angles = 6; }},
      {"number of headers", [](StudyPlan& plan) { plan.headers.pop_back(); }},
      {"header group", [](StudyPlan& plan) { plan.headers[1].group = other; }},
      {"header group", [](StudyPlan& plan) { plan.headers[2].variant = tools::longer_primaries; }},
      {"'stepped', name", [](StudyPlan& plan) { plan.headers[1].name = other; }},
      {"'stepped', kind",
       [](StudyPlan& plan) { plan.headers[1].kind = cases::HeaderKind::equal_length; }},
      {"'stepped', junction law",
       [](StudyPlan& plan) { plan.headers[1].junction_law = models::JunctionLaw::plenum; }},
      {"'stepped', traces kept", [](StudyPlan& plan) { plan.headers[1].traces = false; }},
      {"'stepped', cell size", [](StudyPlan& plan) { plan.headers[1].cell_size = 1; }},
      {"'stepped', cylinders", [](StudyPlan& plan) { plan.headers[1].cylinder_numbers[0] = 9; }},
      {"'stepped', merges", [](StudyPlan& plan) { plan.headers[1].merges[0] = other; }},
      {"'stepped', slots", [](StudyPlan& plan) { plan.headers[1].merge_slots = 4; }},
      {"'stepped', pipes", [](StudyPlan& plan) { plan.headers[1].pipes[0] = other; }},
      {"'stepped', tails", [](StudyPlan& plan) { plan.headers[1].tails[0] = other; }},
      {"'stepped', probes", [](StudyPlan& plan) { plan.headers[1].probes[0] = other; }},
      {"'stepped', distances", [](StudyPlan& plan) { plan.headers[1].wave_distance[0] = 9; }},
      {"'stepped', pipe starts", [](StudyPlan& plan) { plan.headers[1].wave_pipe_start[0] = 9; }},
      {"'stepped', pipe names",
       [](StudyPlan& plan) { plan.headers[1].wave_pipe_names[0] = other; }},
      {"'stepped', grouping", [](StudyPlan& plan) { plan.headers[1].groups[1].name = other; }},
      {"'stepped', grouping", [](StudyPlan& plan) { plan.headers[1].primary_length[8] += 1e-15; }},
  };
  const ScratchFolder folder;
  const auto path = folder.file("results.h5");
  ResultsStore::create(path, invented_study());
  const auto before = tests::bytes_of(path);
  for (const auto& difference : differences) {
    CAPTURE(difference.what);
    auto plan = invented_study();
    difference.make(plan);
    CHECK_THROWS_WITH_AS(ResultsStore::resume(path, plan), Contains(difference.what), StoreError);
  }
  CHECK(tests::bytes_of(path) == before);
  // Where the case file lies and what the study is called moves no number.
  auto plan = invented_study();
  plan.title = "another";
  plan.case_file = "elsewhere.toml";
  CHECK_NOTHROW(ResultsStore::resume(path, plan));
}

TEST_CASE("a point that does not fit is refused and nothing is written") {
  struct Misfit {
    const char* reason;
    std::function<void(models::PointResult&)> make;
  };
  using Point = models::PointResult;
  const std::vector<Misfit> misfits = {
      {"speeds in rev/s", [](Point& point) { point.speed += 0.1; }},
      {"cylinders, planned 4", [](Point& point) { point.cylinders.pop_back(); }},
      {"stands where cylinder 8 was planned", [](Point& point) { point.cylinders[1].number = 2; }},
      {"merges, planned 2", [](Point& point) { point.merges.clear(); }},
      {"of the merges is 'other'", [](Point& point) { point.merges[0].name = other; }},
      {"unequal numbers", [](Point& point) { point.merges[0].gap.pop_back(); }},
      {"planned are at most 3", [](Point& point) { point.merges[0].cylinders.resize(4); }},
      {"cylinder -1", [](Point& point) { point.merges[0].cylinders[0] = -1; }},
      {"of the pipes is 'other'", [](Point& point) { point.pipes[0].name = other; }},
      {"traces of 3 cylinders", [](Point& point) { point.traces.pop_back(); }},
      {"trace_intake_pressure has 11 values",
       [](Point& point) { point.traces[0].intake_pressure.pop_back(); }},
      {"tails, planned 2", [](Point& point) { point.tails.pop_back(); }},
      {"probes, planned 3", [](Point& point) { point.probes.pop_back(); }},
      {"probe_velocity of probe 'before the merge' has 13",
       [](Point& point) { point.probes[0].velocity.push_back(0); }},
      {"tail_mass_flow of tail 'left tail' has 13",
       [](Point& point) { point.tails[0].mass_flow.push_back(0); }},
      {"crank angles of the wave diagram", [](Point& point) { point.wave.angle[2] += 1; }},
      {"distances of the wave diagram", [](Point& point) { point.wave.distance.pop_back(); }},
      {"other pipes", [](Point& point) { point.wave.pipe_name[0] = other; }},
      {"diagram_velocity has 19 values, planned 20",
       [](Point& point) { point.wave.velocity.pop_back(); }},
  };
  const ScratchFolder folder;
  const auto path = folder.file("results.h5");
  const auto plan = invented_study();
  const auto store = ResultsStore::create(path, plan);
  const auto before = tests::bytes_of(path);
  for (const auto& misfit : misfits) {
    CAPTURE(misfit.reason);
    auto point = invented_point(plan, 0, 1, 0);
    misfit.make(point);
    CHECK_THROWS_WITH_AS(store->write(0, 1, point, 1), Contains(misfit.reason),
                         std::invalid_argument);
  }
  CHECK_THROWS_AS(store->write(9, 0, {}, 1), std::out_of_range);
  CHECK_THROWS_AS(store->write_failure(0, 9, "", 1), std::out_of_range);
  CHECK(tests::bytes_of(path) == before);
}

TEST_CASE("an existing file is replaced only on request") {
  const ScratchFolder folder;
  const auto path = folder.file("results.h5");
  tests::write_bytes(path, {'m', 'i', 'n', 'e'});
  CHECK_THROWS_WITH_AS(ResultsStore::create(path, invented_study()), Contains("exists already"),
                       StoreError);
  CHECK(tests::bytes_of(path) == std::vector<char>{'m', 'i', 'n', 'e'});
  CHECK_NOTHROW(ResultsStore::create(path, invented_study(), true));
  CHECK_NOTHROW(ResultsReader{path});
  CHECK(folder.entries() == 1);  // no temporary file is left
}

TEST_CASE("a symbolic link stays and its target is replaced") {
  const ScratchFolder folder;
  std::filesystem::create_directory(folder.file("elsewhere"));
  const auto target = folder.file("elsewhere/results.h5");
  tests::write_bytes(target, {'o', 'l', 'd'});
  std::filesystem::create_symlink(target, folder.file("link.h5"));
  ResultsStore::create(folder.file("link.h5"), invented_study(), true);
  CHECK(std::filesystem::is_symlink(folder.file("link.h5")));
  CHECK_NOTHROW(ResultsReader{target});
}

TEST_CASE("devices and folders are never replaced") {
  const ScratchFolder folder;
  CHECK_THROWS_WITH_AS(ResultsStore::create("/dev/null", invented_study(), true),
                       Contains("no regular file"), StoreError);
  CHECK(std::filesystem::is_character_file("/dev/null"));
  CHECK_THROWS_WITH_AS(ResultsStore::create(folder.path(), invented_study(), true),
                       Contains("no regular file"), StoreError);
}

TEST_CASE("a folder that is missing or not writable is named with the reason") {
  const ScratchFolder folder;
  const auto nowhere = folder.file("nowhere/results.h5");
  CHECK_THROWS_WITH_AS(
      ResultsStore::create(nowhere, invented_study()),
      (nowhere + ": cannot be opened for writing: No such file or directory").c_str(), StoreError);
  CHECK_THROWS_WITH_AS(ResultsStore::resume(nowhere, invented_study()), Contains("does not exist"),
                       StoreError);
  // The administrator may write everywhere: be somebody else for a moment.
  const bool is_administrator = ::geteuid() == 0;
  const auto path = folder.file("locked/results.h5");
  std::filesystem::create_directory(folder.file("locked"));
  ::chmod(folder.path().c_str(), 0755);
  ::chmod(folder.file("locked").c_str(), 0555);
  if (is_administrator) REQUIRE(::seteuid(65534) == 0);
  CHECK_THROWS_WITH_AS(ResultsStore::create(path, invented_study()), Contains("Permission denied"),
                       StoreError);
  if (is_administrator) REQUIRE(::seteuid(0) == 0);
  ::chmod(folder.file("locked").c_str(), 0755);
}

TEST_CASE("only one store writes to a file") {
  const ScratchFolder folder;
  const auto path = folder.file("results.h5");
  const auto plan = invented_study();
  auto store = ResultsStore::create(path, plan);
  CHECK_THROWS_WITH_AS(ResultsStore::resume(path, plan), Contains("another run"), StoreError);
  CHECK_THROWS_WITH_AS(ResultsStore::create(path, plan, true), Contains("another run"), StoreError);
  CHECK_NOTHROW(ResultsReader{path});
  store.reset();
  CHECK_NOTHROW(store = ResultsStore::resume(path, plan));
}

TEST_CASE("what is no results file is refused with the reason") {
  const ScratchFolder folder;
  const auto path = folder.file("results.h5");
  CHECK_THROWS_WITH_AS(ResultsReader{path}, Contains("No such file"), StoreError);
  tests::write_bytes(path, {});
  CHECK_THROWS_AS(ResultsReader{path}, StoreError);
  tests::write_bytes(path, std::vector<char>(100000, '#'));
  CHECK_THROWS_WITH_AS(ResultsReader{path}, Contains("HDF5"), StoreError);
  CHECK_THROWS_AS(ResultsStore::resume(path, invented_study()), StoreError);
  const hid_t foreign = H5Fcreate(path.c_str(), H5F_ACC_TRUNC, H5P_DEFAULT, H5P_DEFAULT);
  H5Fclose(foreign);
  CHECK_THROWS_WITH_AS(ResultsReader{path}, Contains("not a results file"), StoreError);
}

TEST_CASE("a file of another format version is refused with what to do") {
  const ScratchFolder folder;
  const auto path = folder.file("results.h5");
  const auto plan = invented_study();
  for (const long long version : {0, 1, 3, 5}) {
    CAPTURE(version);
    ResultsStore::create(path, plan, true);
    const hid_t file = H5Fopen(path.c_str(), H5F_ACC_RDWR, H5P_DEFAULT);
    const hid_t attribute = H5Aopen(file, "format_version", H5P_DEFAULT);
    REQUIRE(H5Awrite(attribute, H5T_NATIVE_LLONG, &version) >= 0);
    H5Aclose(attribute);
    if (version == 1) {  // as such files are: the headers below another name
      REQUIRE(H5Lmove(file, "headers", file, "concepts", H5P_DEFAULT, H5P_DEFAULT) >= 0);
      REQUIRE(H5Adelete(file, "header_groups") >= 0);
    }
    if (version == 5) REQUIRE(H5Adelete(file, "commit") >= 0);  // who knows what it has
    H5Fclose(file);
    const auto before = tests::bytes_of(path);
    const auto says = path + ": has format version " + std::to_string(version) +
                      ", this program reads version 4 only; run `pulsewright compare` anew";
    CHECK_THROWS_WITH_AS(ResultsReader{path}, Contains(says.c_str()), FormatVersionError);
    CHECK_THROWS_WITH_AS(ResultsStore::resume(path, plan), Contains(says.c_str()),
                         FormatVersionError);
    CHECK_THROWS_WITH_AS(
        ResultsReader{path},
        Contains(version == 5 ? "version 0.0.0, commit unknown" : "version 0.0.0, commit 0123456"),
        FormatVersionError);
    CHECK(tests::bytes_of(path) == before);
  }
}

// Where only the checksums of the structure are cut off: damage_test.cpp.
TEST_CASE("a cut file is refused wherever it is cut") {
  const ScratchFolder folder;
  const auto whole_path = folder.file("whole.h5");
  ResultsStore::create(whole_path, invented_study());
  const auto whole = tests::bytes_of(whole_path);
  const auto path = folder.file("cut.h5");
  for (std::size_t part = 0; part < 50; ++part) {
    const auto length = whole.size() * part / 50 * 9 / 10;
    tests::write_bytes(path, {whole.begin(), whole.begin() + static_cast<long>(length)});
    CHECK_THROWS_AS(ResultsReader{path}, StoreError);
    CHECK_THROWS_AS(ResultsStore::resume(path, invented_study()), StoreError);
  }
}

TEST_CASE("a file that another tool compressed is read, and not added to") {
  const ScratchFolder folder;
  const auto path = folder.file("results.h5");
  const auto plan = invented_study();
  ResultsStore::create(path, plan)->write(0, 1, invented_point(plan, 0, 1, 0), 1);
  const std::string command = "/usr/bin/python3 " PULSEWRIGHT_SOURCE_DIR
                              "/tests/results/open_with_python.py --compress " +
                              path;
  REQUIRE(std::system(command.c_str()) == 0);
  CHECK(differing_field(ResultsReader(path).point(0, 1), invented_point(plan, 0, 1, 0)) == "");
  CHECK_THROWS_WITH_AS(ResultsStore::resume(path, plan), Contains("repacked"), StoreError);
}
