#include "tools/dyno/what_if.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <stdexcept>

#include "cases/header_builder.hpp"
#include "cases/weather.hpp"
#include "tools/dyno/measured_curve.hpp"
#include "tools/study/band.hpp"
#include "tools/study/run_curves.hpp"

namespace pulsewright::tools {

namespace {

using models::PowerCorrection;

constexpr double length_part = 0.1;  // by which all primaries are shortened and lengthened
constexpr std::size_t most_band_speeds = 7;
constexpr std::array length_steps{-1, 0, 1};

std::vector<double> band_speeds(const cases::CaseFile& case_file) {
  std::vector<double> within;
  for (const double speed : case_file.run.speeds) {
    if (in_band(speed, case_file.run.band_from, case_file.run.band_to)) within.push_back(speed);
  }
  if (within.empty()) {
    throw std::invalid_argument("conditions: the case has no speed within its band; give --speeds");
  }
  if (within.size() <= most_band_speeds) return within;
  std::vector<double> out;
  for (std::size_t i = 0; i < most_band_speeds; ++i) {
    out.push_back(within[i * (within.size() - 1) / (most_band_speeds - 1)]);
  }
  return out;
}

double mean_length(const cases::HeaderDesign& header) {
  double sum = 0;
  for (const auto& [cylinder, length] : header.primary_length) sum += length;
  return header.primary_length.empty() ? 0
                                       : sum / static_cast<double>(header.primary_length.size());
}

// Torque corrected to a standard is the same in every air: the observed goes as 1 / factor.
double standard_change(PowerCorrection standard, const models::TestAir& from,
                       const models::TestAir& to) {
  return correction_factor(standard, from) / correction_factor(standard, to) - 1;
}

class WhatIfRuns {
 public:
  WhatIfRuns(const cases::CaseFile& case_file, const std::vector<Change>& changes,
             const WhatIfOptions& options)
      : case_(case_file), options_(options), header_(find_header(case_file, options.header)) {
    out_.title = case_file.title;
    out_.header = header_.name;
    out_.speeds = options.speeds.empty() ? band_speeds(case_file) : options.speeds;
    out_.cell_size =
        options.cell_size > 0 ? options.cell_size : coarse_grid_ratio * case_file.run.cell_size;
    out_.length = mean_length(header_);
    out_.length_step = length_part * out_.length;
    add(Change{"as it is", {}, false});
    for (const Change& change : changes) add(change);
  }

  WhatIf run() {
    std::vector<CurvePoint> points;
    for (const Variation& v : variations_) {
      for (const auto& engine : v.engines) {
        for (const double speed : out_.speeds) {
          points.push_back(
              {&engine, speed, difference_settings(v.case_file.run.settings), nullptr});
        }
      }
    }
    if (options_.begin) options_.begin(points.size());
    const auto outcomes = run_curves(points, options_.jobs, options_.keep_going, options_.run_done);
    std::size_t next = 0;
    for (Variation& v : variations_) take(v, outcomes, next);
    out_.base = variations_.front().outcome;
    for (std::size_t i = 1; i < variations_.size(); ++i) {
      judge(variations_[i].outcome);
      out_.changes.push_back(variations_[i].outcome);
    }
    return out_;
  }

 private:
  struct Variation {
    cases::CaseFile case_file;
    std::vector<models::EngineSpecification> engines;  // by length; the one as built alone
    ChangeOutcome outcome;
  };

  void add(const Change& change) {
    Variation v;
    v.case_file = cases::read_case_text(case_.text, case_.file_name, cases::MessageUnits::metric,
                                        change.overrides);
    v.outcome.words = change.words;
    v.outcome.fuel = change.fuel;
    v.outcome.air = test_air(v.case_file);
    cases::BuildOptions build;
    build.cell_size = out_.cell_size;
    const cases::HeaderDesign& header = find_header(v.case_file, header_.name);
    try {
      for (const int step : length_steps) {
        cases::HeaderDesign design = header;
        for (auto& [cylinder, length] : design.primary_length) length += step * out_.length_step;
        v.engines.push_back(build_engine(v.case_file, design, build));
        if (out_.length == 0) break;
      }
    } catch (const std::invalid_argument& error) {  // such as a step of the tube beyond its end
      v.engines = {build_engine(v.case_file, header, build)};
      v.outcome.no_best =
          fmt::format("is not known: the primaries cannot be made shorter: {}", error.what());
    }
    if (out_.length == 0) {
      v.outcome.no_best = "is not known: a network has no primaries that are lengths alone";
    }
    variations_.push_back(std::move(v));
  }

  // The results of a variation; `next`: its first outcome, moved on.
  void take(Variation& v, const std::vector<CurveOutcome>& outcomes, std::size_t& next) {
    const auto weights = band_weights(out_.speeds, case_.run.band_from, case_.run.band_to);
    std::vector<double> means;
    const std::size_t built = v.engines.size() == length_steps.size() ? 1 : 0;
    for (std::size_t e = 0; e < v.engines.size(); ++e) {
      double mean = 0;
      for (std::size_t s = 0; s < out_.speeds.size(); ++s) {
        const CurveOutcome& outcome = outcomes[next++];
        const double torque = outcome.counts() ? outcome.result().torque : nothing;
        if (weights[s] > 0) mean += weights[s] * torque;
        if (e == built) v.outcome.torque.push_back(torque);
        if (outcome.counts()) continue;
        v.outcome.faults.push_back(fmt::format("{:.0f} rpm{}: {}", 60 * out_.speeds[s],
                                               e == built ? "" : " with other lengths",
                                               outcome.fault));
      }
      means.push_back(mean);
    }
    v.outcome.mean = means[built];
    if (!v.outcome.no_best.empty()) return;
    if (!std::isfinite(means[0] + means[1] + means[2])) {
      v.outcome.no_best = "is not known: a run is no result";
      return;
    }
    v.outcome.best = top_of_parabola(means[0], means[1], means[2], out_.length_step,
                                     difference_tolerance * std::abs(means[1]));
    if (!v.outcome.best) {
      v.outcome.no_best = means[2] > means[0] ? "lies beyond the longest of the three"
                                              : "lies below the shortest of the three";
    }
  }

  void judge(ChangeOutcome& outcome) const {
    outcome.change = outcome.mean / out_.base.mean - 1;
    if (outcome.fuel) return;
    const models::TestAir& from = out_.base.air;
    outcome.sae_j1349 = standard_change(PowerCorrection::sae_j1349, from, outcome.air);
    outcome.iso_1585 = standard_change(PowerCorrection::iso_1585, from, outcome.air);
    outcome.sae_j607 = standard_change(PowerCorrection::sae_j607, from, outcome.air);
    for (const auto standard : {PowerCorrection::sae_j1349, PowerCorrection::iso_1585}) {
      outcome.standards_hold = outcome.standards_hold && correction_holds(standard, from) &&
                               correction_holds(standard, outcome.air);
    }
  }

  const cases::CaseFile& case_;
  const WhatIfOptions& options_;
  const cases::HeaderDesign& header_;
  std::vector<Variation> variations_;  // the case as it is first
  WhatIf out_;
};

}  // namespace

Change altitude_change(const std::string& height) {
  const double pressure =
      cases::standard_pressure(cases::parse_quantity(height, cases::Dimension::length));
  return {"altitude " + height,
          {{"ambient.altitude", ""}, {"ambient.pressure", fmt::format("{:.1f} Pa", pressure)}},
          false};
}

Change temperature_change(const std::string& temperature) {
  cases::parse_quantity(temperature, cases::Dimension::temperature);
  return {"air of " + temperature, {{"ambient.temperature", temperature}}, false};
}

Change humidity_change(const std::string& relative) {
  return {"humidity " + relative, {{"ambient.relative_humidity", relative}}, false};
}

Change fuel_change(const std::string& fuel) {
  Change out{fuel, {{"combustion.fuel", fuel}}, true};
  for (const char* key : {"air_fuel_ratio", "stoichiometric_air_fuel", "hydrogen_to_carbon",
                          "oxygen_to_carbon", "heating_value", "latent_heat", "molar_mass"}) {
    out.overrides.push_back({fmt::format("combustion.{}", key), ""});
  }
  return out;
}

Change together(const std::vector<Change>& changes) {
  Change out;
  for (const Change& change : changes) {
    out.words += (out.words.empty() ? "" : ", ") + change.words;
    out.overrides.insert(out.overrides.end(), change.overrides.begin(), change.overrides.end());
    out.fuel = out.fuel || change.fuel;
  }
  return out;
}

std::optional<BestLength> top_of_parabola(double below, double at, double above, double step,
                                          double noise) {
  const double bend = below - 2 * at + above;
  if (!(bend < 0)) return std::nullopt;
  const double shift = 0.5 * step * (below - above) / bend;
  if (std::abs(shift) > 1.5 * step) return std::nullopt;
  // Derivatives of the top by each value.
  const double by_below = 0.5 * step / bend - shift / bend;
  const double by_above = -0.5 * step / bend - shift / bend;
  const double by_at = 2 * shift / bend;
  return BestLength{shift, noise * std::hypot(by_below, by_at, by_above)};
}

WhatIf what_if(const cases::CaseFile& case_file, const std::vector<Change>& changes,
               const WhatIfOptions& options) {
  return WhatIfRuns(case_file, changes, options).run();
}

}  // namespace pulsewright::tools
