#include "tools/results/group_writer.hpp"

#include <fmt/format.h>
#include <hdf5_hl.h>
#include <type_traits>
#include <variant>

#include "tools/results/hdf5_types.hpp"

namespace pulsewright::tools {

namespace {

// Order of creation is kept, so that other tools list things in a sensible order, and no times are
// recorded, so that no later access has a reason to touch metadata.
void set_group_properties(hid_t list) {
  constexpr unsigned order = H5P_CRT_ORDER_TRACKED | H5P_CRT_ORDER_INDEXED;
  hdf5_check(H5Pset_link_creation_order(list, order), "set up a group");
  hdf5_check(H5Pset_obj_track_times(list, 0), "set up a group");
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

void set_fill_value(hid_t creation, const Variable& variable) {
  std::vector<std::byte> record(variable.record_bytes());
  variable.fill_record(record.data());
  hdf5_check(H5Pset_fill_value(creation, memory_type(variable.type), record.data()),
             "set up dataset " + variable.name);
  // The store fills the datasets itself, where a full disk gives a plain error.
  hdf5_check(H5Pset_fill_time(creation, H5D_FILL_TIME_NEVER), "set up dataset " + variable.name);
}

void describe(const Hdf5Handle& dataset, const std::string& units, const std::string& long_name) {
  if (!units.empty()) write_attribute(dataset.get(), "units", units);
  write_attribute(dataset.get(), "long_name", long_name);
}

// netCDF readers learn from _FillValue which whole numbers mean "none", and from flag_* what a
// status means.
void mark_whole_numbers(const Hdf5Handle& dataset, const Variable& variable) {
  const bool is_count = variable.type == ElementType::int32 || variable.type == ElementType::int64;
  if (!is_count && variable.name != status_variable) return;
  const bool is_status = !is_count;
  const hsize_t length = is_status ? 4 : 1;
  const std::vector<signed char> flags = {0, 1, 2, 3};
  const long long none = -1;
  const Hdf5Handle space(H5Screate_simple(1, &length, nullptr), H5Sclose, "describe flags");
  const char* name = is_status ? "flag_values" : "_FillValue";
  const Hdf5Handle attribute(H5Acreate2(dataset.get(), name, file_type(variable.type), space.get(),
                                        H5P_DEFAULT, H5P_DEFAULT),
                             H5Aclose, "describe flags");
  if (is_status) {
    hdf5_check(H5Awrite(attribute.get(), H5T_NATIVE_SCHAR, flags.data()), "describe flags");
    write_attribute(dataset.get(), "flag_meanings",
                    std::string("missing converged not_converged failed"));
  } else {
    hdf5_check(H5Awrite(attribute.get(), H5T_NATIVE_LLONG, &none), "describe flags");
  }
}

}  // namespace

Hdf5Handle create_file(const std::string& path) {
  const Hdf5Handle creation(H5Pcreate(H5P_FILE_CREATE), H5Pclose, "create the file");
  set_group_properties(creation.get());
  const Hdf5Handle access(H5Pcreate(H5P_FILE_ACCESS), H5Pclose, "create the file");
  // The 1.8 format has no mark for "open for writing", which a killed program would leave set.
  hdf5_check(H5Pset_libver_bounds(access.get(), H5F_LIBVER_V18, H5F_LIBVER_V18), "create the file");
  return {H5Fcreate(path.c_str(), H5F_ACC_TRUNC, creation.get(), access.get()), H5Fclose,
          "create the file"};
}

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

Hdf5Handle GroupWriter::create(const std::string& name, hid_t type,
                               const std::vector<std::size_t>& shape, hid_t creation) {
  const std::vector<hsize_t> extents(shape.begin(), shape.end());
  const Hdf5Handle space(
      H5Screate_simple(static_cast<int>(extents.size()), extents.data(), nullptr), H5Sclose,
      "describe dataset " + name);
  return {
      H5Dcreate2(group_.get(), name.c_str(), type, space.get(), H5P_DEFAULT, creation, H5P_DEFAULT),
      H5Dclose, "create dataset " + name};
}

template <class Value>
Hdf5Handle GroupWriter::write_list(const std::string& name, hid_t stored, hid_t in_memory,
                                   const Shape& shape, const std::vector<Value>& values) {
  const Hdf5Handle creation = dataset_properties();
  Hdf5Handle dataset = create(name, stored, shape, creation.get());
  hdf5_check(H5Dwrite(dataset.get(), in_memory, H5S_ALL, H5S_ALL, H5P_DEFAULT, values.data()),
             "write dataset " + name);
  return dataset;
}

Hdf5Handle GroupWriter::write_values(const std::string& name, const Shape& shape,
                                     const std::vector<double>& values) {
  return write_list(name, H5T_IEEE_F64LE, H5T_NATIVE_DOUBLE, shape, values);
}

Hdf5Handle GroupWriter::write_values(const std::string& name, const Shape& shape,
                                     const std::vector<int>& values) {
  return write_list(name, H5T_STD_I32LE, H5T_NATIVE_INT, shape, values);
}

Hdf5Handle GroupWriter::write_values(const std::string& name, const Shape& shape,
                                     const std::vector<std::string>& values) {
  std::vector<const char*> pointers;
  pointers.reserve(values.size());
  for (const auto& text : values) pointers.push_back(text.c_str());
  const Hdf5Handle type = hdf5_text_type();
  return write_list(name, type.get(), type.get(), shape, pointers);
}

void GroupWriter::attach(const Hdf5Handle& dataset, const std::vector<std::string>& dimensions) {
  for (std::size_t i = 0; i < dimensions.size(); ++i) {
    hdf5_check(
        H5DSattach_scale(dataset.get(), scales_.at(dimensions[i]).get(), static_cast<unsigned>(i)),
        "attach dimension " + dimensions[i]);
  }
}

void GroupWriter::coordinate(const Coordinate& coordinate) {
  if (coordinate.size() == 0) return;
  const std::string& name = coordinate.name;
  Hdf5Handle dataset =
      std::visit([&](const auto& values) { return write_values(name, {values.size()}, values); },
                 coordinate.values);
  if (name == coordinate.dimension) {
    hdf5_check(H5DSset_scale(dataset.get(), name.c_str()), "make dimension " + name);
  } else {
    attach(dataset, {coordinate.dimension});
  }
  describe(dataset, coordinate.units, coordinate.long_name);
  if (name == coordinate.dimension) scales_.emplace(name, std::move(dataset));
}

void GroupWriter::bare_dimension(const char* name, std::size_t length) {
  const Hdf5Handle creation = dataset_properties();
  Hdf5Handle dataset = create(name, H5T_STD_I8LE, {length}, creation.get());
  const auto mark =
      fmt::format("This is a netCDF dimension but not a netCDF variable. {:>9}", length);
  hdf5_check(H5DSset_scale(dataset.get(), mark.c_str()), std::string("make dimension ") + name);
  scales_.emplace(name, std::move(dataset));
}

void GroupWriter::array(const Coordinate& array, const std::vector<std::string>& dimensions,
                        const std::vector<std::size_t>& shape) {
  const Hdf5Handle dataset = std::visit(
      [&](const auto& values) { return write_values(array.name, shape, values); }, array.values);
  attach(dataset, dimensions);
  describe(dataset, array.units, array.long_name);
}

void GroupWriter::variable(const Variable& variable) {
  const Hdf5Handle creation = dataset_properties();
  set_fill_value(creation.get(), variable);
  const Hdf5Handle dataset =
      create(variable.name, file_type(variable.type), variable.shape, creation.get());
  attach(dataset, variable.dimensions);
  describe(dataset, variable.units, variable.long_name);
  mark_whole_numbers(dataset, variable);
}

}  // namespace pulsewright::tools
