#include "tools/results/file_layout.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <hdf5_hl.h>
#include <limits>
#include <map>
#include <numeric>
#include <set>

#include "tools/results/plan_attributes.hpp"

namespace pulsewright::tools {

namespace {

// ---------------------------------------------------------------- property lists

// Order of creation is kept, so that other tools list things in a sensible order, and no times are
// recorded, so that no later access has a reason to touch metadata.
void set_group_properties(hid_t list) {
  constexpr unsigned order = H5P_CRT_ORDER_TRACKED | H5P_CRT_ORDER_INDEXED;
  hdf5_check(H5Pset_link_creation_order(list, order), "set up a group");
  hdf5_check(H5Pset_obj_track_times(list, 0), "set up a group");
}

Hdf5Handle create_file(const std::string& path) {
  const Hdf5Handle creation(H5Pcreate(H5P_FILE_CREATE), H5Pclose, "create the file");
  set_group_properties(creation.get());
  const Hdf5Handle access(H5Pcreate(H5P_FILE_ACCESS), H5Pclose, "create the file");
  // The 1.8 format has no mark for "open for writing", which a killed program would leave set.
  hdf5_check(H5Pset_libver_bounds(access.get(), H5F_LIBVER_V18, H5F_LIBVER_V18), "create the file");
  return {H5Fcreate(path.c_str(), H5F_ACC_TRUNC, creation.get(), access.get()), H5Fclose,
          "create the file"};
}

Hdf5Handle create_group(hid_t file, const std::string& path) {
  const Hdf5Handle creation(H5Pcreate(H5P_GROUP_CREATE), H5Pclose, "create a group");
  set_group_properties(creation.get());
  return {H5Gcreate2(file, path.c_str(), H5P_DEFAULT, creation.get(), H5P_DEFAULT), H5Gclose,
          "create group " + path};
}

Hdf5Handle dataset_properties() {
  Hdf5Handle creation(H5Pcreate(H5P_DATASET_CREATE), H5Pclose, "set up a dataset");
  hdf5_check(H5Pset_layout(creation.get(), H5D_CONTIGUOUS), "set up a dataset");
  hdf5_check(H5Pset_alloc_time(creation.get(), H5D_ALLOC_TIME_EARLY), "set up a dataset");
  hdf5_check(H5Pset_obj_track_times(creation.get(), 0), "set up a dataset");
  return creation;
}

// ---------------------------------------------------------------- types

// As stored in the file; owned by the library.
hid_t file_type(ElementType type) {
  switch (type) {
    case ElementType::float64:
      return H5T_IEEE_F64LE;
    case ElementType::float32:
      return H5T_IEEE_F32LE;
    case ElementType::int64:
      return H5T_STD_I64LE;
    case ElementType::int32:
      return H5T_STD_I32LE;
    case ElementType::int8:
      return H5T_STD_I8LE;
    case ElementType::text:
      return H5T_C_S1;
  }
  throw std::logic_error("unknown element type");
}

void set_fill_value(hid_t creation, const Variable& variable) {
  std::vector<std::byte> record(variable.record_bytes());
  variable.fill_record(record.data());
  hdf5_check(H5Pset_fill_value(creation, memory_type(variable.type), record.data()),
             "set up dataset " + variable.name);
  // The store fills the datasets itself, where a full disk gives a plain error.
  hdf5_check(H5Pset_fill_time(creation, H5D_FILL_TIME_NEVER), "set up dataset " + variable.name);
}

// ---------------------------------------------------------------- one group

// Writes the datasets of one group and keeps its dimension scales.
class GroupWriter {
 public:
  explicit GroupWriter(Hdf5Handle group) : group_(std::move(group)) {}
  hid_t get() const { return group_.get(); }

  void number_scale(const char* name, const std::vector<double>& values, const char* units,
                    const char* long_name) {
    if (values.empty()) return;
    make_scale(name, write_list(name, H5T_IEEE_F64LE, H5T_NATIVE_DOUBLE, values), units, long_name);
  }

  void count_scale(const char* name, const std::vector<int>& values, const char* long_name) {
    if (values.empty()) return;
    make_scale(name, write_list(name, H5T_STD_I32LE, H5T_NATIVE_INT, values), "1", long_name);
  }

  void text_scale(const char* name, const std::vector<std::string>& texts, const char* long_name) {
    if (texts.empty()) return;
    std::vector<const char*> pointers;
    pointers.reserve(texts.size());
    for (const auto& text : texts) pointers.push_back(text.c_str());
    const Hdf5Handle type = hdf5_text_type();
    make_scale(name, write_list(name, type.get(), type.get(), pointers), "", long_name);
  }

  // A dimension without coordinate values, marked as the netCDF-4 convention asks.
  void bare_dimension(const char* name, std::size_t length) {
    const Hdf5Handle creation = dataset_properties();
    Hdf5Handle dataset = create(name, H5T_STD_I8LE, {length}, creation.get());
    const auto mark =
        fmt::format("This is a netCDF dimension but not a netCDF variable. {:>9}", length);
    hdf5_check(H5DSset_scale(dataset.get(), mark.c_str()), std::string("make dimension ") + name);
    scales_.emplace(name, std::move(dataset));
  }

  // A list that lies along a dimension, written now.
  void number_list(const char* name, const std::vector<double>& values, const char* dimension,
                   const char* units, const char* long_name) {
    if (values.empty()) return;
    const Hdf5Handle dataset = write_list(name, H5T_IEEE_F64LE, H5T_NATIVE_DOUBLE, values);
    attach(dataset, {dimension});
    describe(dataset, units, long_name);
  }

  // Room for the values of the points.
  void variable(const Variable& variable) {
    const Hdf5Handle creation = dataset_properties();
    set_fill_value(creation.get(), variable);
    const Hdf5Handle dataset =
        create(variable.name, file_type(variable.type), variable.shape, creation.get());
    attach(dataset, variable.dimensions);
    describe(dataset, variable.units, variable.long_name);
    mark_whole_numbers(dataset, variable);
  }

 private:
  Hdf5Handle create(const std::string& name, hid_t type, const std::vector<std::size_t>& shape,
                    hid_t creation) {
    const std::vector<hsize_t> extents(shape.begin(), shape.end());
    const Hdf5Handle space(
        H5Screate_simple(static_cast<int>(extents.size()), extents.data(), nullptr), H5Sclose,
        "describe dataset " + name);
    return {H5Dcreate2(group_.get(), name.c_str(), type, space.get(), H5P_DEFAULT, creation,
                       H5P_DEFAULT),
            H5Dclose, "create dataset " + name};
  }

  template <class Value>
  Hdf5Handle write_list(const char* name, hid_t stored, hid_t in_memory,
                        const std::vector<Value>& values) {
    const Hdf5Handle creation = dataset_properties();
    Hdf5Handle dataset = create(name, stored, {values.size()}, creation.get());
    hdf5_check(H5Dwrite(dataset.get(), in_memory, H5S_ALL, H5S_ALL, H5P_DEFAULT, values.data()),
               std::string("write dataset ") + name);
    return dataset;
  }

  void make_scale(const char* name, Hdf5Handle dataset, const std::string& units,
                  const char* long_name) {
    hdf5_check(H5DSset_scale(dataset.get(), name), std::string("make dimension ") + name);
    describe(dataset, units, long_name);
    scales_.emplace(name, std::move(dataset));
  }

  void attach(const Hdf5Handle& dataset, const std::vector<std::string>& dimensions) {
    for (std::size_t i = 0; i < dimensions.size(); ++i) {
      hdf5_check(H5DSattach_scale(dataset.get(), scales_.at(dimensions[i]).get(),
                                  static_cast<unsigned>(i)),
                 "attach dimension " + dimensions[i]);
    }
  }

  static void describe(const Hdf5Handle& dataset, const std::string& units,
                       const std::string& long_name) {
    if (!units.empty()) write_attribute(dataset.get(), "units", units);
    write_attribute(dataset.get(), "long_name", long_name);
  }

  // netCDF readers learn from _FillValue which whole numbers mean "none", and from flag_* what a
  // status means.
  static void mark_whole_numbers(const Hdf5Handle& dataset, const Variable& variable) {
    const bool is_count =
        variable.type == ElementType::int32 || variable.type == ElementType::int64;
    if (!is_count && variable.name != status_variable) return;
    const bool is_status = !is_count;
    const hsize_t length = is_status ? 4 : 1;
    const std::vector<signed char> flags = {0, 1, 2, 3};
    const long long none = -1;
    const Hdf5Handle space(H5Screate_simple(1, &length, nullptr), H5Sclose, "describe flags");
    const char* name = is_status ? "flag_values" : "_FillValue";
    const Hdf5Handle attribute(H5Acreate2(dataset.get(), name, file_type(variable.type),
                                          space.get(), H5P_DEFAULT, H5P_DEFAULT),
                               H5Aclose, "describe flags");
    if (is_status) {
      hdf5_check(H5Awrite(attribute.get(), H5T_NATIVE_SCHAR, flags.data()), "describe flags");
      write_attribute(dataset.get(), "flag_meanings",
                      std::string("missing converged not_converged failed"));
    } else {
      hdf5_check(H5Awrite(attribute.get(), H5T_NATIVE_LLONG, &none), "describe flags");
    }
  }

  Hdf5Handle group_;
  std::map<std::string, Hdf5Handle> scales_;
};

// ---------------------------------------------------------------- the parts of the file

// Speeds are read by people in rev/min; the round-off of the conversion is rounded away.
std::vector<double> in_rpm(const std::vector<double>& speeds) {
  std::vector<double> result;
  result.reserve(speeds.size());
  for (const double speed : speeds) result.push_back(std::round(speed * 60 * 1e6) / 1e6);
  return result;
}

void write_root(hid_t file, const StudyPlan& plan, const std::string& date) {
  write_attribute(file, "format", std::string(format_name));
  write_attribute(file, "format_version", format_version);
  write_attribute(file, "title", plan.title);
  write_attribute(file, "program_version", plan.program_version);
  write_attribute(file, "commit", plan.commit);
  write_attribute(file, "date", date);
  write_attribute(file, "case_file", plan.case_file);
  write_attribute(file, "case_text", plan.case_text);
  write_attribute(file, "settings", settings_text(plan.settings));
  write_attribute(file, "ambient_pressure", plan.ambient_pressure);
  write_attribute(file, "ambient_temperature", plan.ambient_temperature);
  write_attribute(file, "trace_points", static_cast<long long>(plan.trace_points));
  write_attribute(file, "diagram_angles", static_cast<long long>(plan.wave_angles));
  write_attribute(
      file, "diagram_speed_indices",
      std::vector<long long>(plan.wave_speed_indices.begin(), plan.wave_speed_indices.end()));
  std::set<std::string> laws;
  std::set<double> sizes;
  std::vector<std::string> groups;
  for (const auto& header_plan : plan.headers) {
    laws.emplace(cases::law_name(header_plan.junction_law));
    sizes.insert(header_plan.cell_size);
    groups.push_back(run_group_name(header_plan));
  }
  write_attribute(file, "junction_laws", std::vector<std::string>(laws.begin(), laws.end()));
  write_attribute(file, "cell_sizes", std::vector<double>(sizes.begin(), sizes.end()));
  write_attribute(file, "header_groups", groups);
}

void write_speeds(GroupWriter& group, const StudyPlan& plan) {
  group.number_scale("speed", in_rpm(plan.speeds), "rpm", "engine speed");
}

void write_scales(GroupWriter& group, const StudyPlan& plan, const HeaderPlan& header_plan) {
  write_speeds(group, plan);
  group.bare_dimension("text_byte", failure_text_bytes);
  group.count_scale("cylinder", header_plan.cylinder_numbers, "builder's number of the cylinder");
  group.text_scale("merge", header_plan.merges, "name of the merge");
  if (!header_plan.merges.empty()) {
    std::vector<int> slots(header_plan.merge_slots);
    std::iota(slots.begin(), slots.end(), 1);
    group.count_scale("slot", slots, "place in the order of arrival");
  }
  group.text_scale("pipe", header_plan.pipes, "name of the pipe");
  group.text_scale("tail", header_plan.tails, "name of the tail");
  const std::size_t trace_points = stored_trace_points(plan, header_plan);
  group.number_scale("crank_angle", even_angles(trace_points), "degree",
                     "crank angle of the cylinder, 0 = its own firing top dead centre");
  group.number_scale("engine_angle", even_angles(trace_points), "degree",
                     "crank angle of the engine, 0 = firing top dead centre of cylinder 1");
  if (!has_wave_diagram(plan, header_plan)) return;
  std::vector<double> speeds;
  for (const auto index : plan.wave_speed_indices) speeds.push_back(plan.speeds[index]);
  group.number_scale("diagram_speed", in_rpm(speeds), "rpm", "engine speed of the wave diagram");
  group.number_scale("diagram_angle", even_angles(plan.wave_angles), "degree",
                     "crank angle of the engine, 0 = firing top dead centre of cylinder 1");
}

// Kept even where no diagram is wanted, so that the plan can be read back.
void write_path(GroupWriter& group, const HeaderPlan& header_plan) {
  group.number_scale("distance", header_plan.wave_distance, "m",
                     "distance from the valve along the path of the wave diagram");
  group.text_scale("diagram_pipe", header_plan.wave_pipe_names,
                   "name of a pipe on the path of the wave diagram");
  group.number_list("diagram_pipe_start", header_plan.wave_pipe_start, "diagram_pipe", "m",
                    "distance from the valve at which the pipe starts");
}

void write_header(GroupWriter group, const StudyPlan& plan, const HeaderPlan& header_plan) {
  write_attribute(group.get(), "name", header_plan.name);
  write_attribute(group.get(), "kind", std::string(cases::kind_name(header_plan.kind)));
  write_attribute(group.get(), "junction_law",
                  std::string(cases::law_name(header_plan.junction_law)));
  write_attribute(group.get(), "requested_cell_size", header_plan.cell_size);
  write_attribute(group.get(), "traces_kept", header_plan.traces ? 1LL : 0LL);
  write_attribute(group.get(), "grouping", grouping_text(header_plan));
  write_attribute(group.get(), "merge_slots", static_cast<long long>(header_plan.merge_slots));
  write_scales(group, plan, header_plan);
  write_path(group, header_plan);
  for (const auto& variable : header_variables(plan, header_plan)) group.variable(variable);
}

// Creates the groups on the way to a path that do not exist yet.
Hdf5Handle create_path(hid_t file, const std::string& path) {
  for (auto at = path.find('/', 1); at != std::string::npos; at = path.find('/', at + 1)) {
    const std::string parent = path.substr(0, at);
    if (H5Lexists(file, parent.c_str(), H5P_DEFAULT) <= 0) create_group(file, parent);
  }
  if (H5Lexists(file, path.c_str(), H5P_DEFAULT) > 0) {
    return {H5Gopen2(file, path.c_str(), H5P_DEFAULT), H5Gclose, "open group " + path};
  }
  return create_group(file, path);
}

HeaderPlan read_header(hid_t file, const std::string& name) {
  const auto run = parse_run_group(name);
  if (!run) throw std::runtime_error("holds the unknown variant '" + name + "'");
  HeaderPlan header_plan;
  header_plan.group = run->header_group;
  header_plan.variant = run->variant;
  const std::string path = group_path(header_plan);
  const Hdf5Handle group(H5Gopen2(file, path.c_str(), H5P_DEFAULT), H5Gclose, "open group " + path);
  header_plan.name = read_text_attribute(group.get(), "name");
  header_plan.kind = parse_kind(read_text_attribute(group.get(), "kind"));
  header_plan.junction_law = parse_law(read_text_attribute(group.get(), "junction_law"));
  header_plan.cell_size = read_number_attribute(group.get(), "requested_cell_size");
  header_plan.traces = read_count_attribute(group.get(), "traces_kept") != 0;
  parse_grouping(read_text_attribute(group.get(), "grouping"), header_plan);
  header_plan.merge_slots =
      static_cast<std::size_t>(read_count_attribute(group.get(), "merge_slots"));
  for (const double number : read_numbers(group.get(), "cylinder")) {
    header_plan.cylinder_numbers.push_back(static_cast<int>(number));
  }
  header_plan.merges = read_texts(group.get(), "merge");
  header_plan.pipes = read_texts(group.get(), "pipe");
  header_plan.tails = read_texts(group.get(), "tail");
  header_plan.wave_distance = read_numbers(group.get(), "distance");
  header_plan.wave_pipe_names = read_texts(group.get(), "diagram_pipe");
  header_plan.wave_pipe_start = read_numbers(group.get(), "diagram_pipe_start");
  return header_plan;
}

void require_format(hid_t file) {
  if (H5Aexists(file, "format") <= 0 || read_text_attribute(file, "format") != format_name) {
    throw std::runtime_error("is an HDF5 file, but not a results file of this program");
  }
  const auto version = read_count_attribute(file, "format_version");
  if (version != format_version) {
    throw std::runtime_error(fmt::format("has format version {}, this program reads version {}",
                                         version, format_version));
  }
}

}  // namespace

void write_file_layout(const std::string& path, const StudyPlan& plan, const std::string& date) {
  Hdf5Handle file = create_file(path);
  write_root(file.get(), plan, date);
  {
    GroupWriter root(Hdf5Handle(H5Gopen2(file.get(), "/", H5P_DEFAULT), H5Gclose, "open root"));
    write_speeds(root, plan);
    root.number_list("rotation_rate", plan.speeds, "speed", "Hz",
                     "revolutions of the crankshaft per second");
  }
  for (const auto& header_plan : plan.headers) {
    write_header(GroupWriter(create_path(file.get(), group_path(header_plan))), plan, header_plan);
  }
  file.close("finish the file");
}

StudyPlan read_plan(hid_t file) {
  require_format(file);
  StudyPlan plan;
  plan.title = read_text_attribute(file, "title");
  plan.program_version = read_text_attribute(file, "program_version");
  plan.commit = read_text_attribute(file, "commit");
  plan.case_file = read_text_attribute(file, "case_file");
  plan.case_text = read_text_attribute(file, "case_text");
  plan.settings = parse_settings(read_text_attribute(file, "settings"));
  plan.ambient_pressure = read_number_attribute(file, "ambient_pressure");
  plan.ambient_temperature = read_number_attribute(file, "ambient_temperature");
  plan.trace_points = static_cast<std::size_t>(read_count_attribute(file, "trace_points"));
  plan.wave_angles = static_cast<std::size_t>(read_count_attribute(file, "diagram_angles"));
  for (const auto index : read_count_list_attribute(file, "diagram_speed_indices")) {
    plan.wave_speed_indices.push_back(static_cast<std::size_t>(index));
  }
  plan.speeds = read_numbers(file, "rotation_rate");
  for (const auto& group : read_text_list_attribute(file, "header_groups")) {
    plan.headers.push_back(read_header(file, group));
  }
  check_plan(plan);
  return plan;
}

std::string group_path(const HeaderPlan& header_plan) {
  return "/headers/" + run_group_name(header_plan);
}

hid_t memory_type(ElementType type) {
  switch (type) {
    case ElementType::float64:
      return H5T_NATIVE_DOUBLE;
    case ElementType::float32:
      return H5T_NATIVE_FLOAT;
    case ElementType::int64:
      return H5T_NATIVE_INT64;
    case ElementType::int32:
      return H5T_NATIVE_INT32;
    case ElementType::int8:
      return H5T_NATIVE_INT8;
    case ElementType::text:
      return H5T_C_S1;
  }
  throw std::logic_error("unknown element type");
}

Hdf5Handle open_variable(hid_t file, const HeaderPlan& header_plan, const Variable& variable) {
  const std::string path = group_path(header_plan) + "/" + variable.name;
  Hdf5Handle dataset(H5Dopen2(file, path.c_str(), H5P_DEFAULT), H5Dclose, "open dataset " + path);
  const Hdf5Handle type(H5Dget_type(dataset.get()), H5Tclose, "examine dataset " + path);
  const Hdf5Handle space(H5Dget_space(dataset.get()), H5Sclose, "examine dataset " + path);
  const int rank = H5Sget_simple_extent_ndims(space.get());
  std::vector<hsize_t> extents(static_cast<std::size_t>(std::max(rank, 0)));
  H5Sget_simple_extent_dims(space.get(), extents.data(), nullptr);
  if (H5Tequal(type.get(), file_type(variable.type)) <= 0 ||
      !std::equal(extents.begin(), extents.end(), variable.shape.begin(), variable.shape.end())) {
    throw std::runtime_error("dataset " + path + " has another shape or type than it should");
  }
  return dataset;
}

std::vector<std::uint64_t> locate_variables(hid_t file, const HeaderPlan& header_plan,
                                            const std::vector<Variable>& variables) {
  std::vector<std::uint64_t> offsets;
  offsets.reserve(variables.size());
  for (const auto& variable : variables) {
    const Hdf5Handle dataset = open_variable(file, header_plan, variable);
    const haddr_t offset = H5Dget_offset(dataset.get());
    if (offset == HADDR_UNDEF) {
      throw std::runtime_error("dataset " + variable.name +
                               " is not contiguous: the file was repacked by another tool and can "
                               "be read, but not added to");
    }
    offsets.push_back(offset);
  }
  return offsets;
}

}  // namespace pulsewright::tools
