// A case for searches: the shipped single cylinder with other values, on a grid so coarse that a
// point takes a few hundredths of a second.
#pragma once

#include <map>
#include <string>
#include <utility>
#include <vector>

#include "cases/case_reader.hpp"
#include "cases/case_text.hpp"

namespace pulsewright::tests {

inline constexpr double search_cells = 0.09;  // m

// The shipped single cylinder; `added` is appended to its text.
inline cases::CaseFile search_case(const std::string& added = "") {
  const std::string file = std::string(PULSEWRIGHT_SOURCE_DIR) + "/cases/single-cylinder.toml";
  return cases::read_case_text(cases::read_text_file(file) + added, file);
}

// Its first header with tubes of another length, m.
inline cases::HeaderDesign with_length(const cases::CaseFile& case_file, double length) {
  cases::HeaderDesign design = case_file.headers.front();
  for (auto& [cylinder, own] : design.primary_length) own = length;
  return design;
}

}  // namespace pulsewright::tests
