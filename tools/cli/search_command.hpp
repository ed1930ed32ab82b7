// What sweep, tolerance and tune share on the command line: options, the file and how it is
// resumed, progress, outputs.
#pragma once

#include <CLI/CLI.hpp>
#include <functional>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "cases/case_file.hpp"
#include "tools/cli/command.hpp"
#include "tools/search/search_task.hpp"
#include "tools/search/trial_history.hpp"
#include "tools/spread/process_group.hpp"

namespace pulsewright::tools {

struct SearchCommand {
  CommonOptions common;
  std::string case_file;
  std::string output;
  std::optional<std::string> header, cell_size, band, csv, report;
  std::vector<std::string> speeds;
  std::optional<unsigned> jobs;
  std::optional<int> seed;
  bool resume = false, overwrite = false;
};

// What a search comes to, in every form.
struct SearchFindings {
  nlohmann::json json;
  std::string text, csv;
  bool sound = true;  // false: points failed or do not count
};

void add_search_options(CLI::App& verb, SearchCommand& command, const std::string& output);

// Whether this process stores and prints: it is alone, or it coordinates the others.
bool coordinates(const ProcessGroup* process_group);

// The case, checked for what a search needs of it. Throws CaseError, UsageError.
cases::CaseFile case_for_search(const SearchCommand& command, const ProcessGroup* process_group);

// The options that all searches share, in SI.
SearchOptions search_options(const SearchCommand& command, const std::string& verb);

// Computes, stores, prints. `find` computes with the history that it gets. With a process group
// every process does so, with its part of the designs, and the coordinator stores and prints.
// check_places: by the coordinator, before anything is computed; throws UsageError for a place that
// the verb cannot write. Returns the exit code.
int run_search(const SearchCommand& command, const SearchTask& task, ProcessGroup* process_group,
               const std::function<SearchFindings(TrialHistory&)>& find,
               const std::function<void()>& check_places = {});

}  // namespace pulsewright::tools
