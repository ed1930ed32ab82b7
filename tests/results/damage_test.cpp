// A damaged results file: nothing ends the reader, nothing wrong is read, and what is whole stays.
//
// PULSEWRIGHT_DAMAGE_CASES and PULSEWRIGHT_DAMAGE_SEED in the environment choose how many random
// damages are tried, and which.
#include <cmath>
#include <cstdlib>
#include <doctest/doctest.h>
#include <fmt/format.h>
#include <hdf5.h>
#include <string_view>

#include "tests/results/damager.hpp"
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
using tools::PointStatus;
using tools::ResultsReader;
using tools::ResultsStore;
using tools::StoreError;

namespace {

// The point that was never written.
constexpr std::size_t open_header = 1;
constexpr std::size_t open_speed = 0;

void write_all_but_one(ResultsStore& store) {
  const auto& plan = store.plan();
  for (std::size_t c = 0; c < plan.headers.size(); ++c) {
    for (std::size_t s = 0; s < plan.speeds.size(); ++s) {
      if (c == open_header && s == open_speed) continue;
      store.write(c, s, invented_point(plan, c, s, 0), 1.5);
    }
  }
}

std::size_t from_environment(const char* name, std::size_t otherwise) {
  const char* text = std::getenv(name);
  return text != nullptr ? std::strtoull(text, nullptr, 10) : otherwise;
}

// "" if the file tells the truth: the plan is as it was, and each point is as it was written, or
// said to be damaged. `damages` counts the latter.
std::string untruth(const ResultsReader& reader, std::size_t& damages) {
  const auto plan = invented_study();
  const auto difference = tools::first_difference(reader.plan(), plan);
  if (!difference.empty()) return "plan: " + difference;
  if (reader.plan().title != plan.title) return "title";
  for (std::size_t c = 0; c < plan.headers.size(); ++c) {
    for (std::size_t s = 0; s < plan.speeds.size(); ++s) {
      const auto status = reader.status(c, s);
      const std::string where = fmt::format("header {}, speed {}", c, s);
      if (status == PointStatus::damaged) {
        ++damages;
        if (reader.damaged_variables(c, s).empty()) return where + ": damaged, and not said what";
        continue;
      }
      if (c == open_header && s == open_speed) {
        if (status != PointStatus::missing) return where + ": was never written";
        continue;
      }
      const auto expected = invented_point(plan, c, s, 0);
      const auto sound = expected.converged ? PointStatus::converged : PointStatus::not_converged;
      if (status != sound) return where + ": status";
      if (reader.seconds(c, s) != 1.5) return where + ": seconds";
      const auto field = differing_field(reader.point(c, s), expected);
      if (!field.empty()) return where + ": " + field;
    }
  }
  return "";
}

// The same for a file that may be refused, which must be with its name.
std::string untruth_unless_refused(const std::string& path, std::size_t& damages,
                                   std::size_t& refused) {
  try {
    return untruth(ResultsReader(path), damages);
  } catch (const StoreError& error) {
    ++refused;
    return error.path() == path ? "" : error.what();
  }
}

// What --resume and --overwrite make of it: all points whole in the end, or a refusal.
std::string untruth_of_resume(const std::string& path, std::size_t& refusals) {
  const auto plan = invented_study();
  try {
    const auto store = ResultsStore::resume(path, plan);
    for (std::size_t c = 0; c < plan.headers.size(); ++c) {
      for (std::size_t s = 0; s < plan.speeds.size(); ++s) {
        if (store->status(c, s) == PointStatus::missing) {
          store->write(c, s, invented_point(plan, c, s, 0), 1.5);
        }
      }
    }
  } catch (const StoreError&) {
    ++refusals;
    write_all_but_one(*ResultsStore::create(path, plan, true));
  }
  std::size_t damages = 0;
  const ResultsReader reader(path);
  if (reader.status(open_header, open_speed) == PointStatus::converged) {
    const auto point = invented_point(plan, open_header, open_speed, 0);
    if (!differing_field(reader.point(open_header, open_speed), point).empty()) return "resumed";
    ResultsStore::resume(path, plan)->write_failure(open_header, open_speed, "", 0);
  }
  for (std::size_t c = 0; c < plan.headers.size(); ++c) {
    for (std::size_t s = 0; s < plan.speeds.size(); ++s) {
      if (c == open_header && s == open_speed) continue;
      if (reader.status(c, s) == PointStatus::damaged) {
        ++damages;
      } else if (!differing_field(reader.point(c, s), invented_point(plan, c, s, 0)).empty()) {
        return "after resume";
      }
    }
  }
  return damages == 0 ? "" : "damaged after resume";
}

// Where a dataset of the first header begins in the file.
std::size_t place_of(const std::string& path, const char* dataset) {
  const hid_t file = H5Fopen(path.c_str(), H5F_ACC_RDONLY, H5P_DEFAULT);
  const hid_t opened =
      H5Dopen2(file, (std::string("headers/equal-length/") + dataset).c_str(), H5P_DEFAULT);
  const haddr_t offset = H5Dget_offset(opened);
  H5Dclose(opened);
  H5Fclose(file);
  REQUIRE(offset != HADDR_UNDEF);
  return static_cast<std::size_t>(offset);
}

std::vector<char> with_flip(std::vector<char> bytes, std::size_t at, unsigned bit = 4) {
  bytes.at(at) = static_cast<char>(static_cast<unsigned char>(bytes[at]) ^ (1U << bit));
  return bytes;
}

std::size_t place_of_text(const std::vector<char>& bytes, std::string_view text) {
  const auto at = std::search(bytes.begin(), bytes.end(), text.begin(), text.end());
  REQUIRE(at != bytes.end());
  return static_cast<std::size_t>(at - bytes.begin());
}

// The invented study with all points but one, as bytes.
struct Written {
  ScratchFolder folder;
  std::string path = folder.file("results.h5");
  std::vector<char> bytes;
  Written() {
    write_all_but_one(*ResultsStore::create(path, invented_study()));
    bytes = tests::bytes_of(path);
  }
};

}  // namespace

TEST_CASE("no random damage of a file ends the reader or is read as a result") {
  const Written written;
  const std::size_t cases = from_environment("PULSEWRIGHT_DAMAGE_CASES", 250);
  const std::size_t first = from_environment("PULSEWRIGHT_DAMAGE_SEED", 1);
  std::size_t refused = 0;
  std::size_t damages = 0;
  for (std::size_t seed = first; seed < first + cases; ++seed) {
    const auto damage = tests::damaged(written.bytes, seed);
    CAPTURE(seed);
    CAPTURE(damage.text);
    tests::write_bytes(written.path, damage.bytes);
    CHECK(untruth_unless_refused(written.path, damages, refused) == "");
  }
  MESSAGE(cases << " damages: " << refused << " files refused, " << damages
                << " points found damaged");
  // The damage does hit structure and values.
  CHECK(refused > cases / 20);
  CHECK(damages > cases / 20);
}

TEST_CASE("a file with a random damage is completed or replaced by the next run") {
  const Written written;
  const std::size_t cases = from_environment("PULSEWRIGHT_DAMAGE_CASES", 250) / 5;
  const std::size_t first = from_environment("PULSEWRIGHT_DAMAGE_SEED", 1);
  std::size_t refused = 0;
  for (std::size_t seed = first; seed < first + cases; ++seed) {
    const auto damage = tests::damaged(written.bytes, seed);
    CAPTURE(seed);
    CAPTURE(damage.text);
    tests::write_bytes(written.path, damage.bytes);
    CHECK(untruth_of_resume(written.path, refused) == "");
  }
  MESSAGE(cases << " damages: " << refused << " files not resumed");
  CHECK(refused < cases / 4);  // those that were cut off, one in ten
}

TEST_CASE("a changed value is named, with its variable, and the other points are read") {
  const Written written;
  for (const char* name : {"torque", "trace_exhaust_pressure", "status", "checksum",
                           "merge_cylinder", "diagram_pressure", "wall_seconds"}) {
    CAPTURE(name);
    const auto at = place_of(written.path, name);
    tests::write_bytes(written.path, with_flip(written.bytes, at));
    const ResultsReader reader(written.path);
    // The first record: the first speed, or of a diagram the second.
    const std::size_t speed = name == std::string("diagram_pressure") ? 1 : 0;
    CHECK(reader.status(0, speed) == PointStatus::damaged);
    const auto found = reader.damaged_variables(0, speed);
    REQUIRE(found.size() == 1);
    // A checksum that is damaged itself cannot be told from its variable, here the first.
    CHECK(found.front() == (name == std::string("checksum") ? "status" : name));
    CHECK_THROWS_WITH_AS(reader.point(0, speed), Contains("is damaged"), StoreError);
    CHECK(std::isnan(reader.seconds(0, speed)));
    CHECK(reader.failure(0, speed).empty());
    CHECK(differing_field(reader.point(0, 2), invented_point(invented_study(), 0, 2, 0)) == "");
    tests::write_bytes(written.path, written.bytes);
  }
}

TEST_CASE("a figure at the root that is not that of its header damages the point") {
  const Written written;
  const auto plan = invented_study();
  const hid_t file = H5Fopen(written.path.c_str(), H5F_ACC_RDONLY, H5P_DEFAULT);
  for (const char* name : {"torque", "status", "cycles"}) {
    CAPTURE(name);
    const hid_t opened = H5Dopen2(file, name, H5P_DEFAULT);
    const hid_t type = H5Dget_type(opened);
    // The second header, its last speed.
    const auto at = H5Dget_offset(opened) + (2 * plan.speeds.size() - 1) * H5Tget_size(type);
    H5Tclose(type);
    H5Dclose(opened);
    tests::write_bytes(written.path, with_flip(written.bytes, static_cast<std::size_t>(at)));
    const ResultsReader reader(written.path);
    const std::size_t last = plan.speeds.size() - 1;
    CHECK(reader.status(1, last) == PointStatus::damaged);
    CHECK(reader.damaged_variables(1, last) ==
          std::vector<std::string>{std::string(name) + " at the root"});
    CHECK(reader.status(0, last) == PointStatus::converged);
    const auto store = ResultsStore::resume(written.path, plan);
    CHECK(store->status(1, last) == PointStatus::missing);
    store->write(1, last, invented_point(plan, 1, last, 0), 1.5);
    CHECK(tests::bytes_of(written.path) == written.bytes);
  }
  H5Fclose(file);
}

TEST_CASE("a damaged point is resumed, with a remark that names it") {
  const Written written;
  tests::write_bytes(written.path, with_flip(written.bytes, place_of(written.path, "torque")));
  const auto store = ResultsStore::resume(written.path, invented_study());
  CHECK(store->status(0, 0) == PointStatus::missing);
  CHECK(store->status(0, 1) == PointStatus::not_converged);
  REQUIRE(store->remarks().size() == 1);
  CHECK(store->remarks().front() == "header 'equal-length' at 2500 rpm: torque is damaged");
  store->write(0, 0, invented_point(invented_study(), 0, 0, 0), 1.5);
  std::size_t damages = 0;
  CHECK(untruth(ResultsReader(written.path), damages) == "");
  CHECK(damages == 0);
  CHECK(tests::bytes_of(written.path) == written.bytes);
}

TEST_CASE("a changed text is refused with its place, and restored by a run of the same case") {
  const Written written;
  const auto plan = invented_study();
  // In the case text; in the heap that holds the texts; in the first bytes of the file; in the name
  // of a variable.
  for (const std::size_t at :
       {place_of_text(written.bytes, "94 mm"), place_of_text(written.bytes, "GCOL") + 9,
        std::size_t{3}, place_of_text(written.bytes, "volumetric_efficiency")}) {
    CAPTURE(at);
    tests::write_bytes(written.path, with_flip(written.bytes, at));
    CHECK_THROWS_WITH_AS(ResultsReader{written.path}, Contains("is damaged: bytes "),
                         tools::DamagedStructure);
    auto other = plan;
    other.case_text += "more";
    CHECK_THROWS_WITH_AS(ResultsStore::resume(written.path, other), Contains("cannot be restored"),
                         StoreError);
    const auto store = ResultsStore::resume(written.path, plan);
    REQUIRE(store->remarks().size() == 1);
    CHECK(store->remarks().front() == "its structure was damaged and has been restored");
    CHECK(tests::bytes_of(written.path) == written.bytes);
    CHECK(written.folder.entries() == 1);
  }
}

TEST_CASE("a file that lost its checksums of the structure is read in a process of its own first") {
  const Written written;
  // Cut off, damaged themselves, or taken away by a tool that changed an attribute.
  std::size_t damages = 0;
  auto without = written.bytes;
  without.resize(place_of_text(written.bytes, "pulsewright-structure-1") - 16);
  for (const auto& bytes : {without, with_flip(written.bytes, written.bytes.size() - 10)}) {
    tests::write_bytes(written.path, bytes);
    const ResultsReader reader(written.path);
    CHECK_FALSE(reader.structure_tested());
    CHECK(untruth(reader, damages) == "");
    CHECK(tools::looks_like_results(written.path));
  }
  CHECK(damages == 0);
  // And with a second damage, in the head of the heap of texts or the structure before it, at which
  // the library may fail or run off: that ends the other process only.
  std::size_t refused = 0;
  for (std::size_t i = 0; i < 40; ++i) {
    CAPTURE(i);
    const std::size_t at = i < 20 ? place_of_text(without, "GCOL") + i : 40 * i;
    tests::write_bytes(written.path, with_flip(without, at, i % 8));
    try {
      static_cast<void>(ResultsReader(written.path).status(0, 0));
    } catch (const StoreError&) {
      ++refused;
    }
  }
  CHECK(refused > 0);
}

TEST_CASE("results are known by their marks, damaged or not, and nothing else is") {
  const Written written;
  CHECK(tools::looks_like_results(written.path));
  for (const std::size_t at : {std::size_t{0}, place_of_text(written.bytes, "pulsewright-results"),
                               written.bytes.size() - 60}) {
    tests::write_bytes(written.path, with_flip(written.bytes, at));
    CHECK(tools::looks_like_results(written.path));
  }
  auto half = written.bytes;
  half.resize(half.size() / 2);
  tests::write_bytes(written.path, half);
  CHECK(tools::looks_like_results(written.path));
  for (const std::string_view text : {"", "a note on pulsewright-results", "\x89HDF\r\n\x1a\n"}) {
    tests::write_bytes(written.path, {text.begin(), text.end()});
    CHECK_FALSE(tools::looks_like_results(written.path));
  }
}

TEST_CASE("a file that nobody completes is cleared by the next run, one in work is not") {
  const ScratchFolder folder;
  const auto path = folder.file("results.h5");
  // No process has the number 4194304: it is the limit of the system.
  const auto stale = path + ".new-4194304";
  const auto others = path + ".new-parts";
  const auto in_work = path + ".new-1";  // the first process lives
  for (const auto& name : {stale, others, in_work}) tests::write_bytes(name, {'x'});
  ResultsStore::create(path, invented_study());
  CHECK_FALSE(std::filesystem::exists(stale));
  CHECK(std::filesystem::exists(others));
  CHECK(std::filesystem::exists(in_work));
  CHECK(folder.entries() == 3);
}
