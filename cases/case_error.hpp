// What is wrong with a case file, in a form that can be shown to its author.
#pragma once

#include <stdexcept>
#include <string>
#include <vector>

namespace pulsewright::cases {

struct Problem {
  std::string file;
  int line = 0;         // 1 = first line; 0 = the file as a whole
  std::string key;      // full name, e.g. "engine.bore" or "header[2].primary_length"; may be empty
  std::string value;    // as written in the file, shortened; empty if there is none
  std::string message;  // what is wrong
  std::string allowed;  // what may stand there; may be empty
  std::string advice;   // what to do, with an example; may be empty
};

// One problem as text of a few lines: "file:line: key = value: message", then what is allowed and
// what to do. Nothing in it that a terminal would obey (visible_text.hpp).
std::string to_text(const Problem& problem);

// Thrown by every function that reads a case. Holds all problems that were found, at least one, in
// the order of their lines; what() shows them all (at most 20).
class CaseError : public std::runtime_error {
 public:
  explicit CaseError(std::vector<Problem> problems);
  const std::vector<Problem>& problems() const { return problems_; }

 private:
  std::vector<Problem> problems_;
};

}  // namespace pulsewright::cases
