// Headers that the hand rules give for a case, and the case file with them.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "cases/case_file.hpp"
#include "models/sizing/engine_sizes.hpp"

namespace pulsewright::tools {

// Figures that may be wanted otherwise than the case has them.
struct SizingWishes {
  std::optional<double> power;        // W; else by the flow of the intake ports
  std::optional<double> torque_peak;  // rev/s; else the middle of the band
};

struct HeaderProposal {
  models::SizingInput input;
  double intake_flow = 0;  // m3/s of one intake port at 28 inH2O, in the case
  models::EngineSizes sizes;
  cases::CaseFile case_file;   // with the proposed headers alone; its text is the case file
  bool without_parts = false;  // headers of the case had parts behind them, these have none
  bool without_named = false;  // the case had [[dyno]] or [tune], which name its own headers
};

// Equal-length; where the gaps of the banks are uneven stepped-length and, where crossing makes
// them even, 180-degree; 4-2-1 where a bank has four cylinders. Lengths in whole quarters of an
// inch or 5 mm. Throws std::invalid_argument for a case without an engine or without a band, or
// with figures that the rules do not take, and cases::CaseError where the case cannot have these
// headers (an engine whose keys do not fit them).
HeaderProposal propose_headers(const cases::CaseFile& case_file, const SizingWishes& wishes,
                               bool inches);

// A length as a case file takes it, to a quarter of an inch or to 5 mm: "30-3/4 in", "780 mm".
std::string handy_length(double metres, bool inches);

}  // namespace pulsewright::tools
