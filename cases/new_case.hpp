// A new case file from the answers to a few questions, in the builder's words: what `pulsewright
// new` asks, and the file that it writes.
#pragma once

#include <map>
#include <set>
#include <span>
#include <string>
#include <string_view>

namespace pulsewright::cases {

// Answer by name of the question. What is missing takes its default.
using Answers = std::map<std::string, std::string, std::less<>>;

struct Question {
  std::string_view name;   // in a file of answers: "bore"
  std::string_view key;    // that it fills in the case file: "engine.bore"; "" = none of its own
  std::string_view words;  // "Bore"
  std::string_view help;   // one line
  // What most likely fits, by the units of the answers ("metric" or "inch") and what was answered.
  std::string (*usual)(const Answers& answers);
  // Whether it is asked after these answers; null = always.
  bool (*asked)(const Answers& answers) = nullptr;
};

// In the order in which they are asked: the units first, which the defaults of the others depend
// on.
std::span<const Question> questions();

// The question of that name; null if there is none.
const Question* find_question(std::string_view name);

// Whether a problem at this key of the case file is one of the answer to `question`.
bool is_about(const Question& question, std::string_view problem_key);

// The answer, or the default.
std::string answer_of(const Answers& answers, const Question& question);

// The case file: TOML with comments, one table after the other. Answers are taken as they are; what
// is wrong with them the reader of case files says (case_reader.hpp).
// Lines that are made of an answer named in `assumed` end in the comment "# assumed".
using AnswerNames = std::set<std::string, std::less<>>;
std::string case_text_of(const Answers& answers, const AnswerNames& assumed = {});

}  // namespace pulsewright::cases
