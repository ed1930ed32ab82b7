// A case from a few figures of an engine, for a first look at its header.
//
// What is not given has the default that `pulsewright new` proposes; sizes that go with the bore
// (valves, lifts, ports, runners) are scaled with it, and with the flow of the heads where that
// asks for more. The text of the case marks every such line as assumed.
#pragma once

#include <optional>
#include <string>
#include <utility>

#include "cases/case_file.hpp"

namespace pulsewright::tools {

// SI units; none = not known.
struct EngineFacts {
  std::optional<double> displacement;  // m3, all cylinders
  std::optional<double> bore, stroke;  // m
  std::optional<int> cylinders;
  std::optional<std::string> firing_order, left_bank;  // as `new` takes them
  std::optional<std::pair<double, double>> band;       // rev/s
  std::optional<double> head_flow;                     // m3/s of one intake port at 28 inH2O
  std::optional<double> power;                         // W of the engine, expected
  std::optional<double> exhaust_opens_deg;             // deg BBDC, as advertised
  bool inches = false;                                 // units of the text
};

// The case, read from its text (CaseFile::text). Throws cases::CaseError for figures that make
// none, and std::invalid_argument for figures that contradict each other, a number of cylinders
// without a usual firing order, or an exhaust opening that no usual cam has.
cases::CaseFile assumed_case(const EngineFacts& facts, const std::string& file_name);

}  // namespace pulsewright::tools
