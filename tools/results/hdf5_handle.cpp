#include "tools/results/hdf5_handle.hpp"

#include <utility>

namespace pulsewright::tools {

namespace {

// The system's words for a failed write stand inside a longer line of the innermost record.
std::string system_message(const std::string& description) {
  constexpr const char* mark = "error message = '";
  const auto at = description.find(mark);
  if (at == std::string::npos) return {};
  const auto start = at + std::string(mark).size();
  return description.substr(start, description.find('\'', start) - start);
}

extern "C" herr_t keep_reason(unsigned, const H5E_error2_t* record, void* data) {
  auto& reason = *static_cast<std::string*>(data);
  const std::string description = record->desc != nullptr ? record->desc : "";
  if (reason.empty()) reason = description;
  if (auto message = system_message(description); !message.empty()) reason = std::move(message);
  return 0;
}

std::string innermost_reason() {
  std::string reason;
  H5Ewalk2(H5E_DEFAULT, H5E_WALK_UPWARD, keep_reason, &reason);
  H5Eclear2(H5E_DEFAULT);
  return reason.empty() ? "the HDF5 library gives no reason" : reason;
}

Hdf5Handle simple_space(std::size_t length) {
  const hsize_t extent = length;
  return {H5Screate_simple(1, &extent, nullptr), H5Sclose, "describe a list"};
}

void write_any(hid_t object, const char* name, hid_t file_type, hid_t memory_type, hid_t space,
               const void* data) {
  const std::string action = std::string("write attribute ") + name;
  const Hdf5Handle attribute(H5Acreate2(object, name, file_type, space, H5P_DEFAULT, H5P_DEFAULT),
                             H5Aclose, action);
  hdf5_check(H5Awrite(attribute.get(), memory_type, data), action);
}

Hdf5Handle open_attribute(hid_t object, const char* name) {
  return {H5Aopen(object, name, H5P_DEFAULT), H5Aclose, std::string("read attribute ") + name};
}

std::size_t attribute_length(const Hdf5Handle& attribute) {
  const Hdf5Handle space(H5Aget_space(attribute.get()), H5Sclose, "read an attribute's shape");
  return static_cast<std::size_t>(H5Sget_simple_extent_npoints(space.get()));
}

void require_length(const Hdf5Handle& attribute, const char* name) {
  if (attribute_length(attribute) != 1) {
    throw std::runtime_error(std::string("attribute ") + name + " is not a single value");
  }
}

// Reads variable-length texts through `read` and gives their memory back to the library.
template <class Read>
std::vector<std::string> read_text_list(std::size_t length, Read read) {
  std::vector<char*> pointers(length, nullptr);
  read(pointers.data());
  std::vector<std::string> texts;
  texts.reserve(length);
  for (char* pointer : pointers) {
    texts.emplace_back(pointer != nullptr ? pointer : "");
    if (pointer != nullptr) H5free_memory(pointer);
  }
  return texts;
}

void require_variable_text(hid_t type, const std::string& what) {
  if (H5Tget_class(type) != H5T_STRING || H5Tis_variable_str(type) <= 0) {
    throw std::runtime_error(what + " is not a variable-length text");
  }
}

Hdf5Handle open_list(hid_t group, const char* name) {
  Hdf5Handle dataset(H5Dopen2(group, name, H5P_DEFAULT), H5Dclose,
                     std::string("open dataset ") + name);
  return dataset;
}

std::size_t list_length(const Hdf5Handle& dataset) {
  const Hdf5Handle space(H5Dget_space(dataset.get()), H5Sclose, "read a dataset's shape");
  return static_cast<std::size_t>(H5Sget_simple_extent_npoints(space.get()));
}

}  // namespace

std::recursive_mutex& hdf5_mutex() {
  static std::recursive_mutex mutex;
  // Everything is closed here. A file that could not be closed, on a full disk, would be tried
  // again by the library at exit, after what it points to is gone.
  static const herr_t left_alone = H5dont_atexit();
  static_cast<void>(left_alone);
  // The library's own print-out to stderr is switched off: errors become exceptions.
  static const herr_t silenced = H5Eset_auto2(H5E_DEFAULT, nullptr, nullptr);
  static_cast<void>(silenced);
  return mutex;
}

Hdf5Failure::Hdf5Failure(const std::string& action)
    : std::runtime_error(action + ": " + innermost_reason()) {}

Hdf5Handle::Hdf5Handle(hid_t id, Closer closer, const std::string& action)
    : id_(id), closer_(closer) {
  if (id < 0) throw Hdf5Failure(action);
}

Hdf5Handle::~Hdf5Handle() {
  if (id_ >= 0) closer_(id_);
}

Hdf5Handle::Hdf5Handle(Hdf5Handle&& other) noexcept
    : id_(std::exchange(other.id_, -1)), closer_(other.closer_) {}

Hdf5Handle& Hdf5Handle::operator=(Hdf5Handle&& other) noexcept {
  if (this != &other) {
    if (id_ >= 0) closer_(id_);
    id_ = std::exchange(other.id_, -1);
    closer_ = other.closer_;
  }
  return *this;
}

void Hdf5Handle::close(const std::string& action) {
  if (id_ >= 0) hdf5_check(closer_(std::exchange(id_, -1)), action);
}

void hdf5_check(herr_t result, const std::string& action) {
  if (result < 0) throw Hdf5Failure(action);
}

Hdf5Handle hdf5_text_type() {
  Hdf5Handle type(H5Tcopy(H5T_C_S1), H5Tclose, "describe a text");
  hdf5_check(H5Tset_size(type.get(), H5T_VARIABLE), "describe a text");
  hdf5_check(H5Tset_cset(type.get(), H5T_CSET_UTF8), "describe a text");
  return type;
}

Hdf5Handle hdf5_open_for_reading(const std::string& path) {
  const Hdf5Handle access(H5Pcreate(H5P_FILE_ACCESS), H5Pclose, "open the file");
  // No buffer between file and caller, so that points which another process adds are seen.
  hdf5_check(H5Pset_sieve_buf_size(access.get(), 0), "open the file");
  return {H5Fopen(path.c_str(), H5F_ACC_RDONLY, access.get()), H5Fclose, "cannot be read as HDF5"};
}

void write_attribute(hid_t object, const char* name, const std::string& text) {
  const Hdf5Handle space(H5Screate(H5S_SCALAR), H5Sclose, "describe a text");
  const Hdf5Handle type = hdf5_text_type();
  const char* pointer = text.c_str();
  write_any(object, name, type.get(), type.get(), space.get(), &pointer);
}

void write_attribute(hid_t object, const char* name, const std::vector<std::string>& texts) {
  if (texts.empty()) return;
  std::vector<const char*> pointers;
  pointers.reserve(texts.size());
  for (const auto& text : texts) pointers.push_back(text.c_str());
  const Hdf5Handle type = hdf5_text_type();
  write_any(object, name, type.get(), type.get(), simple_space(texts.size()).get(),
            pointers.data());
}

void write_attribute(hid_t object, const char* name, double value) {
  const Hdf5Handle space(H5Screate(H5S_SCALAR), H5Sclose, "describe a number");
  write_any(object, name, H5T_IEEE_F64LE, H5T_NATIVE_DOUBLE, space.get(), &value);
}

void write_attribute(hid_t object, const char* name, long long value) {
  const Hdf5Handle space(H5Screate(H5S_SCALAR), H5Sclose, "describe a number");
  write_any(object, name, H5T_STD_I64LE, H5T_NATIVE_LLONG, space.get(), &value);
}

void write_attribute(hid_t object, const char* name, const std::vector<long long>& values) {
  if (values.empty()) return;
  write_any(object, name, H5T_STD_I64LE, H5T_NATIVE_LLONG, simple_space(values.size()).get(),
            values.data());
}

void write_attribute(hid_t object, const char* name, const std::vector<double>& values) {
  if (values.empty()) return;
  write_any(object, name, H5T_IEEE_F64LE, H5T_NATIVE_DOUBLE, simple_space(values.size()).get(),
            values.data());
}

std::vector<std::string> read_text_list_attribute(hid_t object, const char* name) {
  const Hdf5Handle attribute = open_attribute(object, name);
  const std::string action = std::string("read attribute ") + name;
  const Hdf5Handle stored(H5Aget_type(attribute.get()), H5Tclose, action);
  require_variable_text(stored.get(), std::string("attribute ") + name);
  const Hdf5Handle type = hdf5_text_type();
  return read_text_list(attribute_length(attribute), [&](char** pointers) {
    hdf5_check(H5Aread(attribute.get(), type.get(), pointers), action);
  });
}

std::string read_text_attribute(hid_t object, const char* name) {
  const auto texts = read_text_list_attribute(object, name);
  if (texts.size() != 1) {
    throw std::runtime_error(std::string("attribute ") + name + " is not a single text");
  }
  return texts.front();
}

double read_number_attribute(hid_t object, const char* name) {
  const Hdf5Handle attribute = open_attribute(object, name);
  require_length(attribute, name);
  double value = 0;
  hdf5_check(H5Aread(attribute.get(), H5T_NATIVE_DOUBLE, &value),
             std::string("read attribute ") + name);
  return value;
}

long long read_count_attribute(hid_t object, const char* name) {
  const Hdf5Handle attribute = open_attribute(object, name);
  require_length(attribute, name);
  long long value = 0;
  hdf5_check(H5Aread(attribute.get(), H5T_NATIVE_LLONG, &value),
             std::string("read attribute ") + name);
  return value;
}

std::vector<long long> read_count_list_attribute(hid_t object, const char* name) {
  if (H5Aexists(object, name) <= 0) return {};
  const Hdf5Handle attribute = open_attribute(object, name);
  std::vector<long long> values(attribute_length(attribute));
  hdf5_check(H5Aread(attribute.get(), H5T_NATIVE_LLONG, values.data()),
             std::string("read attribute ") + name);
  return values;
}

std::vector<double> read_numbers(hid_t group, const char* name) {
  if (H5Lexists(group, name, H5P_DEFAULT) <= 0) return {};
  const Hdf5Handle dataset = open_list(group, name);
  std::vector<double> values(list_length(dataset));
  hdf5_check(
      H5Dread(dataset.get(), H5T_NATIVE_DOUBLE, H5S_ALL, H5S_ALL, H5P_DEFAULT, values.data()),
      std::string("read dataset ") + name);
  return values;
}

std::vector<std::string> read_texts(hid_t group, const char* name) {
  if (H5Lexists(group, name, H5P_DEFAULT) <= 0) return {};
  const Hdf5Handle dataset = open_list(group, name);
  const Hdf5Handle stored(H5Dget_type(dataset.get()), H5Tclose,
                          std::string("read dataset ") + name);
  require_variable_text(stored.get(), std::string("dataset ") + name);
  const Hdf5Handle type = hdf5_text_type();
  return read_text_list(list_length(dataset), [&](char** pointers) {
    hdf5_check(H5Dread(dataset.get(), type.get(), H5S_ALL, H5S_ALL, H5P_DEFAULT, pointers),
               std::string("read dataset ") + name);
  });
}

}  // namespace pulsewright::tools
