// The problems found in one file so far, and where each of its keys stands.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "cases/case_error.hpp"

namespace pulsewright::cases {

class Problems {
 public:
  explicit Problems(std::string file) : file_(std::move(file)) {}

  // Notes where a key was read and how its value is written.
  void located(const std::string& key, int line, std::string value);
  // Adds a problem at a key that was located before (or at the nearest table that was).
  void add(const std::string& key, std::string message, std::string advice);
  void add(Problem problem);
  // Throws CaseError if there is any problem.
  void stop_if_any() const;
  bool any() const { return !problems_.empty(); }
  const std::string& file() const { return file_; }
  int line_of(const std::string& key) const;

 private:
  struct Place {
    int line = 0;
    std::string value;
  };
  std::string file_;
  std::map<std::string, Place> places_;
  std::vector<Problem> problems_;
};

}  // namespace pulsewright::cases
