// The designs that a search asks for, in the order in which it first asks for them: computed once,
// kept in the file, and taken from there when the search is resumed.
//
// A search that is resumed asks for the same designs again, in the same order, and goes on where
// the first one had to compute; so the file in the end is the same as without the interruption.
#pragma once

#include <atomic>
#include <chrono>
#include <exception>
#include <functional>
#include <map>
#include <string>
#include <vector>

#include "tools/search/search_record.hpp"
#include "tools/search/trial_source.hpp"

namespace pulsewright::tools {

// The search was stopped before all was computed; what was is in the file.
class SearchStopped : public std::exception {
 public:
  const char* what() const noexcept override { return "the search was stopped"; }
};

class TrialHistory {
 public:
  // What is known of the progress of a list: points done and points in all, of the list under way.
  using Progress = std::function<void(std::size_t done, std::size_t all)>;

  // record: the plan, and the designs of an earlier run. path: where it is kept; empty = nowhere.
  TrialHistory(SearchRecord record, TrialSource& source, std::string path,
               const std::atomic<bool>& stop, Progress progress = {});

  // The designs, one per key, all computed; each stays where it is. Throws SearchStopped,
  // StoreError and what the source throws.
  std::vector<const Trial*> trials(const std::vector<TrialKey>& keys);
  // Designs asked for from now on may start from this one, too: a search names the same ones at the
  // same places of its course, also when it is resumed.
  void add_start(const TrialKey& key) { source_.add_start(key); }

  // In the order of the file: those asked for, then those of an earlier run that were not.
  SearchRecord record() const;
  // Writes it with what came of the search.
  void finish(const std::string& findings);

 private:
  void save() const;

  SearchPlan plan_;
  std::string date_, findings_;
  TrialSource& source_;
  std::string path_;
  const std::atomic<bool>& stop_;
  Progress progress_;
  std::map<TrialKey, Trial> known_;
  std::vector<TrialKey> order_;        // asked for
  std::vector<TrialKey> earlier_;      // of an earlier run, in its order
  std::map<TrialKey, bool> is_asked_;  // of those known
  std::chrono::steady_clock::time_point saved_;
};

}  // namespace pulsewright::tools
