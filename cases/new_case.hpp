// A new case file from the answers to the questions of new_questions.hpp.
#pragma once

#include <set>
#include <string>

#include "cases/new_questions.hpp"

namespace pulsewright::cases {

using AnswerNames = std::set<std::string, std::less<>>;

// The case file: TOML with comments, one table after the other. Answers are taken as they are; what
// is wrong with them the reader of case files says (case_reader.hpp). Lines that are made of an
// answer named in `assumed` end in the comment "# assumed".
std::string case_text_of(const Answers& answers, const AnswerNames& assumed = {});

}  // namespace pulsewright::cases
