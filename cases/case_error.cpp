#include "cases/case_error.hpp"

#include <algorithm>
#include <fmt/format.h>

#include "cases/visible_text.hpp"

namespace pulsewright::cases {
namespace {

constexpr std::size_t most_shown = 20;
constexpr std::size_t most_shown_bytes = 1000;  // of a part of a message

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

// Names, keys and values are foreign text, and may be of any length.
std::string to_text(const Problem& problem) {
  std::string out = visible(problem.file);
  if (problem.line > 0) out += fmt::format(":{}", problem.line);
  out += ": ";
  if (!problem.key.empty()) {
    out += shortened(problem.key, 100);
    if (!problem.value.empty()) out += " = " + shortened(problem.value);
    out += ": ";
  }
  out += shortened(problem.message, most_shown_bytes);
  if (!problem.allowed.empty())
    out += "\n  allowed: " + shortened(problem.allowed, most_shown_bytes);
  if (!problem.advice.empty()) out += "\n  " + shortened(problem.advice, most_shown_bytes);
  return out;
}

CaseError::CaseError(std::vector<Problem> problems)
    : std::runtime_error(all_text(in_order(problems))), problems_(in_order(std::move(problems))) {}

}  // namespace pulsewright::cases
