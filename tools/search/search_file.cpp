#include "tools/search/search_file.hpp"

#include <algorithm>
#include <cstddef>
#include <exception>
#include <filesystem>
#include <fmt/format.h>
#include <fstream>
#include <iterator>
#include <mutex>
#include <stdexcept>
#include <system_error>
#include <unistd.h>

#include "tools/results/group_writer.hpp"
#include "tools/results/hdf5_handle.hpp"
#include "tools/results/posix_file.hpp"
#include "tools/results/store_error.hpp"
#include "tools/results/temporary_file.hpp"

namespace pulsewright::tools {

namespace {

// What a status means: a point that counts, one that is not computed, and why one does not count.
constexpr int counting_status = 0;
int status_of(const TrialFault& fault) {
  return fault ? 1 + static_cast<int>(*fault) : counting_status;
}
TrialFault fault_of_status(double status) {
  if (status == counting_status) return std::nullopt;
  if (!(status >= status_of(PointFault::missing) && status <= status_of(PointFault::uneven))) {
    throw std::runtime_error(fmt::format("has a point of status {}, which has no meaning", status));
  }
  return static_cast<PointFault>(static_cast<int>(status) - 1);
}

std::string status_meanings() {
  std::string meanings = "counts";
  for (int fault = 0; fault <= static_cast<int>(PointFault::uneven); ++fault) {
    std::string name(fault_name(static_cast<PointFault>(fault)));
    std::replace(name.begin(), name.end(), ' ', '_');
    meanings += " " + name;
  }
  return meanings;
}

void write_plan(hid_t file, const SearchRecord& record) {
  const SearchPlan& plan = record.plan;
  write_attribute(file, "format", std::string(search_format_name));
  write_attribute(file, "format_version", static_cast<long long>(search_format_version));
  write_attribute(file, "program_version", plan.program_version);
  write_attribute(file, "commit", plan.commit);
  write_attribute(file, "date", record.date);
  write_attribute(file, "verb", plan.verb);
  write_attribute(file, "title", plan.title);
  write_attribute(file, "case_file", plan.case_file);
  write_attribute(file, "case_text", plan.case_text);
  write_attribute(file, "header", plan.header);
  write_attribute(file, "band_from", plan.band_from);
  write_attribute(file, "band_to", plan.band_to);
  write_attribute(file, "cell_size", plan.cell_size);
  write_attribute(file, "tolerance", plan.tolerance);
  write_attribute(file, "build_tolerance", plan.build_tolerance);
  write_attribute(file, "seed", static_cast<long long>(plan.seed));
  write_attribute(file, "settings", plan.settings);
  write_attribute(file, "findings", record.findings);
}

SearchRecord read_plan(hid_t file) {
  SearchRecord record;
  SearchPlan& plan = record.plan;
  plan.program_version = read_text_attribute(file, "program_version");
  plan.commit = read_text_attribute(file, "commit");
  record.date = read_text_attribute(file, "date");
  plan.verb = read_text_attribute(file, "verb");
  plan.title = read_text_attribute(file, "title");
  plan.case_file = read_text_attribute(file, "case_file");
  plan.case_text = read_text_attribute(file, "case_text");
  plan.header = read_text_attribute(file, "header");
  plan.band_from = read_number_attribute(file, "band_from");
  plan.band_to = read_number_attribute(file, "band_to");
  plan.cell_size = read_number_attribute(file, "cell_size");
  plan.tolerance = read_number_attribute(file, "tolerance");
  plan.build_tolerance = read_number_attribute(file, "build_tolerance");
  plan.seed = static_cast<int>(read_count_attribute(file, "seed"));
  plan.settings = read_text_attribute(file, "settings");
  record.findings = read_text_attribute(file, "findings");
  return record;
}

// A value of every trial, or of every trial and speed.
template <class Value, class Get>
std::vector<Value> of_trials(const std::vector<Trial>& trials, const Get& get) {
  std::vector<Value> values;
  for (const Trial& trial : trials) get(trial, values);
  return values;
}

void write_trials(GroupWriter& root, const SearchRecord& record) {
  const auto& trials = record.trials;
  const SearchPlan& plan = record.plan;
  if (trials.empty()) return;
  std::vector<int> numbers;
  for (std::size_t i = 0; i < trials.size(); ++i) numbers.push_back(static_cast<int>(i) + 1);
  root.coordinate({"design", "design", "1", "number of the design, as it was asked for", numbers});
  root.array(
      {"build_sample", "", "1", "which build errors it has; 0 = as drawn",
       of_trials<int>(trials, [](const Trial& t, auto& out) { out.push_back(t.key.sample); })},
      {"design"}, {trials.size()});
  if (!plan.variables.empty()) {
    root.array({"value", "", "", "value of each variable, in its unit",
                of_trials<double>(trials,
                                  [](const Trial& t, auto& out) {
                                    out.insert(out.end(), t.key.values.begin(), t.key.values.end());
                                  })},
               {"design", "variable"}, {trials.size(), plan.variables.size()});
  }
  const std::vector<std::size_t> shape{trials.size(), plan.speeds.size()};
  const auto figure = [&](const char* name, const char* units, const char* text,
                          std::vector<double> Trial::*member) {
    root.array({name, "", units, text,
                of_trials<double>(trials,
                                  [&](const Trial& t, auto& out) {
                                    out.insert(out.end(), (t.*member).begin(), (t.*member).end());
                                  })},
               {"design", "speed"}, shape);
  };
  figure("torque", "N m", "brake torque; NaN where there is none", &Trial::torque);
  figure("power", "W", "brake power; NaN where there is none", &Trial::power);
  root.array({"status", "", "1", "0 = counts: " + status_meanings(),
              of_trials<int>(trials,
                             [](const Trial& t, auto& out) {
                               for (const auto& fault : t.faults) out.push_back(status_of(fault));
                             })},
             {"design", "speed"}, shape);
  root.array(
      {"failure_text", "", "", "why it failed; empty where it did not",
       of_trials<std::string>(trials, [](const Trial& t, auto& out) { out.push_back(t.failure); })},
      {"design"}, {trials.size()});
}

void write_hdf5(const std::string& path, const SearchRecord& record) {
  const std::lock_guard lock(hdf5_mutex());
  Hdf5Handle file = create_file(path);
  {
    write_plan(file.get(), record);
    GroupWriter root(create_path(file.get(), "/"));
    std::vector<double> rpm;
    for (const double speed : record.plan.speeds) rpm.push_back(60 * speed);
    root.coordinate({"speed", "speed", "rpm", "engine speed", rpm});
    root.coordinate({"rotation_rate", "speed", "Hz", "revolutions of the crankshaft per second",
                     record.plan.speeds});
    root.coordinate(
        {"variable", "variable", "", "what varies, and over what", record.plan.variables});
    root.coordinate({"variable_units", "variable", "",
                     "unit of its values; 1 = a place in its list", record.plan.units});
    write_trials(root, record);
  }
  file.close("close the file");
}

// Numbers of a dataset of any shape, row by row; empty if there is no such dataset.
std::vector<double> read_array(hid_t file, const char* name) {
  if (H5Lexists(file, name, H5P_DEFAULT) <= 0) return {};
  const Hdf5Handle dataset(H5Dopen2(file, name, H5P_DEFAULT), H5Dclose,
                           std::string("open dataset ") + name);
  const Hdf5Handle space(H5Dget_space(dataset.get()), H5Sclose, "read a dataset's shape");
  std::vector<double> values(
      static_cast<std::size_t>(std::max<hssize_t>(0, H5Sget_simple_extent_npoints(space.get()))));
  hdf5_check(
      H5Dread(dataset.get(), H5T_NATIVE_DOUBLE, H5S_ALL, H5S_ALL, H5P_DEFAULT, values.data()),
      std::string("read dataset ") + name);
  return values;
}

void read_trials(hid_t file, SearchRecord& record) {
  const auto samples = read_array(file, "build_sample");
  const auto values = read_array(file, "value");
  const auto torque = read_array(file, "torque");
  const auto power = read_array(file, "power");
  const auto status = read_array(file, "status");
  const auto failures = read_texts(file, "failure_text");
  const std::size_t variables = record.plan.variables.size();
  const std::size_t speeds = record.plan.speeds.size();
  const std::size_t count = samples.size();
  if (values.size() != count * variables || torque.size() != count * speeds ||
      power.size() != count * speeds || status.size() != count * speeds ||
      failures.size() != count) {
    throw std::runtime_error("its arrays have not the lengths of its dimensions");
  }
  const auto row = [](const std::vector<double>& of, std::size_t i, std::size_t length) {
    const auto begin = of.begin() + static_cast<std::ptrdiff_t>(i * length);
    return std::vector<double>(begin, begin + static_cast<std::ptrdiff_t>(length));
  };
  for (std::size_t i = 0; i < count; ++i) {
    Trial trial = missing_trial({row(values, i, variables), static_cast<int>(samples[i])}, speeds);
    trial.torque = row(torque, i, speeds);
    trial.power = row(power, i, speeds);
    for (std::size_t s = 0; s < speeds; ++s) {
      trial.faults[s] = fault_of_status(status[i * speeds + s]);
    }
    trial.failure = failures[i];
    record.trials.push_back(std::move(trial));
  }
}

// A file that is removed in the end; HDF5 reads and writes files only.
struct ScratchFile {
  std::string path =
      (std::filesystem::temp_directory_path() / fmt::format("pulsewright-search-{}.h5", getpid()))
          .string();
  ScratchFile() = default;
  ~ScratchFile() {
    std::error_code ignored;
    std::filesystem::remove(path, ignored);
  }
  ScratchFile(const ScratchFile&) = delete;
  ScratchFile& operator=(const ScratchFile&) = delete;
};

}  // namespace

void write_search(const std::string& path, const SearchRecord& record) {
  try {
    TemporaryFile temporary(path);
    write_hdf5(temporary.path(), record);
    PosixFile(temporary.path(), PosixFile::Mode::read_write).sync();
    temporary.put_in_place(true);
  } catch (const StoreError& error) {
    throw StoreError(path, error.reason());  // users are not shown the temporary name
  } catch (const Hdf5Failure& error) {
    throw StoreError(path, error.what());
  }
}

SearchRecord read_search(const std::string& path) {
  const std::lock_guard lock(hdf5_mutex());
  try {
    const Hdf5Handle file = hdf5_open_for_reading(path);
    if (read_text_attribute(file.get(), "format") != search_format_name) {
      throw StoreError(path, "is no file of a search");
    }
    const long long version = read_count_attribute(file.get(), "format_version");
    if (version != search_format_version) {
      throw FormatVersionError(
          path, fmt::format("has format version {}, and this program reads {}; make it anew",
                            version, search_format_version));
    }
    SearchRecord record = read_plan(file.get());
    record.plan.speeds = read_numbers(file.get(), "rotation_rate");
    record.plan.variables = read_texts(file.get(), "variable");
    record.plan.units = read_texts(file.get(), "variable_units");
    read_trials(file.get(), record);
    return record;
  } catch (const StoreError&) {
    throw;
  } catch (const std::exception& error) {
    throw StoreError(path, error.what());
  }
}

std::string search_bytes(const SearchRecord& record) {
  const ScratchFile scratch;
  write_search(scratch.path, record);
  std::ifstream file(scratch.path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

SearchRecord search_from_bytes(const std::string& bytes) {
  const ScratchFile scratch;
  std::ofstream(scratch.path, std::ios::binary) << bytes;
  return read_search(scratch.path);
}

bool looks_like_search(const std::string& path) {
  const std::lock_guard lock(hdf5_mutex());
  try {
    return read_text_attribute(hdf5_open_for_reading(path).get(), "format") == search_format_name;
  } catch (const std::exception&) {
    return false;
  }
}

}  // namespace pulsewright::tools
