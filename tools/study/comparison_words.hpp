// Words and numbers that describe a comparison, shared by the printed table and the page.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "tools/study/comparison.hpp"
#include "tools/study/display_units.hpp"

namespace pulsewright::tools {

class ComparisonWords {
 public:
  // Keeps the reference; the comparison must outlive it.
  ComparisonWords(const Comparison& comparison, UnitSystem system);

  const DisplayUnits& units() const { return units_; }
  // "-" for what is not a number.
  std::string number(double si, const DisplayUnit& unit, int digits) const;
  std::string signed_number(double si, const DisplayUnit& unit, int digits) const;
  static std::string rpm(double speed);
  int pressure_digits() const { return metric_ ? 1 : 2; }
  int torque_digits() const { return 1; }
  const std::string& name(std::size_t i) const { return comparison_.headers[i].name; }

  // "ahead", "behind" or "too close to call".
  static std::string_view verdict(Verdict verdict);
  // "+8.0 plus or minus 2.2 N m".
  std::string with_margin(const Difference& difference, const DisplayUnit& unit, int digits) const;
  // "grid 0.1, cycles 0.0, build 0.3, merge model 10.3, gas temperature 1.2"; the last three only
  // where they were computed.
  std::string contributions(const Margin& margin, const DisplayUnit& unit, int digits) const;
  // What can be said at single speeds: "at single speeds from +50.8 N m at 3000 rpm to ...".
  std::string single_speeds(const PairwiseComparison& pair) const;
  // What is wrong or remarkable with the points of a header, one sentence each.
  static std::vector<std::string> faults(const HeaderFigures& figures);
  std::vector<std::string> remarks(const HeaderFigures& figures) const;

  // Which header is ahead, in whole sentences, the most important first.
  std::vector<std::string> summary() const;
  static const std::vector<std::string>& cautions();

 private:
  std::string listed(const PairwiseComparison& pair) const;
  std::string largest_contribution() const;

  const Comparison& comparison_;
  DisplayUnits units_;
  bool metric_;
};

}  // namespace pulsewright::tools
