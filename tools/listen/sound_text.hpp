// What the headers sound like, as tables, JSON and comma-separated values.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

#include "tools/listen/heard_headers.hpp"
#include "tools/study/display_units.hpp"

namespace pulsewright::tools {

// Levels by speed, means over the band with the strongest orders, orders at the point nearest to
// `speed` (rev/s), and what the sound is not. 80 columns, as far as the names of headers allow.
// Means: of energy, from the points that count (tools/study/band.hpp).
std::string sound_text(const HeardHeaders& heard, double speed, UnitSystem system);

// Where the microphone stands and up to which frequency the sound goes, in a sentence each.
std::string listening_words(const HeardHeaders& heard, UnitSystem system);
// What the sound is not, and what to ask before fitting.
std::string sound_cautions();

// Where and up to what is heard; "headers": means over the band of the points that count, and by
// speed levels and orders in dB (order 1/2, 1, 3/2, ... up to most_orders). Numbers are rounded to
// 0.01 dB; null where there is no sound.
nlohmann::json sound_json(const HeardHeaders& heard);

// One row per header and speed: level in dB and dB(A), then the orders as above.
std::string sound_csv(const HeardHeaders& heard);

// Orders that tables, JSON and page show: 1/2 to this.
inline constexpr std::size_t most_orders = 24;

}  // namespace pulsewright::tools
