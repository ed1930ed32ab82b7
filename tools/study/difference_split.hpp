// How much of the difference between two headers each of their parts makes
// (cases/mixed_header.hpp): its length, its tube, its collector and tail, its kind.
//
// One header is changed into the other part by part, in the order of the parts and in the opposite
// order; the designs on the way are run on the coarse grid at the speeds of the band. A part's
// share is the mean of what its exchange changes in the two orders: so the shares add up, and they
// change their signs, and nothing else, when the two headers change places. What the two orders
// differ by is the interaction of the parts. The mean over all orders would be the value of Shapley
// (1953); two of them halve the runs or more, and
// differ from it only where three parts or more interact.
//
// Taken are the speeds at which both headers and all designs on the way count. What is then left of
// the difference, which is one of the production grid at all speeds at which both headers count, is
// not split: it stands apart. Where headers differ in one part alone it makes the whole difference,
// and nothing is run.
#pragma once

#include <string>
#include <vector>

#include "cases/case_file.hpp"
#include "cases/mixed_header.hpp"
#include "tools/study/study.hpp"
#include "tools/study/study_results.hpp"

namespace pulsewright::tools {

// N m of the mean over the band, of one header less the other.
struct PartShare {
  cases::HeaderPart part = cases::HeaderPart::kind;
  double torque = 0;                 // mean of the two orders
  double forward = 0, backward = 0;  // exchanged in the order of the parts, and in the opposite one
  double low() const;
  double high() const;
};

struct DifferenceSplit {
  std::vector<PartShare> shares;  // of the parts in which the two headers differ, in their order
  double rest = 0;                // N m, not split
  // At single speeds, on the coarse grid where there are several shares: N m by share.
  struct AtSpeed {
    double speed = 0;  // rev/s
    std::vector<double> torque;
  };
  std::vector<AtSpeed> speeds;
  // Why there are no shares, although the headers differ; empty where there are some.
  std::string obstacle;
  bool not_run = false;  // the obstacle is that the designs on the way were not run

  // Of the other header less the one.
  DifferenceSplit reversed() const;
};

// The designs between two headers of a case that a split needs; none where they differ in one part
// or less, or where one cannot be. one, other: places of the headers in the study, which decide
// whose kind a design has on paper where both are of one kind.
std::vector<Companion> companions_of(const cases::CaseFile& case_file,
                                     const cases::HeaderDesign& one, std::size_t one_place,
                                     const cases::HeaderDesign& other, std::size_t other_place);

// The companions that the runs of a results file are of.
std::vector<Companion> companions_in(const StudyPlan& plan);

// Splits `difference`, the mean over the band of the torque of one header less that of the other.
// one, other: indices into results.headers(). case_file: that of the results.
DifferenceSplit split_of(const StudyResults& results, const cases::CaseFile& case_file,
                         std::size_t one, std::size_t other, double difference);

}  // namespace pulsewright::tools
