#include "cases/problems.hpp"

#include <algorithm>

namespace pulsewright::cases {

void Problems::located(const std::string& key, int line, std::string value) {
  places_[key] = Place{line, std::move(value)};
}

int Problems::line_of(const std::string& key) const {
  std::string name = key;
  while (true) {
    const auto found = places_.find(name);
    if (found != places_.end()) return found->second.line;
    const std::size_t dot = name.find_last_of(".[");
    if (dot == std::string::npos) return 0;
    name.resize(dot);
  }
}

Problem Problems::at(const std::string& key, std::string message, std::string advice) const {
  const auto found = places_.find(key);
  return {file_,
          line_of(key),
          key,
          found == places_.end() ? std::string() : found->second.value,
          std::move(message),
          std::string(),
          std::move(advice)};
}

void Problems::add(const std::string& key, std::string message, std::string advice) {
  noted_.push_back({at(key, std::move(message), std::move(advice)), {}});
}

void Problems::remark(const std::string& key, std::string message, std::string advice) {
  remarks_.push_back(at(key, std::move(message), std::move(advice)));
}

void Problems::assume(const std::string& key, Assumption assumption) {
  assumption.key = key;
  assumptions_.push_back(std::move(assumption));
}

std::vector<Problem> Problems::remarks() const {
  std::vector<Problem> out = remarks_;
  std::stable_sort(out.begin(), out.end(),
                   [](const Problem& a, const Problem& b) { return a.line < b.line; });
  return out;
}

void Problems::add(Problem problem) {
  problem.file = file_;
  noted_.push_back({std::move(problem), {}});
}

void Problems::judge(const std::string& table, Problem problem) {
  problem.file = file_;
  noted_.push_back({std::move(problem), table});
}

void Problems::wrong_in(const std::string& table) {
  wrong_tables_.insert(table);
  if (table.empty()) return;
  std::erase_if(noted_, [&](const Noted& noted) { return noted.judged == table; });
}

void Problems::not_missing(const std::string& key) {
  std::erase_if(noted_, [&](const Noted& noted) {
    return noted.problem.key == key && noted.problem.message.starts_with("is missing");
  });
}

void Problems::stop_if_any() const {
  if (!any()) return;
  std::vector<Problem> problems;
  for (const Noted& noted : noted_) problems.push_back(noted.problem);
  throw CaseError(std::move(problems));
}

}  // namespace pulsewright::cases
