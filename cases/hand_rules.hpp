// Rules by which header shops size tubes: a second opinion on a case, not part of the simulation.
//
// Tube size: the torque peak lies where the gas runs through the tube at about 245 ft/s in the mean
// over the cycle, rpm = 88,200 A / V with the bore's area A in square inches and the displacement V
// of one cylinder in cubic inches (Car Craft, "Header Basics", J. McFarland; year not known to us,
// so not in references.bib). Mean speeds of 240 to 260 ft/s are usual at the torque peak.
//
// Length: P = 850 (180 + EVO) / rpm - 3, P inches from the valve to the merge, EVO in deg before
// bottom dead centre; bore for that length 2.1 sqrt(V / (25 (P + 3))) inches, V in cm3 (Bell
// (1981), restated by others; its range is from memory, four-strokes with one exhaust pipe per
// cylinder).
#pragma once

namespace pulsewright::cases {

// Speed in rev/s at which the torque peaks with tubes of this bore area (m2); cylinder_volume: m3
// swept by one cylinder.
double torque_peak_of_area(double area, double cylinder_volume);

// Speed in rev/s to which a length (m, valve to merge) is tuned. exhaust_opens_deg: deg BBDC, at
// the seat.
double speed_of_length(double length, double exhaust_opens_deg);

// Bore (m) that goes with a length (m, valve to merge).
double bore_of_length(double length, double cylinder_volume);

}  // namespace pulsewright::cases
