// What `pulsewright new` asks, in the builder's words, and what is usual: sizes that go with the
// bore follow the bore that was answered.
#pragma once

#include <map>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "cases/case_error.hpp"

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
  // An answer of the usual form where the usual one is "none"; null = the usual one has it.
  std::string (*form)(const Answers& answers) = nullptr;
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
// The answer to the question of that name, which there must be.
std::string given(const Answers& answers, std::string_view name);

// An answer with what it leaves out, as the default has it: "4.030" is "4.030 in" where the default
// is in inches, "1-3/4" is "1-3/4 in OD, 16 ga", "74" is "74 deg BBDC". The same text if it leaves
// nothing out or is no quantity.
std::string completed_answer(const Answers& answers, const Question& question,
                             std::string_view answer);

// What can be answered to a question that the case file has no key for; empty for others.
std::vector<std::string> choices_of(const Question& question);

// The problem with the words of the questions in place of keys of the case file, and the default as
// the example.
Problem in_words(const Problem& problem, const Question& question, const Answers& answers);

// Parts of the answers that questions and case file depend on.
bool is_none(std::string_view text);
std::vector<std::string> numbers_in(std::string_view text);  // 1-8-4-3, "1, 8, 4, 3"
std::vector<std::string> parts_of(std::string_view text);    // between commas, without spaces
bool has_collector(const Answers& answers);
bool has_tail(const Answers& answers);
bool has_solid_lifters(const Answers& answers);
bool has_events(const Answers& answers);  // the card gives opening and closing
bool has_plenum(const Answers& answers);
bool is_with_secondaries(std::string_view kind);

}  // namespace pulsewright::cases
