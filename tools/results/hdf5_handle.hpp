// Small owners for HDF5 objects, and texts, numbers and lists in and out of attributes.
//
// The serial HDF5 library may be entered by one thread at a time: every caller holds hdf5_mutex()
// while it calls anything of this header or of HDF5 itself.
#pragma once

#include <hdf5.h>
#include <mutex>
#include <stdexcept>
#include <string>
#include <vector>

namespace pulsewright::tools {

// One lock for the whole process. Recursive, so that a reader may be used while it is held.
std::recursive_mutex& hdf5_mutex();

// An HDF5 call failed; what() is "<action>: <innermost reason the library gives>".
class Hdf5Failure : public std::runtime_error {
 public:
  explicit Hdf5Failure(const std::string& action);
};

// Owns one HDF5 identifier.
class Hdf5Handle {
 public:
  using Closer = herr_t (*)(hid_t);
  Hdf5Handle() = default;
  // Throws Hdf5Failure if `id` is negative, which is how HDF5 reports a failed open or create.
  Hdf5Handle(hid_t id, Closer closer, const std::string& action);
  ~Hdf5Handle();
  Hdf5Handle(Hdf5Handle&& other) noexcept;
  Hdf5Handle& operator=(Hdf5Handle&& other) noexcept;
  Hdf5Handle(const Hdf5Handle&) = delete;
  Hdf5Handle& operator=(const Hdf5Handle&) = delete;

  hid_t get() const { return id_; }
  // Closes now and throws if that fails: closing a file writes, and can hit a full disk.
  void close(const std::string& action);

 private:
  hid_t id_ = -1;
  Closer closer_ = nullptr;
};

// Throws Hdf5Failure if an HDF5 call returned a negative number.
void hdf5_check(herr_t result, const std::string& action);

// Variable-length UTF-8, in memory and in the file.
Hdf5Handle hdf5_text_type();

// Opens for reading, and says so plainly when the file is no HDF5 file.
Hdf5Handle hdf5_open_for_reading(const std::string& path);

void write_attribute(hid_t object, const char* name, const std::string& text);
void write_attribute(hid_t object, const char* name, const std::vector<std::string>& texts);
void write_attribute(hid_t object, const char* name, double value);
void write_attribute(hid_t object, const char* name, long long value);
// Leaves the attribute out if the list is empty.
void write_attribute(hid_t object, const char* name, const std::vector<long long>& values);
void write_attribute(hid_t object, const char* name, const std::vector<double>& values);

std::string read_text_attribute(hid_t object, const char* name);
std::vector<std::string> read_text_list_attribute(hid_t object, const char* name);
double read_number_attribute(hid_t object, const char* name);
long long read_count_attribute(hid_t object, const char* name);
// Empty if there is no such attribute.
std::vector<long long> read_count_list_attribute(hid_t object, const char* name);

// Whole one-dimensional datasets; empty if there is no such dataset.
std::vector<double> read_numbers(hid_t group, const char* name);
std::vector<std::string> read_texts(hid_t group, const char* name);

}  // namespace pulsewright::tools
