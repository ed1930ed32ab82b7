// Measured over predicted, from curves that are given.
#include "tools/dyno/dyno_curves.hpp"

#include <cmath>
#include <doctest/doctest.h>

#include "cases/case_reader.hpp"
#include "tests/near.hpp"

using namespace pulsewright;
using namespace pulsewright::tools;
using pulsewright::tests::near;

namespace {

const std::vector<double> given_speeds{50, 60, 100};  // rev/s

MeasuredHeader measured_as(const std::string& header, const std::vector<double>& torque) {
  MeasuredHeader out;
  out.header = header;
  out.pulls = 3;
  out.channels["torque"] = {given_speeds, torque, {3, 3, 3}, 0.005, 3};
  return out;
}

std::vector<PredictedPoint> predicted_as(const std::vector<double>& torque) {
  std::vector<PredictedPoint> out;
  for (std::size_t s = 0; s < torque.size(); ++s) {
    out.push_back({given_speeds[s], {{"torque", torque[s]}}, nothing, nothing, ""});
  }
  return out;
}

}  // namespace

TEST_CASE("dyno curves: the mean difference weighs speeds by their distance") {
  auto case_file =
      cases::read_case_file(std::string(PULSEWRIGHT_SOURCE_DIR) + "/cases/single-cylinder.toml");
  case_file.run.band_from = 50;
  case_file.run.band_to = 100;
  const std::vector<MeasuredHeader> measured{measured_as("0.8 m", {40, 40, 40}),
                                             measured_as("1.2 m", {41, 44, 40})};
  Prediction prediction{{"0.8 m", predicted_as({42, 42, 42})},
                        {"1.2 m", predicted_as({44, 44, 45})}};
  const auto compared = [&] {
    return compare_measured(case_file, measured, prediction, {}, models::PowerCorrection::none)
        .differences.at(0);
  };
  const DynoDifference all = compared();
  CHECK(all.header == "1.2 m");
  REQUIRE(all.torque.size() == 3);
  // Trapezoids: (1 + 4) / 2 x 10 + (4 + 0) / 2 x 40 over 50 rev/s.
  CHECK(near(all.mean.measured, 2.1, 1e-12));
  CHECK(near(all.mean.predicted, (2 * 10 + 2.5 * 40) / 50, 1e-12));
  CHECK(std::isnan(all.mean.low));
  // What does not count is left out.
  prediction["0.8 m"][1].fault = "does not repeat";
  CHECK(near(compared().mean.measured, 0.5, 1e-12));
  // Nothing was measured in this band, though speeds lie round it.
  case_file.run.band_from = 70;
  case_file.run.band_to = 80;
  CHECK(std::isnan(compared().mean.measured));
}
