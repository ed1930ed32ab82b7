// The file survives: metadata never changes, a kill harms nothing, a full disk is reported.
#include <array>
#include <chrono>
#include <cstdlib>
#include <doctest/doctest.h>
#include <fcntl.h>
#include <functional>
#include <hdf5.h>
#include <iostream>
#include <random>
#include <sched.h>
#include <signal.h>
#include <spawn.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>

#include "tests/results/invented_study.hpp"
#include "tests/results/scratch_folder.hpp"
#include "tools/results/results_reader.hpp"
#include "tools/results/results_store.hpp"

using namespace pulsewright;
using pulsewright::tests::write_all;
using tests::differing_field;
using tests::invented_point;
using tests::invented_study;
using tests::ScratchFolder;
using tools::PointStatus;
using tools::ResultsReader;
using tools::ResultsStore;
using tools::StoreError;

namespace {

// True for each byte of the file that belongs to the values of a dataset, found through HDF5.
std::vector<bool> value_bytes(const std::string& path, std::size_t size) {
  std::vector<bool> is_value(size, false);
  const hid_t file = H5Fopen(path.c_str(), H5F_ACC_RDONLY, H5P_DEFAULT);
  REQUIRE(file >= 0);
  const auto mark = [](hid_t root, const char* name, const H5O_info_t* info, void* data) -> herr_t {
    if (info->type != H5O_TYPE_DATASET) return 0;
    auto& marks = *static_cast<std::vector<bool>*>(data);
    const hid_t dataset = H5Dopen2(root, name, H5P_DEFAULT);
    const haddr_t offset = H5Dget_offset(dataset);
    const hsize_t length = H5Dget_storage_size(dataset);
    H5Dclose(dataset);
    // Labels are texts of variable length, held elsewhere, and count as metadata here.
    if (offset == HADDR_UNDEF || offset + length > marks.size()) return -1;
    std::fill_n(marks.begin() + static_cast<long>(offset), length, true);
    return 0;
  };
  REQUIRE(H5Ovisit(file, H5_INDEX_NAME, H5_ITER_NATIVE, mark, &is_value) >= 0);
  H5Fclose(file);
  return is_value;
}

std::size_t changed_metadata_bytes(const std::vector<char>& before, const std::vector<char>& after,
                                   const std::vector<bool>& is_value) {
  REQUIRE(before.size() == after.size());
  std::size_t changed = 0;
  for (std::size_t i = 0; i < before.size(); ++i) {
    if (!is_value[i] && before[i] != after[i]) ++changed;
  }
  return changed;
}

// Runs `action` in a child process and gives what it reports; "" if it ends another way.
std::string report_of_child(const std::function<std::string()>& action) {
  int ends[2];
  REQUIRE(::pipe(ends) == 0);
  std::cout.flush();
  const pid_t child = ::fork();
  REQUIRE(child >= 0);
  if (child == 0) {
    ::close(ends[0]);
    const std::string report = action();
    const auto written = ::write(ends[1], report.data(), report.size());
    ::_exit(written == static_cast<ssize_t>(report.size()) ? 0 : 1);
  }
  ::close(ends[1]);
  std::string report;
  char buffer[4096];
  for (ssize_t count = 0; (count = ::read(ends[0], buffer, sizeof buffer)) > 0;) {
    report.append(buffer, static_cast<std::size_t>(count));
  }
  ::close(ends[0]);
  int state = 0;
  ::waitpid(child, &state, 0);
  return WIFEXITED(state) && WEXITSTATUS(state) == 0 ? report : "";
}

std::string try_to_create(const std::string& path) {
  try {
    ResultsStore::create(path, invented_study(), true);
    return "created";
  } catch (const StoreError& error) {
    return error.what();
  } catch (const std::exception& error) {
    return std::string("another exception: ") + error.what();
  }
}

}  // namespace

TEST_CASE("storing points changes no byte of metadata") {
  const ScratchFolder folder;
  const auto path = folder.file("results.h5");
  const auto plan = invented_study();
  { const auto created = ResultsStore::create(path, plan); }
  const auto before = tests::bytes_of(path);
  const auto is_value = value_bytes(path, before.size());
  const auto metadata = std::count(is_value.begin(), is_value.end(), false);
  CHECK(metadata > 10000);
  CHECK(static_cast<std::size_t>(metadata) < before.size());
  {
    const auto store = ResultsStore::resume(path, plan);
    for (std::uint64_t generation = 0; generation < 2; ++generation) {
      write_all(*store, generation, static_cast<double>(generation));
    }
    store->write_failure(0, 0, "invented", 1);
  }
  const auto after = tests::bytes_of(path);
  CHECK(after != before);
  CHECK(changed_metadata_bytes(before, after, is_value) == 0);

  // The check sees a change: an attribute written through HDF5.
  const hid_t file = H5Fopen(path.c_str(), H5F_ACC_RDWR, H5P_DEFAULT);
  const hid_t attribute = H5Aopen(file, "ambient_pressure", H5P_DEFAULT);
  const double pressure = 1;
  REQUIRE(H5Awrite(attribute, H5T_NATIVE_DOUBLE, &pressure) >= 0);
  H5Aclose(attribute);
  H5Fclose(file);
  const auto changed = tests::bytes_of(path);
  auto of_same_size = after;  // HDF5 has cut off the checksums of the structure
  of_same_size.resize(changed.size());
  CHECK(changed_metadata_bytes(of_same_size, changed, is_value) > 0);
}

TEST_CASE("storing one point changes no value of another") {
  const ScratchFolder folder;
  const auto path = folder.file("results.h5");
  const auto plan = invented_study();
  const auto store = ResultsStore::create(path, plan);
  for (std::size_t c = 0; c < plan.headers.size(); ++c) {
    for (std::size_t s = 0; s < plan.speeds.size(); ++s) {
      if (s != 2) store->write(c, s, invented_point(plan, c, s, 0), 1);
    }
  }
  store->write(1, 2, invented_point(plan, 1, 2, 0), 1);
  const ResultsReader reader(path);
  for (std::size_t c = 0; c < plan.headers.size(); ++c) {
    for (std::size_t s = 0; s < plan.speeds.size(); ++s) {
      if (s == 2 && c != 1) {
        CHECK(reader.status(c, s) == PointStatus::missing);
      } else {
        CHECK(differing_field(reader.point(c, s), invented_point(plan, c, s, 0)) == "");
      }
    }
  }
}

namespace {

// Lets the program write to the file until it has told of so many files and points, and `later`
// longer, and kills it. False if it ended by itself.
bool kill_a_writer(const std::string& path, int told, std::chrono::duration<double> later) {
  std::array<int, 2> progress{};
  REQUIRE(::pipe2(progress.data(), O_CLOEXEC) == 0);
  constexpr int page = 4096;
  std::array<char, page> read{};
  REQUIRE(::fcntl(progress[1], F_SETPIPE_SZ, page) == page);
  posix_spawn_file_actions_t actions;
  ::posix_spawn_file_actions_init(&actions);
  ::posix_spawn_file_actions_adddup2(&actions, progress[1], STDOUT_FILENO);
  const char* arguments[] = {POINT_WRITER_PROGRAM, "endless", path.c_str(), nullptr};
  pid_t child = 0;
  REQUIRE(::posix_spawn(&child, POINT_WRITER_PROGRAM, &actions, nullptr,
                        const_cast<char**>(arguments), environ) == 0);
  ::posix_spawn_file_actions_destroy(&actions);
  ::close(progress[1]);
  while (told > 0 && ::read(progress[0], read.data(), page) == page) --told;
  std::this_thread::sleep_for(later);
  REQUIRE(::kill(child, SIGKILL) == 0);
  int state = 0;
  REQUIRE(::waitpid(child, &state, 0) == child);
  ::close(progress[0]);
  return told == 0 && WIFSIGNALED(state) && WTERMSIG(state) == SIGKILL;
}

}  // namespace

TEST_SUITE_BEGIN("long");

TEST_CASE("a writer killed at random moments leaves a whole file with whole points") {
  const ScratchFolder folder;
  const auto path = folder.file("results.h5");
  const auto plan = invented_study();
  std::mt19937 random(20240229);
  std::uniform_real_distribution<double> share(0, 1);
  constexpr int kills = 20;
  constexpr int generations = 3;  // of points in each file that is made
  const int points = static_cast<int>(plan.headers.size() * plan.speeds.size());
  int finished = 0;
  int unfinished = 0;
  std::string files;
  // There is a file from the first kill on. How long a point takes sets how far into the next one a
  // kill comes, on any machine; the points before it are counted.
  const auto start = std::chrono::steady_clock::now();
  {
    const auto store = ResultsStore::create(path, plan);
    write_all(*store, 0, 0);
  }
  const std::chrono::duration<double> each = (std::chrono::steady_clock::now() - start) / points;
  for (int kill = 0; kill < kills; ++kill) {
    CAPTURE(kill);
    // Every other one before all points are there for the first time.
    const int most = kill % 2 == 0 ? points : generations * points;
    std::uniform_int_distribution<int> told(0, most - 1);
    const int count = told(random);
    REQUIRE(kill_a_writer(path, count, each * share(random)));
    int whole = 0;

    const auto copy = folder.file("killed-" + std::to_string(kill) + ".h5");
    std::filesystem::copy_file(path, copy);
    files += " " + copy;
    const ResultsReader reader(path);
    for (std::size_t c = 0; c < plan.headers.size(); ++c) {
      for (std::size_t s = 0; s < plan.speeds.size(); ++s) {
        if (reader.status(c, s) == PointStatus::missing) {
          ++unfinished;
          continue;
        }
        ++finished;
        ++whole;
        const double generation = reader.seconds(c, s);
        const auto expected = invented_point(plan, c, s, static_cast<std::uint64_t>(generation));
        CHECK(differing_field(reader.point(c, s), expected) == "");
      }
    }
    // What it told of is there: the file itself, then its points; and it is two ahead at most.
    if (count > 0 && count <= points) {
      CHECK(whole >= count - 1);
      CHECK(whole <= count + 1);
    }
  }
  MESSAGE("points after " << kills << " kills: " << finished << " finished, " << unfinished
                          << " not");
  // The kills did hit the writer at work.
  CHECK(finished > 0);
  CHECK(unfinished > 0);

  // The same file opens in Python, and its finished points are whole there too.
  const auto reference = folder.file("generation-");
  for (std::uint64_t generation = 0; generation < 3; ++generation) {
    const auto store = ResultsStore::create(reference + std::to_string(generation) + ".h5", plan);
    for (std::size_t c = 0; c < plan.headers.size(); ++c) {
      for (std::size_t s = 0; s < plan.speeds.size(); ++s) {
        store->write(c, s, invented_point(plan, c, s, generation), static_cast<double>(generation));
      }
    }
  }
  const std::string command = "/usr/bin/python3 " PULSEWRIGHT_SOURCE_DIR
                              "/tests/results/open_with_python.py --compare " +
                              reference + files;
  CHECK(std::system(command.c_str()) == 0);

  // And the run can go on from where it was killed.
  const auto store = ResultsStore::resume(path, plan);
  write_all(*store, 7, 7);
  const ResultsReader reader(path);
  for (std::size_t c = 0; c < plan.headers.size(); ++c) {
    for (std::size_t s = 0; s < plan.speeds.size(); ++s) {
      CHECK(differing_field(reader.point(c, s), invented_point(plan, c, s, 7)) == "");
    }
  }
}

TEST_SUITE_END();

TEST_CASE("a limit on the file size is reported, at whatever byte it takes effect") {
  const ScratchFolder folder;
  const auto path = folder.file("results.h5");
  REQUIRE(try_to_create(path) == "created");
  const auto old = tests::bytes_of(path);
  constexpr std::size_t parts = 11;
  for (std::size_t part = 0; part < parts; ++part) {
    const rlim_t bytes = old.size() * part / parts;
    CAPTURE(bytes);
    const auto report = report_of_child([&] {
      ::signal(SIGXFSZ, SIG_IGN);
      const rlimit small = {bytes, RLIM_INFINITY};
      const rlimit large = {RLIM_INFINITY, RLIM_INFINITY};
      if (::setrlimit(RLIMIT_FSIZE, &small) != 0) return std::string("no limit");
      auto message = try_to_create(path);
      // The process can still make files.
      ::setrlimit(RLIMIT_FSIZE, &large);
      return message + " | " + try_to_create(folder.file("second.h5"));
    });
    CHECK(report.starts_with(path + ": "));
    CHECK(report.find("File too large") != std::string::npos);
    CHECK(report.ends_with(" | created"));
    CHECK(tests::bytes_of(path) == old);  // the old file stays whole
    CHECK(folder.entries() == 2);         // and nothing half-made stays
    std::filesystem::remove(folder.file("second.h5"));
  }
}

TEST_CASE("a full disk is reported, and points that are allocated can still be stored") {
  const ScratchFolder folder;
  const auto size = [&] {
    ResultsStore::create(folder.file("size.h5"), invented_study());
    return std::filesystem::file_size(folder.file("size.h5"));
  }();
  std::filesystem::create_directory(folder.file("disk"));
  const auto path = folder.file("disk/results.h5");
  // Gives a child a small disk of its own; "skip" where that is not allowed.
  const auto on_small_disk = [&](std::size_t bytes, const std::function<std::string()>& action) {
    return report_of_child([&]() -> std::string {
      const std::string option = "size=" + std::to_string(bytes);
      if (::unshare(CLONE_NEWNS) != 0 ||
          ::mount("none", "/", nullptr, MS_REC | MS_PRIVATE, nullptr) != 0 ||
          ::mount("none", folder.file("disk").c_str(), "tmpfs", 0, option.c_str()) != 0) {
        return "skip";
      }
      return action();
    });
  };
  for (const std::size_t percent : {3U, 20U, 40U, 60U, 80U, 95U}) {
    CAPTURE(percent);
    const auto report = on_small_disk(size * percent / 100, [&] { return try_to_create(path); });
    if (report == "skip") {
      MESSAGE("skipped: no right to mount a small file system here");
      return;
    }
    CHECK(report.starts_with(path + ": "));
    const bool is_told = report.find("No space left on device") != std::string::npos ||
                         report.find("no space left on the disk") != std::string::npos;
    CHECK_MESSAGE(is_told, report);
  }
  const auto report = on_small_disk(4 * size, [&]() -> std::string {
    const auto plan = invented_study();
    const auto store = ResultsStore::create(path, plan);
    const int other = ::open(folder.file("disk/other").c_str(), O_CREAT | O_WRONLY, 0600);
    const std::vector<char> junk(4096, 'x');
    while (::write(other, junk.data(), junk.size()) > 0) continue;
    store->write(0, 0, invented_point(plan, 0, 0, 0), 1);
    const auto point = ResultsReader(path).point(0, 0);
    return differing_field(point, invented_point(plan, 0, 0, 0)).empty() ? "stored" : "lost";
  });
  CHECK(report == "stored");
}
