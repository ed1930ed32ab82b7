#include "tools/search/tolerance.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "tools/search/value_text.hpp"
#include "tools/study/band.hpp"
#include "tools/study/verdict.hpp"

namespace pulsewright::tools {

namespace {

constexpr double no_torque = std::numeric_limits<double>::quiet_NaN();

// Torque by speed where it counts, and behind that the mean over the band: what is compared.
std::vector<double> torques_of(const SearchTask& task, const Trial& trial) {
  std::vector<double> torques;
  for (std::size_t s = 0; s < trial.torque.size(); ++s) {
    torques.push_back(trial.faults[s] ? no_torque : trial.torque[s]);
  }
  torques.push_back(aims_of(task.speeds(), torques, task.band(), 0).mean);
  return torques;
}

std::vector<double> difference(const std::vector<double>& one, const std::vector<double>& other,
                               double factor) {
  std::vector<double> out;
  for (std::size_t i = 0; i < one.size(); ++i) out.push_back(factor * (one[i] - other[i]));
  return out;
}

// The designs beside the drawn one in one dimension: larger, smaller; without a next size none.
struct Neighbours {
  std::optional<TrialKey> up, down;
};
Neighbours neighbours_of(const SearchTask& task, std::size_t variable, const TrialKey& drawn) {
  const cases::DesignVariable& of = task.space().variables[variable];
  const double step = of.is_length() ? half_inch : 1;
  const auto moved = [&](double by) -> std::optional<TrialKey> {
    TrialKey key = drawn;
    key.values[variable] += by;
    const bool known = of.is_length() || (key.values[variable] >= of.least() &&
                                          key.values[variable] <= of.greatest());
    return known ? std::optional(key) : std::nullopt;
  };
  return {moved(step), moved(-step)};
}

// changes: those that there are, by speed and behind that of the mean over the band.
void judge(const SearchTask& task, const std::vector<double>& drawn,
           const std::vector<std::vector<double>>& changes, Sensitivity& found) {
  const bool length = task.space().variables[found.variable].is_length();
  for (std::size_t s = 0; s < task.speeds().size(); ++s) {
    const double speed = task.speeds()[s];
    if (!in_band(speed, task.band().from, task.band().to)) continue;
    found.known = found.known && std::isfinite(drawn[s]);
    for (const auto& change : changes) {
      const double size = std::abs(change[s]);
      found.known = found.known && std::isfinite(size);
      if (!(size > found.largest)) continue;
      found.largest = size;
      found.largest_speed = speed;
    }
    const double within = std::abs(found.up[s]) * task.space().build_tolerance / half_inch;
    if (length && within > dynamometer_repeatability * drawn[s]) found.exact = true;
  }
  for (const auto& change : changes) {
    found.known = found.known && std::isfinite(change.back());
  }
}

Sensitivity sensitivity_of(const SearchTask& task, std::size_t variable,
                           const std::vector<double>& drawn, const Trial* up, const Trial* down) {
  Sensitivity found;
  found.variable = variable;
  const std::size_t speeds = drawn.size() - 1;
  const std::vector<double> none(drawn.size(), no_torque);
  std::vector<double> larger = none, smaller = none;
  std::vector<std::vector<double>> changes;
  if (task.space().variables[variable].is_length()) {
    changes.push_back(larger = difference(torques_of(task, *up), torques_of(task, *down), 0.5));
  } else {
    if (up) changes.push_back(larger = difference(torques_of(task, *up), drawn, 1));
    if (down) changes.push_back(smaller = difference(torques_of(task, *down), drawn, 1));
  }
  found.band_up = larger.back();
  found.band_down = smaller.back();
  found.up.assign(larger.begin(), larger.begin() + static_cast<std::ptrdiff_t>(speeds));
  found.down.assign(smaller.begin(), smaller.begin() + static_cast<std::ptrdiff_t>(speeds));
  judge(task, drawn, changes, found);
  return found;
}

std::vector<double> finite(const std::vector<double>& values) {
  std::vector<double> out;
  for (const double value : values) {
    if (std::isfinite(value)) out.push_back(value);
  }
  return out;
}

ToleranceSpread spread_of(const SearchTask& task, const std::vector<double>& drawn,
                          const std::vector<Sensitivity>& dimensions,
                          const std::vector<const Trial*>& sample) {
  ToleranceSpread spread;
  std::vector<std::vector<double>> torques;
  for (const Trial* trial : sample) torques.push_back(torques_of(task, *trial));
  for (std::size_t s = 0; s < drawn.size(); ++s) {
    const bool of_band = s + 1 == drawn.size();
    std::vector<double> slopes, values;
    for (const Sensitivity& one : dimensions) {
      if (!task.space().variables[one.variable].is_length()) continue;
      slopes.push_back(of_band ? one.band_up : one.up[s]);
    }
    for (const auto& of : torques) values.push_back(of[s]);
    values = finite(values);
    const double linear = linear_spread(slopes, task.space().build_tolerance);
    const double sampled = spread_about(values, drawn[s]);
    if (!of_band) {
      spread.linear.push_back(linear);
      spread.sampled.push_back(sampled);
      continue;
    }
    spread.band_linear = linear;
    spread.band_sampled = sampled;
    spread.samples = values.size();
    spread.lowest = spread.highest = no_torque;
    if (values.empty()) continue;
    const auto [least, most] = std::minmax_element(values.begin(), values.end());
    spread.lowest = *least - drawn[s];
    spread.highest = *most - drawn[s];
  }
  return spread;
}

}  // namespace

double linear_spread(const std::vector<double>& slopes, double build_tolerance) {
  double squares = 0;
  for (const double slope : slopes) squares += slope * slope;
  return std::sqrt(squares / 3) * build_tolerance / half_inch;
}

double spread_about(const std::vector<double>& values, double middle) {
  if (values.empty()) return no_torque;
  double squares = 0;
  for (const double value : values) squares += (value - middle) * (value - middle);
  return std::sqrt(squares / static_cast<double>(values.size()));
}

bool Tolerance::known() const {
  return std::isfinite(band_torque) &&
         std::all_of(dimensions.begin(), dimensions.end(),
                     [](const Sensitivity& one) { return one.known; });
}

Tolerance tolerance_of(const SearchTask& task, int samples, TrialHistory& history) {
  const TrialKey drawn_key{task.space().reference_values(), 0};
  std::vector<TrialKey> keys{drawn_key};
  struct Places {
    std::size_t up = 0, down = 0;  // into the keys; 0 = none
  };
  std::vector<Places> places;
  const std::size_t count = task.space().variables.size();
  for (std::size_t v = 0; v < count; ++v) {
    const Neighbours beside = neighbours_of(task, v, drawn_key);
    Places at;
    if (beside.up) at.up = keys.size(), keys.push_back(*beside.up);
    if (beside.down) at.down = keys.size(), keys.push_back(*beside.down);
    places.push_back(at);
  }
  const std::size_t first_sample = keys.size();
  if (!(task.space().build_tolerance > 0)) samples = 0;
  for (int sample = 1; sample <= samples; ++sample) keys.push_back({drawn_key.values, sample});
  const auto trials = history.trials(keys);
  const auto trial = [&](std::size_t place) { return place == 0 ? nullptr : trials[place]; };

  Tolerance found;
  std::vector<double> drawn = torques_of(task, *trials[0]);
  for (std::size_t v = 0; v < count; ++v) {
    found.dimensions.push_back(
        sensitivity_of(task, v, drawn, trial(places[v].up), trial(places[v].down)));
  }
  if (samples > 0) {
    found.spread =
        spread_of(task, drawn, found.dimensions,
                  {trials.begin() + static_cast<std::ptrdiff_t>(first_sample), trials.end()});
  }
  found.band_torque = drawn.back();
  drawn.pop_back();
  found.torque = std::move(drawn);
  std::stable_sort(
      found.dimensions.begin(), found.dimensions.end(),
      [](const Sensitivity& one, const Sensitivity& other) { return one.largest > other.largest; });
  return found;
}

}  // namespace pulsewright::tools
