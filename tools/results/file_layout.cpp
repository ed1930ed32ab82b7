#include "tools/results/file_layout.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <set>

#include "tools/results/coordinates.hpp"
#include "tools/results/group_writer.hpp"
#include "tools/results/hdf5_types.hpp"
#include "tools/results/plan_attributes.hpp"
#include "tools/results/root_variables.hpp"
#include "tools/results/store_error.hpp"

namespace pulsewright::tools {

namespace {

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

void write_header(GroupWriter group, const StudyPlan& plan, const HeaderPlan& header_plan) {
  write_attribute(group.get(), "name", header_plan.name);
  write_attribute(group.get(), "kind", std::string(cases::kind_name(header_plan.kind)));
  write_attribute(group.get(), "junction_law",
                  std::string(cases::law_name(header_plan.junction_law)));
  write_attribute(group.get(), "requested_cell_size", header_plan.cell_size);
  write_attribute(group.get(), "traces_kept", header_plan.traces ? 1LL : 0LL);
  write_attribute(group.get(), "grouping", grouping_text(header_plan));
  write_attribute(group.get(), "merge_slots", static_cast<long long>(header_plan.merge_slots));
  group.bare_dimension(text_dimension, failure_text_bytes);
  for (const auto& coordinate : header_coordinates(plan, header_plan)) group.coordinate(coordinate);
  const auto variables = header_variables(plan, header_plan);
  group.coordinate(checked_coordinate(variables));
  for (const auto& variable : variables) group.variable(variable);
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
  header_plan.merges = read_texts(group.get(), "merge_name");
  header_plan.pipes = read_texts(group.get(), "pipe_name");
  header_plan.tails = read_texts(group.get(), "tail_name");
  header_plan.probes = read_texts(group.get(), "probe");
  header_plan.wave_distance = read_numbers(group.get(), "distance");
  header_plan.wave_pipe_names = read_texts(group.get(), "diagram_pipe");
  header_plan.wave_pipe_start = read_numbers(group.get(), "diagram_pipe_start");
  return header_plan;
}

std::string name_of(hid_t file) {
  std::string name(static_cast<std::size_t>(std::max<ssize_t>(H5Fget_name(file, nullptr, 0), 0)),
                   ' ');
  H5Fget_name(file, name.data(), name.size() + 1);
  return name;
}

void require_format(hid_t file) {
  const auto text = [&](const char* name) {
    return H5Aexists(file, name) > 0 ? read_text_attribute(file, name) : std::string("unknown");
  };
  if (text("format") != format_name) {
    throw std::runtime_error("is an HDF5 file, but not a results file of this program");
  }
  const auto version = read_count_attribute(file, "format_version");
  if (version == format_version) return;
  throw FormatVersionError(
      name_of(file),
      fmt::format("has format version {}, this program reads version {} only; run `pulsewright "
                  "compare` anew on its case file (the attribute case_text has the text), or read "
                  "it with the program that wrote it, version {}, commit {}",
                  version, format_version, text("program_version"), text("commit")));
}

}  // namespace

void write_file_layout(const std::string& path, const StudyPlan& plan, const std::string& date) {
  Hdf5Handle file = create_file(path);
  write_root(file.get(), plan, date);
  {
    GroupWriter root(Hdf5Handle(H5Gopen2(file.get(), "/", H5P_DEFAULT), H5Gclose, "open root"));
    for (const auto& coordinate : root_coordinates(plan)) root.coordinate(coordinate);
    for (const auto& variable : root_variables(plan)) root.variable(variable);
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

bool has_variable(hid_t file, const std::string& group, const Variable& variable) {
  const std::string path = group + "/" + variable.name;
  return H5Lexists(file, path.c_str(), H5P_DEFAULT) > 0;
}

Hdf5Handle open_variable(hid_t file, const std::string& group, const Variable& variable) {
  const std::string path = group + "/" + variable.name;
  Hdf5Handle dataset(H5Dopen2(file, path.c_str(), H5P_DEFAULT), H5Dclose, "open dataset " + path);
  const Hdf5Handle type(H5Dget_type(dataset.get()), H5Tclose, "examine dataset " + path);
  const Hdf5Handle space(H5Dget_space(dataset.get()), H5Sclose, "examine dataset " + path);
  const int rank = H5Sget_simple_extent_ndims(space.get());
  std::vector<hsize_t> extents(static_cast<std::size_t>(std::max(rank, 0)));
  H5Sget_simple_extent_dims(space.get(), extents.data(), nullptr);
  const bool is_planned =
      variable.type == ElementType::text
          ? H5Tget_class(type.get()) == H5T_STRING && H5Tget_size(type.get()) == 1
          : H5Tequal(type.get(), file_type(variable.type)) > 0;
  if (!is_planned ||
      !std::equal(extents.begin(), extents.end(), variable.shape.begin(), variable.shape.end())) {
    throw std::runtime_error("dataset " + path + " has another shape or type than it should");
  }
  return dataset;
}

std::vector<std::uint64_t> locate_variables(hid_t file, const std::string& group,
                                            const std::vector<Variable>& variables) {
  std::vector<std::uint64_t> offsets;
  offsets.reserve(variables.size());
  for (const auto& variable : variables) {
    const Hdf5Handle dataset = open_variable(file, group, variable);
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
