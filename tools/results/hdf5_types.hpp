// The types of the variables' elements in HDF5. All are owned by the library.
#pragma once

#include <hdf5.h>

#include "tools/results/variables.hpp"

namespace pulsewright::tools {

// As stored in the file.
hid_t file_type(ElementType type);
// As in memory.
hid_t memory_type(ElementType type);

}  // namespace pulsewright::tools
