// An explicit network: pipes and junctions as the case lists them.
//
// The way of each cylinder's pulse is followed from the valve along the pipes' own direction. At a
// junction with several outgoing pipes it is the one that goes on straightest, of those that lead
// to an open end and are no balance pipe: one to a junction that other pipes enter, while its own
// has another way out that does not lead there. Of equal ones the first listed.
#pragma once

#include "cases/network_builder.hpp"

namespace pulsewright::cases {

// Adds the pipes, junctions and ends of the header to the builder. Throws std::invalid_argument for
// a header that names a junction or cylinder that is not there.
void build_network(NetworkBuilder& builder, const HeaderDesign& header,
                   const BuildOptions& options);

}  // namespace pulsewright::cases
