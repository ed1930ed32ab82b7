// What the page draws of a header, and the valve events, from the case text in the results file.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

#include "cases/case_file.hpp"

namespace pulsewright::tools {

// Crank angles of the valves in deg and of the firing of each cylinder:
//   exhaust_opens, exhaust_closes, intake_opens, intake_closes   0..720, closing may exceed 720
//   firing   cylinder number -> deg of engine crank angle
nlohmann::json valve_events(const cases::CaseFile& case_file);

// The whole exhaust side of a header's network; null if the case has no header of that name.
//   pipes    every pipe: name; length (m); profile ([x, inside diameter] in m, x from its start);
//            port (m at its start that lie in the head); from, to (indices into nodes);
//            parts (name, from, to in m, tube as it is ordered or empty): what is cut from one tube
//   nodes    what pipes begin and end at: kind (cylinder, junction, open, closed, anechoic), with
//            the number of a cylinder and the name of a junction
//   paths    cylinder number and indices into pipes, from the valve outwards
//   groups   name, cylinders in firing order, place of each round the collector, interval_deg
//   faces    merges as seen from the flange, with the gas: name; tubes (label, diameter in m, clock
//            in deg from 12 o'clock, clockwise); cylinders in firing order and interval_deg;
//            walls (clocks in deg of a divider's two edges, or empty)
// Lengths are those of the case, without the variants' build error, measured to the crotch.
nlohmann::json header_drawing(const cases::CaseFile& case_file, const std::string& name);

}  // namespace pulsewright::tools
