#include "cases/case_error.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace pulsewright::cases {
namespace {

constexpr std::size_t most_shown = 20;

std::vector<Problem> in_order(std::vector<Problem> problems) {
  std::stable_sort(problems.begin(), problems.end(),
                   [](const Problem& a, const Problem& b) { return a.line < b.line; });
  return problems;
}

std::string all_text(const std::vector<Problem>& problems) {
  std::string out;
  for (std::size_t i = 0; i < std::min(problems.size(), most_shown); ++i) {
    if (i > 0) out += '\n';
    out += to_text(problems[i]);
  }
  if (problems.size() > most_shown) {
    out += fmt::format("\nand {} more", problems.size() - most_shown);
  }
  return out;
}

}  // namespace

std::string to_text(const Problem& problem) {
  std::string out = problem.file;
  if (problem.line > 0) out += fmt::format(":{}", problem.line);
  out += ": ";
  if (!problem.key.empty()) {
    out += problem.key;
    if (!problem.value.empty()) out += fmt::format(" = {}", problem.value);
    out += ": ";
  }
  out += problem.message;
  if (!problem.allowed.empty()) out += "\n  allowed: " + problem.allowed;
  if (!problem.advice.empty()) out += "\n  " + problem.advice;
  return out;
}

CaseError::CaseError(std::vector<Problem> problems)
    : std::runtime_error(all_text(in_order(problems))), problems_(in_order(std::move(problems))) {}

}  // namespace pulsewright::cases
