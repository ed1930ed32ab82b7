// An explicit network: pipes and junctions as the case lists them.
//
// The way of each cylinder's pulse is followed from the valve along the pipes' own direction; at a
// junction with several outgoing pipes the first one listed is taken.
#pragma once

#include "cases/network_builder.hpp"

namespace pulsewright::cases {

// Adds the pipes, junctions and ends of the header to the builder. Throws std::invalid_argument for
// a header that names a junction or cylinder that is not there.
void build_network(NetworkBuilder& builder, const HeaderDesign& header,
                   const BuildOptions& options);

}  // namespace pulsewright::cases
