// Words and numbers that describe a comparison, shared by the printed table and the page.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "tools/study/comparison.hpp"
#include "tools/study/display_units.hpp"

namespace pulsewright::tools {

// "a", "a and b", "a, b and c".
std::string enumeration(const std::vector<std::string>& parts);

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
  // "over 4500 to 7000 rpm"; "at 6000 rpm" where the band is one speed.
  std::string over_band() const;

  // "+8.0 (+3.1 to +11.0) N m".
  std::string with_interval(const Difference& difference, const DisplayUnit& unit,
                            int digits) const;
  // "grid 0.1, cycles 0.0, between speeds 0.2, build 0.3, merge -3.1 to +0.4, gas +1.2"; the last
  // three only where they were computed.
  std::string contributions(const IntervalParts& parts, const DisplayUnit& unit, int digits) const;
  // What can be said at single speeds: "at single speeds from +50.8 N m at 3000 rpm to ...".
  std::string single_speeds(const PairwiseComparison& pair) const;
  // How the verdict reads with an edge of the band moved by a step.
  std::string with_other_bands(const PairwiseComparison& pair) const;
  // What each part makes of the difference: "of that length -5.3 (-6.1 to -4.5), kind -10.9 (-11.7
  // to -10.1), not split -0.2", in brackets how it depends on the order of the exchange; or why it
  // is not split; empty where that was not asked for.
  std::string split(const PairwiseComparison& pair) const;
  // "length", "tube", "collector and tail", "kind".
  static std::string_view part(cases::HeaderPart part);
  // What the parts are, for those who read the split.
  static const std::string& parts_explained();
  // What is wrong or remarkable with the points of a header, one sentence each.
  static std::vector<std::string> faults(const HeaderFigures& figures);
  std::vector<std::string> remarks(const HeaderFigures& figures) const;

  // Which header to build, in whole sentences, the most important first.
  std::vector<std::string> summary() const;
  // calibrated: what the engine was calibrated to, as the case says it; empty = it was not.
  static std::vector<std::string> cautions(const std::string& calibrated);

 private:
  std::string only_header() const;
  void provisional(std::vector<std::string>& sentences) const;
  void which_to_build(std::vector<std::string>& sentences) const;
  void others(std::vector<std::string>& sentences, std::size_t best) const;
  // On which headers there is no verdict, and what the intervals leave out.
  void not_judged(std::vector<std::string>& sentences) const;
  std::string behind(std::size_t header, std::size_t best) const;
  std::string where_from() const;
  std::string other_bands_of_all() const;
  std::string largest_contribution() const;

  const Comparison& comparison_;
  DisplayUnits units_;
  bool metric_;
  // In the order of the ranking: those of which every two have a verdict.
  std::vector<std::size_t> judged_;
};

}  // namespace pulsewright::tools
