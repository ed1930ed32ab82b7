// Tubes, lengths and collectors that the hand rules ask for, from a few figures of an engine.
//
// In: displacement, speeds, exhaust opening, power. Out: what each rule says, a table of stock
// tubes, and the sizes that a header begins with. Nothing is simulated.
#pragma once

#include <vector>

#include "models/sizing/hand_rules.hpp"
#include "models/sizing/tube_stock.hpp"

namespace pulsewright::models {

struct SizingInput {
  int cylinders = 0;
  double cylinder_volume = 0;         // m3 swept by one
  double band_from = 0, band_to = 0;  // rev/s, in which the engine is to pull
  double torque_peak = 0;             // rev/s, wanted
  double exhaust_opens_deg = 0;       // deg BBDC, as advertised
  double exhaust_period_deg = 0;      // deg in which the exhaust valve is open, likewise
  double power = 0;                   // W of the engine, expected
  int tubes_of_collector = 1;         // of the collector with most of them
};

// What one rule asks for; least = most for a rule that gives one number.
struct Wanted {
  HandRule rule;
  Range value;       // m
  bool used = true;  // in the choice; else shown for comparison
};

struct StockRow {
  const StockTube* tube = nullptr;
  double gas_speed = 0;    // m/s, mean over the exhaust stroke at the wanted torque peak
  double torque_peak = 0;  // rev/s, of the mean-velocity rule
  bool in_range = false;   // gas speed in the range of that rule
};

struct EngineSizes {
  std::vector<StockRow> stock;  // tubes about the chosen one
  std::vector<Wanted> bores;    // of a primary, inside
  const StockTube* primary = nullptr;
  // From the valve to the merge by the tuned length, for the upper, middle and lower speed, m.
  double shortest = 0, middle = 0, longest = 0;
  double period_length = 0;  // m, by the exhaust period at the middle speed, k = 1
  const StockTube* secondary = nullptr;
  double paired_secondary = 0;  // m, length of the secondaries of a 4-2-1 header; 0 = no room
  std::vector<Wanted> collector_bores;   // empty without a collector
  const StockTube* collector = nullptr;  // null without one
  Range merge_neck;                      // m, inside
  double collector_length = 0;           // m
  double needed_intake_flow = 0;         // m3/s at 28 inH2O of one port, for the power
};

// Throws std::invalid_argument for figures that are not positive, a band that does not rise, or a
// band whose tuned length is none.
EngineSizes engine_sizes(const SizingInput& input);

// Mean speed of sound in a primary, m/s, that the rule of the exhaust period is evaluated with
// (check by simulation: 550 to 650; common practice, no source).
inline constexpr double usual_sound_speed = 600;

}  // namespace pulsewright::models
