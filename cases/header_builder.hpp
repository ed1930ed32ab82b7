// From one header of a case to the network that is simulated.
//
// Pipes run with the gas: exhaust pipes from the valve outwards, intake runners from the entry to
// the valve. The port in the head is the first part of each primary's profile, so that a cylinder
// has one primary pipe from the valve to the merge. Collector (behind the divider, if any) and tail
// are one pipe too. Lengths of a header are measured to and from the crotch of a merge; its pipes
// meet somewhat behind it (models/boundary/merge_place.hpp), by which the tubes are longer and the
// collector is shorter. Directions at a merge: +x is the axis of the collector, with the gas; the
// tubes come from -x at the merge half angle, each at its collector position round the axis.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "cases/case_file.hpp"

namespace pulsewright::cases {

struct BuildOptions {
  double cell_size = 0;                    // m; 0 = that of the case
  std::optional<models::JunctionLaw> law;  // of every junction of the exhaust; none = as the case
  models::MergeCoupling coupling = models::MergeCoupling::fitted;  // likewise
  bool as_measured = false;  // the pipes meet at the crotch, as lengths are measured: for drawings
};

// Network of one header of the case. The case must come from the reader, which has checked it:
// a header that contradicts itself throws std::invalid_argument.
models::EngineSpecification build_engine(const CaseFile& case_file, const HeaderDesign& header,
                                         const BuildOptions& options = {});

// Number of grid cells of a network.
long cell_count(const models::EngineSpecification& engine);

std::vector<std::string> header_names(const CaseFile& case_file);

// The header of that name. Throws CaseError that names the nearest one.
const HeaderDesign& find_header(const CaseFile& case_file, std::string_view name);

// m2, of the port at the valve that stands at this end of a pipe.
double port_area(const models::EngineSpecification& engine, const models::PipeEnd& end);

}  // namespace pulsewright::cases
