// The files of merge_reference/ as text, so that the program needs no path to them.
#pragma once

#include <string>
#include <vector>

namespace pulsewright::validation {

struct StoredTrace {
  std::string name;  // of the file, without its ending
  std::string text;
};

const std::vector<StoredTrace>& stored_traces();
const std::string& stored_geometries();
const std::string& stored_cases();

}  // namespace pulsewright::validation
