// Tables and JSON of what is heard, from levels that are given.
#include "tools/listen/sound_text.hpp"

#include <cmath>
#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include "tests/near.hpp"

namespace pulsewright::tests {

namespace {

// dB(A) 90, 100 and 80 at 3000, 3600 and 6000 rpm, the band; order 1 is loud at the first, order 2
// at the second.
tools::HeardHeaders three_levels() {
  models::ListeningSpecification spec;
  spec.microphone = Eigen::Vector3d(0.5, 0, 0);
  const models::Listening place(spec, {Eigen::Vector3d::Zero()}, {1.2041, 343.24});
  const models::OrderContent none(5), one{0, 0, std::sqrt(10.0), 0, 0},
      two{0, 0, 0, 0, std::sqrt(3.0)};
  tools::HeardHeaders heard;
  heard.band_from = 50;
  heard.band_to = 100;
  heard.trace_points = 720;
  heard.headers.push_back(
      {"a",
       place,
       models::ContentOverSpeed({{50, {none}}, {60, {none}}, {100, {none}}}),
       {{50, "", {90, 90}, one}, {60, "", {100, 100}, two}, {100, "", {80, 80}, none}}});
  return heard;
}

double band_level(const tools::HeardHeaders& heard) {
  return tools::sound_json(heard)["headers"][0]["band"]["level_dba"].get<double>();
}

}  // namespace

TEST_CASE("sound text: means over the band weigh speeds by their distance") {
  tools::HeardHeaders heard = three_levels();
  // Energies 10, 100 and 1 of 1e8: trapezoids (10 + 100) / 2 x 10 + (100 + 1) / 2 x 40 over 50
  // rev/s.
  CHECK(near(band_level(heard), 80 + 10 * std::log10((550 + 2020) / 50.0), 0, 0.006));
  const auto band = tools::sound_json(heard)["headers"][0]["band"];
  CHECK(band["points"] == 3);
  // |p|^2: 10 at a speed with a tenth of the weight, 3 at one with half of it.
  CHECK(band["strongest_orders"][0] == "2");
  CHECK(band["strongest_orders"][1] == "1");
  // A point that does not count leaves the two others, each with half.
  heard.headers[0].points[1].fault = "does not repeat";
  CHECK(near(band_level(heard), 80 + 10 * std::log10((10 + 1) / 2.0), 0, 0.006));
  heard.band_from = heard.band_to = 75;
  CHECK(tools::sound_json(heard)["headers"][0]["band"]["level_dba"].is_null());
}

}  // namespace pulsewright::tests
