// Makes the groups and datasets of a results file: a group's dimensions with their coordinates, and
// the room of its variables.
//
// The caller holds hdf5_mutex(). All throw Hdf5Failure.
#pragma once

#include <cstddef>
#include <map>
#include <string>
#include <vector>

#include "tools/results/coordinates.hpp"
#include "tools/results/hdf5_handle.hpp"
#include "tools/results/variables.hpp"

namespace pulsewright::tools {

// An empty file, in place of what is there.
Hdf5Handle create_file(const std::string& path);

// The group at an absolute path; those on the way that do not exist yet are created too.
Hdf5Handle create_path(hid_t file, const std::string& path);

// Writes the datasets of one group and keeps its dimension scales: a dimension comes before what
// lies along it.
class GroupWriter {
 public:
  explicit GroupWriter(Hdf5Handle group) : group_(std::move(group)) {}
  hid_t get() const { return group_.get(); }

  // Written now; one that is called as its dimension is the dimension's scale. Left out if it has
  // no values.
  void coordinate(const Coordinate& coordinate);
  // A dimension without coordinate values, marked as the netCDF-4 convention requires.
  void bare_dimension(const char* name, std::size_t length);
  // Values over several dimensions, row by row, written now.
  void array(const Coordinate& array, const std::vector<std::string>& dimensions,
             const std::vector<std::size_t>& shape);
  // Room for the values of the points.
  void variable(const Variable& variable);

 private:
  Hdf5Handle create(const std::string& name, hid_t type, const std::vector<std::size_t>& shape,
                    hid_t creation);
  using Shape = std::vector<std::size_t>;
  template <class Value>
  Hdf5Handle write_list(const std::string& name, hid_t stored, hid_t in_memory, const Shape& shape,
                        const std::vector<Value>& values);
  Hdf5Handle write_values(const std::string& name, const Shape& shape,
                          const std::vector<double>& values);
  Hdf5Handle write_values(const std::string& name, const Shape& shape,
                          const std::vector<int>& values);
  Hdf5Handle write_values(const std::string& name, const Shape& shape,
                          const std::vector<std::string>& values);
  void attach(const Hdf5Handle& dataset, const std::vector<std::string>& dimensions);

  Hdf5Handle group_;
  std::map<std::string, Hdf5Handle> scales_;
};

}  // namespace pulsewright::tools
