// The problems found in one file so far, remarks on what may be meant but hardly is, and where each
// of the keys stands.
#pragma once

#include <map>
#include <set>
#include <string>
#include <vector>

#include "cases/assumption.hpp"
#include "cases/case_error.hpp"
#include "cases/quantity_text.hpp"

namespace pulsewright::cases {

class Problems {
 public:
  explicit Problems(std::string file, QuantityText shown = {})
      : file_(std::move(file)), shown_(shown) {}

  // Notes where a key was read and how its value is written.
  void located(const std::string& key, int line, std::string value);
  // Adds a problem at a key that was located before (or at the nearest table that was).
  void add(const std::string& key, std::string message, std::string advice);
  void add(Problem problem);
  // What the values of a table say together, each right by itself.
  void judge(const std::string& table, Problem problem);
  // A value that cannot be used as it stands in the table of that name: what the values of it say
  // together most likely follows from that, and is taken back. Noted before the problem itself.
  void wrong_in(const std::string& table);
  // Of the top of the file ("") nothing follows.
  bool is_wrong(const std::string& table) const {
    return !table.empty() && wrong_tables_.contains(table);
  }
  // Takes back that a key is missing: it is there under a name that was mistyped.
  void not_missing(const std::string& key);
  // What the author is asked about, though it can be simulated as it stands.
  void remark(const std::string& key, std::string message, std::string advice);
  // All of them, in the order of their lines.
  std::vector<Problem> remarks() const;
  // What the file leaves out at `key` and the reader takes instead: see Assumption.
  void assume(const std::string& key, Assumption assumption);
  const std::vector<Assumption>& assumptions() const { return assumptions_; }
  // Throws CaseError if there is any problem.
  void stop_if_any() const;
  bool any() const { return !noted_.empty(); }
  const std::string& file() const { return file_; }
  // How messages show quantities.
  const QuantityText& shown() const { return shown_; }
  int line_of(const std::string& key) const;
  // Whether the file has the key, of those that were read.
  bool has(const std::string& key) const { return places_.count(key) > 0; }

 private:
  Problem at(const std::string& key, std::string message, std::string advice) const;
  struct Place {
    int line = 0;
    std::string value;
  };
  std::string file_;
  QuantityText shown_;
  std::map<std::string, Place> places_;
  std::set<std::string> wrong_tables_;
  struct Noted {
    Problem problem;
    std::string judged;  // table whose values it is about, "" of a single one
  };
  std::vector<Noted> noted_;
  std::vector<Problem> remarks_;
  std::vector<Assumption> assumptions_;
};

}  // namespace pulsewright::cases
