#include "tools/results/hdf5_types.hpp"

#include <stdexcept>

namespace pulsewright::tools {

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

}  // namespace pulsewright::tools
