// Over 400 lines because the questions are asked in two ways, on a terminal and from a file of
// answers.
#include "tools/cli/new_command.hpp"

#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <cstring>
#include <fmt/format.h>
#include <fstream>
#include <iostream>
#include <map>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <unistd.h>
#include <utility>
#include <vector>

#include "cases/case_error.hpp"
#include "cases/case_reader.hpp"
#include "cases/counted.hpp"
#include "cases/nearest_key.hpp"
#include "cases/new_case.hpp"
#include "cases/visible_text.hpp"
#include "cases/wrapped_text.hpp"
#include "tools/cli/command.hpp"
#include "tools/cli/messages.hpp"
#include "tools/cli/output_place.hpp"

namespace pulsewright::tools {

namespace {

using cases::Answers;
using cases::Question;

struct NewOptions {
  CommonOptions common;
  bool units_given = false;
  std::string case_file;
  std::string answers_file;
  std::string questions_file;  // "" = the standard output
  bool list = false;
};

std::string trimmed(std::string_view text) {
  const std::size_t begin = text.find_first_not_of(" \t\r");
  if (begin == std::string_view::npos) return "";
  return std::string(text.substr(begin, text.find_last_not_of(" \t\r") + 1 - begin));
}

bool is_asked(const Question& question, const Answers& answers) {
  return question.asked == nullptr || question.asked(answers);
}

cases::MessageUnits units_of(const Answers& answers) {
  return cases::answer_of(answers, *cases::find_question("units")) == "metric"
             ? cases::MessageUnits::metric
             : cases::MessageUnits::inch;
}

// What stands against the answers, none if they make a case.
std::vector<cases::Problem> problems_of(const Answers& answers, const std::string& file) {
  for (const Question& question : cases::questions()) {
    const auto choices = cases::choices_of(question);
    const std::string answer = cases::answer_of(answers, question);
    if (choices.empty() || std::find(choices.begin(), choices.end(), answer) != choices.end()) {
      continue;
    }
    return {{file, 0, std::string(question.name), answer, "is none of the answers",
             fmt::format("{}", fmt::join(choices, ", ")), ""}};
  }
  try {
    cases::read_case_text(cases::case_text_of(answers), file, units_of(answers));
    return {};
  } catch (const cases::CaseError& error) {
    return error.problems();
  }
}

// The problem of an answer, if one of the problems is.
std::optional<cases::Problem> problem_with(const Question& question,
                                           const std::vector<cases::Problem>& problems) {
  for (const cases::Problem& problem : problems) {
    if (problem.key == question.name || cases::is_about(question, problem.key)) return problem;
  }
  return std::nullopt;
}

// A file of answers: "name = answer" in a line, comments after #.
class AnswersFile {
 public:
  // answers: those that need no line; one of the file counts more.
  AnswersFile(const std::string& path, Answers answers)
      : path_(path), answers_(std::move(answers)) {
    std::ifstream in(path);
    if (!in) {
      throw UsageError(fmt::format("{}: {}", cases::shortened(path), std::strerror(errno)));
    }
    std::string text;
    for (int line = 1; std::getline(in, text); ++line) read_line(text, line);
    if (in.bad()) throw UsageError(fmt::format("{}: cannot be read", cases::shortened(path)));
    refuse_if_any();
    for (const Question& question : cases::questions()) {
      const auto found = lines_.find(std::string(question.name));
      if (found != lines_.end()) complete(found->first);
    }
  }

  const Answers& answers() const { return answers_; }

  // Answers to what is not asked after the others; they change nothing.
  std::vector<std::string> left_aside() const {
    std::vector<std::string> names;
    for (const auto& [name, line] : lines_) {
      if (!is_asked(*cases::find_question(name), answers_)) {
        names.push_back(fmt::format("{} (line {})", name, line));
      }
    }
    return names;
  }

  // Answers that left out what the default of their question has, units most of all: as they are
  // taken.
  const std::vector<std::string>& completed() const { return completed_; }

  // Throws CaseError with the lines of this file if the answers make no case.
  void check() {
    for (cases::Problem problem : problems_of(answers_, path_)) {
      problem.line = 0;
      for (const auto& [name, line] : lines_) {
        const Question& question = *cases::find_question(name);
        if (problem.key != name && !cases::is_about(question, problem.key)) continue;
        problem = cases::in_words(problem, question, answers_);
        problem.key = name;
        problem.line = line;
        break;
      }
      // An answer that stands in every header is wrong once.
      const bool known =
          std::any_of(problems_.begin(), problems_.end(), [&](const cases::Problem& earlier) {
            return problem.line > 0 && earlier.line == problem.line;
          });
      if (!known) problems_.push_back(problem);
    }
    // Defaults that follow from a wrong answer are wrong with it.
    const auto answered = [](const cases::Problem& problem) { return problem.line > 0; };
    if (std::any_of(problems_.begin(), problems_.end(), answered)) {
      std::erase_if(problems_, [&](const cases::Problem& problem) { return !answered(problem); });
    }
    refuse_if_any();
  }

 private:
  void complete(const std::string& name) {
    const Question& question = *cases::find_question(name);
    const std::string before = answers_.at(name);
    answers_[name] = cases::completed_answer(answers_, question, before);
    if (answers_[name] == before) return;
    completed_.push_back(fmt::format("{} {}", name, answers_[name]));
  }

  void refuse(int line, const std::string& key, const std::string& message,
              const std::string& advice) {
    problems_.push_back({path_, line, key, "", message, "", advice});
  }

  void refuse_if_any() const {
    if (!problems_.empty()) throw cases::CaseError(problems_);
  }

  void read_line(const std::string& text, int line) {
    const std::string content = trimmed(text);
    if (content.empty() || content.front() == '#') return;
    const std::size_t equals = content.find('=');
    const std::string name = trimmed(content.substr(0, equals));
    if (equals == std::string::npos) {
      return refuse(line, name, "is no answer",
                    "write name = answer, for example: bore = 4.030 in");
    }
    if (!cases::find_question(name)) {
      std::vector<std::string> known;
      for (const Question& question : cases::questions()) known.emplace_back(question.name);
      const std::string nearest = cases::nearest_key(name, known);
      return refuse(line, name, "is no question",
                    nearest.empty() ? "pulsewright new --questions lists them"
                                    : fmt::format("did you mean {}?", nearest));
    }
    if (lines_.count(name) > 0) return refuse(line, name, "is answered twice", "keep one of them");
    // A comment begins behind a space, so that it cannot be part of an answer.
    std::string answer = content.substr(equals + 1);
    answer = trimmed(name == "title" ? answer : answer.substr(0, answer.find(" #")));
    lines_[name] = line;
    answers_[name] = answer;
  }

  std::string path_;
  Answers answers_;
  std::map<std::string, int> lines_;
  std::vector<std::string> completed_;
  std::vector<cases::Problem> problems_;
};

// The questions with what is usual, as a file of answers to fill in.
std::string questions_text(const Answers& answers) {
  std::string text =
      "# Answers for pulsewright new --answers. A line left out takes what stands\n"
      "# here; lines with # in front do not belong to these answers.\n";
  for (const Question& question : cases::questions()) {
    text += fmt::format("\n# {}\n#   {}\n{}{} = {}\n", question.words, question.help,
                        is_asked(question, answers) ? "" : "# ", question.name,
                        cases::answer_of(answers, question));
  }
  return text;
}

nlohmann::json questions_json(const Answers& answers) {
  auto list = nlohmann::json::array();
  for (const Question& question : cases::questions()) {
    list.push_back({{"name", question.name},
                    {"key", question.key},
                    {"question", question.words},
                    {"help", question.help},
                    {"usual", question.usual(answers)}});
  }
  return list;
}

// One line of the standard input; none at its end.
std::optional<std::string> asked_for(const Question& question, const std::string& usual) {
  fmt::print("{}\n{}\n[{}] > ", question.words, cases::wrapped(question.help, 2), usual);
  std::fflush(stdout);
  std::string line;
  if (!std::getline(std::cin, line)) return std::nullopt;
  return trimmed(line);
}

// Asks one question until its answer can be read. False at the end of the input.
bool ask(const Question& question, Answers& answers, const std::string& file) {
  const std::string usual = cases::answer_of(answers, question);
  while (true) {
    const auto answer = asked_for(question, cases::visible(usual));
    if (!answer) return false;
    const std::string whole =
        answer->empty() ? usual : cases::completed_answer(answers, question, *answer);
    if (!answer->empty() && whole != *answer) {
      fmt::print("  taken as {}\n", cases::visible(whole));
    }
    answers[std::string(question.name)] = whole;
    const auto problem = problem_with(question, problems_of(answers, file));
    if (!problem) return true;
    const cases::Problem words = cases::in_words(*problem, question, answers);
    std::string said = fmt::format("{}, {}: {}", question.words, whole, words.message);
    if (!words.allowed.empty()) said += "; allowed: " + words.allowed;
    if (!words.advice.empty()) said += "; " + words.advice;
    fmt::print("{}\n", cases::wrapped(cases::visible(said), 2));
    answers.erase(std::string(question.name));
  }
}

// What was answered so far, as a file that --answers takes.
std::string answers_text(const Answers& answers) {
  std::string text;
  for (const Question& question : cases::questions()) {
    const auto found = answers.find(question.name);
    if (found != answers.end()) text += fmt::format("{} = {}\n", question.name, found->second);
  }
  return text;
}

// answers: what needs no question.
Answers ask_all(const std::string& file, Answers answers) {
  fmt::print(
      "An answer left empty takes what stands in brackets. Quantities with their unit:\n"
      "4.030 in, 102 mm, 3-1/2 in. Ctrl-D stops and keeps the answers.\n\n");
  for (const Question& question : cases::questions()) {
    if (!is_asked(question, answers) || answers.count(question.name) > 0) continue;
    if (ask(question, answers, file)) continue;
    const std::string kept = file + ".answers";
    refuse_existing("new", kept);
    write_new(kept, answers_text(answers));
    throw UsageError(fmt::format(
        "new: stopped; the answers so far stand in {0}; go on with: pulsewright new {1} "
        "--answers {0}",
        cases::shortened(kept), cases::shortened(file)));
  }
  // Answers that do not fit each other: those that the problems are about once more.
  for (auto problems = problems_of(answers, file); !problems.empty();
       problems = problems_of(answers, file)) {
    bool again = false;
    for (const Question& question : cases::questions()) {
      const auto problem = problem_with(question, problems);
      if (!problem || !is_asked(question, answers)) continue;
      cases::Problem words = cases::in_words(*problem, question, answers);
      words.key = question.words;
      fmt::print("\n{}\n", cases::wrapped(cases::to_text(words), 0));
      if (!ask(question, answers, file)) throw UsageError("new: stopped; nothing was written");
      again = true;
      break;
    }
    if (!again) throw cases::CaseError(problems);
  }
  return answers;
}

void list_questions(const NewOptions& options, const Answers& answers) {
  if (!options.case_file.empty()) {
    throw UsageError(
        fmt::format("new: --questions writes no case, and {} is to be one; write the questions "
                    "first, fill them "
                    "in and name them with --answers",
                    cases::shortened(options.case_file)));
  }
  const std::string text =
      options.common.json ? json_text(questions_json(answers)) + "\n" : questions_text(answers);
  if (options.questions_file.empty()) {
    fmt::print("{}", text);
    return;
  }
  refuse_existing("new", options.questions_file);
  write_new(options.questions_file, text);
  if (options.common.quiet) return;
  fmt::print(
      "{0} is written: {1} with what is usual. Fill it in, then:\n  pulsewright new my-engine.toml "
      "--answers {0}\n",
      cases::shortened(options.questions_file),
      cases::counted(cases::questions().size(), "question"));
}

void make_new(const NewOptions& options) {
  Answers answers;
  if (options.units_given) {
    answers["units"] = options.common.units == UnitSystem::inch ? "inch" : "metric";
  }
  if (options.list) {
    list_questions(options, answers);
    return;
  }
  if (options.case_file.empty()) {
    throw UsageError("new: names no file to write; for example: pulsewright new my-engine.toml");
  }
  refuse_existing("new", options.case_file);
  if (!options.answers_file.empty()) {
    AnswersFile file(options.answers_file, answers);
    file.check();
    answers = file.answers();
    const auto aside = file.left_aside();
    if (!file.completed().empty() && !options.common.quiet) {
      print_message(
          cases::wrapped(
              fmt::format("{}: units and the like that were left out are those of the defaults: {}",
                          cases::shortened(options.answers_file),
                          cases::visible(fmt::format("{}", fmt::join(file.completed(), ", ")))),
              2) +
          "\n");
    }
    if (!aside.empty() && !options.common.quiet) {
      print_message(fmt::format("{}: not needed with the other answers: {}\n",
                                cases::shortened(options.answers_file), fmt::join(aside, ", ")));
    }
  } else if (::isatty(STDIN_FILENO) != 0) {
    answers = ask_all(options.case_file, answers);
  } else {
    throw UsageError(
        "new: the standard input is no terminal; write the answers to a file and name it with "
        "--answers (pulsewright new --questions answers.txt writes one to fill in)");
  }
  write_new(options.case_file, cases::case_text_of(answers));
  if (options.common.json) {
    fmt::print("{}\n", json_text({{"case", options.case_file}, {"answers", answers}}));
    return;
  }
  if (options.common.quiet) return;
  const std::string file = cases::shortened(options.case_file);
  fmt::print(
      "{0} is written. What it implies, and what was assumed:\n  pulsewright check {0}\n"
      "Then:\n  pulsewright compare {0} -o results.h5 --report results.html\n",
      file);
}

}  // namespace

void add_new_command(CLI::App& app) {
  auto options = std::make_shared<NewOptions>();
  CLI::App* verb = app.add_subcommand(
      "new", "Ask for what a case needs and write its file; never overwrites one");
  verb->add_option("case", options->case_file, "Case file to write (TOML)")->type_name("FILE");
  verb->add_option("--answers", options->answers_file,
                   "Take the answers from a file, one 'name = answer' in a line")
      ->type_name("FILE");
  verb->add_option("--questions", options->questions_file,
                   "Write the questions as such a file to fill in; without FILE print them")
      ->type_name("FILE")
      ->expected(0, 1);
  add_common_options(*verb, options->common);
  verb->footer("Example: pulsewright new my-engine.toml");
  verb->callback([options, verb] {
    options->units_given = verb->count("--units") > 0;
    options->list = verb->count("--questions") > 0;
    make_new(*options);
  });
}

}  // namespace pulsewright::tools
