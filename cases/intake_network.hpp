// The intake as pipes, junctions and ends.
//
// Runners draw from the atmosphere, each by itself, or from a plenum, which couples the cylinders:
// one state of the gas, junction law "plenum". The throttle before a plenum is an orifice between
// plenum and atmosphere (quasi-steady, without inertia); with barrels it is a pipe of their area
// together whose end in the plenum is narrowed to the throttle's effective area, so that plenum and
// barrels are a Helmholtz resonator. The barrels' own entry costs nothing beyond the throttle's
// rating. An air box is a volume of one state ahead of the throttle, or of the runners, with a tube
// to the outside or an opening. Not modelled: waves within plenum and air box, which are short
// against the waves; fuel in the manifold; the filter beyond its loss.
#pragma once

#include "cases/network_builder.hpp"

namespace pulsewright::cases {

// Adds the intake of all cylinders; nothing without cylinders.
void add_intake(NetworkBuilder& builder, const CaseFile& case_file);

}  // namespace pulsewright::cases
