// The unchanging part of a results file: groups, dimensions, attributes and empty datasets.
//
// Everything but the values of the points is written here, once, before the file gets its name.
// Datasets are contiguous and allocated from the beginning, so that a point is stored by
// overwriting bytes at known offsets, without the HDF5 library and without touching its metadata.
// FORMAT.md specifies the file.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "tools/results/hdf5_handle.hpp"
#include "tools/results/study_plan.hpp"
#include "tools/results/variables.hpp"

namespace pulsewright::tools {

inline constexpr const char* format_name = "pulsewright-results";
inline constexpr long long format_version = 4;

// Makes the file at `path` (replacing what is there) except for the values of the points, whose
// place is reserved but not yet filled. `date` is ISO 8601, UTC. Throws Hdf5Failure.
// The caller holds hdf5_mutex(), here and below.
void write_file_layout(const std::string& path, const StudyPlan& plan, const std::string& date);

// The plan a file was made from. Throws std::runtime_error if it is no results file, and
// FormatVersionError if it is one of another version.
StudyPlan read_plan(hid_t file);

// Path of a header's group.
std::string group_path(const HeaderPlan& header_plan);
// That of the root, to which names of datasets are added like to a group's.
inline constexpr const char* root_path = "";

// Whether a group has a dataset of that name: an older program of the same format version may have
// known fewer figures.
bool has_variable(hid_t file, const std::string& group, const Variable& variable);

// Opens the dataset of a variable; throws std::runtime_error if its shape or type is not as
// planned.
Hdf5Handle open_variable(hid_t file, const std::string& group, const Variable& variable);

// Byte offset in the file of each variable of a group, in order. Throws std::runtime_error if a
// dataset is not contiguous (a repacked file).
std::vector<std::uint64_t> locate_variables(hid_t file, const std::string& group,
                                            const std::vector<Variable>& variables);

}  // namespace pulsewright::tools
