#include "tools/dyno/dyno_curves.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "cases/header_builder.hpp"
#include "cases/speed_range.hpp"
#include "tools/study/band.hpp"
#include "tools/study/point_fault.hpp"
#include "tools/study/run_curves.hpp"

namespace pulsewright::tools {

namespace {

const PredictedPoint* point_at(const Prediction& prediction, const std::string& header,
                               double speed) {
  const auto points = prediction.find(header);
  if (points == prediction.end()) return nullptr;
  for (const PredictedPoint& p : points->second) {
    if (cases::same_speed(p.speed, speed)) return &p;
  }
  return nullptr;
}

std::map<std::string, double, std::less<>> values_of(const models::PointResult& point,
                                                     double air_fuel_ratio) {
  return {{"torque", point.torque},
          {"air_flow", point.fuel_flow * air_fuel_ratio},
          {"fuel_flow", point.fuel_flow},
          {"exhaust_temperature", point.exhaust_temperature}};
}

std::vector<DynoPoint> channel_points(const MeasuredHeader& measured, const std::string& key,
                                      const Prediction& prediction, double factor) {
  std::vector<DynoPoint> out;
  const models::MeanPull& mean = measured.channels.find(key)->second;
  for (std::size_t s = 0; s < mean.speed.size(); ++s) {
    DynoPoint point{mean.speed[s],
                    factor * mean.value[s],
                    factor * mean.half_interval(s, least_scatter()),
                    nothing,
                    nothing,
                    nothing,
                    mean.count[s],
                    {}};
    if (const PredictedPoint* p = point_at(prediction, measured.header, mean.speed[s])) {
      point.fault = p->fault;
      if (const auto value = p->value.find(key); value != p->value.end()) {
        point.predicted = factor * value->second;
      }
      if (key == "torque") {
        point.low = factor * p->torque_low;
        point.high = factor * p->torque_high;
      }
    }
    out.push_back(std::move(point));
  }
  return out;
}

void find_level(DynoCurve& curve) {
  double n = 0, sum = 0, squares = 0;
  for (const DynoPoint& p : curve.torque) {
    if (!p.counts()) continue;
    const double relative = p.predicted / p.measured - 1;
    n += 1;
    sum += relative;
    squares += relative * relative;
  }
  curve.level = n > 0 ? sum / n : nothing;
  curve.shape = n > 1 ? std::sqrt(std::max(0.0, squares - sum * sum / n) / (n - 1)) : nothing;
}

// Half the interval of a difference of two means that were measured apart.
double together(double a, double b) { return std::hypot(a, b); }

// NaN where none of the points lies within the band. Points rise in speed.
DynoPoint mean_of_band(const std::vector<DynoPoint>& points, double from, double to) {
  std::vector<double> speeds;
  for (const DynoPoint& p : points) speeds.push_back(p.speed);
  const bool any = std::any_of(speeds.begin(), speeds.end(),
                               [&](double speed) { return in_band(speed, from, to); });
  const auto weights = band_weights(speeds, from, to);
  DynoPoint mean;
  for (double DynoPoint::*part : {&DynoPoint::measured, &DynoPoint::half, &DynoPoint::predicted,
                                  &DynoPoint::low, &DynoPoint::high}) {
    mean.*part = any ? 0 : nothing;
    for (std::size_t i = 0; i < points.size(); ++i) {
      if (weights[i] > 0) mean.*part += weights[i] * (points[i].*part);
    }
  }
  return mean;
}

DynoDifference difference_of(const DynoCurve& a, const DynoCurve& b,
                             const PredictedDifference& predicted, const DynoResult& result) {
  DynoDifference out{a.header, b.header, {}, {}};
  for (const DynoPoint& of_a : a.torque) {
    const auto of_b = std::find_if(b.torque.begin(), b.torque.end(), [&](const DynoPoint& p) {
      return cases::same_speed(p.speed, of_a.speed);
    });
    if (of_b == b.torque.end() || !of_a.counts() || !of_b->counts()) continue;
    DynoPoint d{of_a.speed,
                of_a.measured - of_b->measured,
                together(of_a.half, of_b->half),
                of_a.predicted - of_b->predicted,
                nothing,
                nothing,
                std::min(of_a.pulls, of_b->pulls),
                {}};
    if (const auto known = predicted ? predicted(a.header, b.header, d.speed) : std::nullopt;
        known && known->complete) {
      d.low = result.factor * known->low();
      d.high = result.factor * known->high();
    }
    out.torque.push_back(std::move(d));
  }
  out.mean = mean_of_band(out.torque, result.band_from, result.band_to);
  return out;
}

}  // namespace

bool DynoPoint::counts() const {
  return fault.empty() && std::isfinite(measured) && std::isfinite(predicted);
}

std::optional<bool> DynoDifference::agree() const {
  if (!std::isfinite(mean.low) || !std::isfinite(mean.half)) return std::nullopt;
  return mean.measured + mean.half >= mean.low && mean.measured - mean.half <= mean.high;
}

DynoResult compare_measured(const cases::CaseFile& case_file,
                            const std::vector<MeasuredHeader>& measured,
                            const Prediction& prediction, const PredictedDifference& difference,
                            models::PowerCorrection shown_as) {
  DynoResult out;
  out.title = case_file.title;
  out.calibrated = case_file.calibrated;
  out.shown_as = shown_as;
  out.factor = correction_factor(shown_as, test_air(case_file));
  out.band_from = case_file.run.band_from;
  out.band_to = case_file.run.band_to;
  for (const MeasuredHeader& m : measured) {
    DynoCurve curve;
    curve.header = m.header;
    curve.pulls = m.pulls;
    curve.scatter = m.channels.find("torque")->second.scatter;
    curve.remarks = m.remarks;
    for (const auto& [key, mean] : m.channels) {
      const bool torque = key == "torque";
      auto points = channel_points(m, key, prediction, torque ? out.factor : 1);
      (torque ? curve.torque : curve.others[key]) = std::move(points);
    }
    find_level(curve);
    out.curves.push_back(std::move(curve));
  }
  for (std::size_t a = 1; a < out.curves.size(); ++a) {
    for (std::size_t b = 0; b < a; ++b) {
      out.differences.push_back(difference_of(out.curves[a], out.curves[b], difference, out));
    }
  }
  return out;
}

Prediction simulated_prediction(const cases::CaseFile& case_file, const std::vector<double>& speeds,
                                double cell_size, unsigned jobs,
                                const std::function<bool()>& keep_going,
                                const std::function<void()>& point_done) {
  cases::BuildOptions build;
  build.cell_size = cell_size;
  std::vector<models::EngineSpecification> engines;
  std::vector<CurvePoint> points;
  engines.reserve(case_file.dyno.size());
  for (const cases::DynoRecord& record : case_file.dyno) {
    engines.push_back(build_engine(case_file, cases::find_header(case_file, record.header), build));
    for (const double speed : speeds) {
      points.push_back({&engines.back(), speed, figure_settings(case_file.run.settings), nullptr});
    }
  }
  const auto outcomes = run_curves(points, jobs, keep_going, point_done);
  Prediction out;
  std::size_t next = 0;
  for (const cases::DynoRecord& record : case_file.dyno) {
    for (const double speed : speeds) {
      const CurveOutcome& outcome = outcomes[next++];
      PredictedPoint point{speed, {}, nothing, nothing, outcome.fault};
      if (outcome.run) {
        point.value = values_of(outcome.result(), case_file.combustion.air_fuel_ratio);
      }
      out[record.header].push_back(std::move(point));
    }
  }
  return out;
}

namespace {

Prediction stored_prediction(const StudyResults& results, double air_fuel_ratio) {
  const auto curves = figure_curves(results);
  const auto torque =
      static_cast<std::size_t>(std::find_if(curve_figures.begin(), curve_figures.end(),
                                            [](const CurveFigure& row) {
                                              return row.member == &models::PointResult::torque;
                                            }) -
                               curve_figures.begin());
  Prediction out;
  for (std::size_t h = 0; h < results.headers().size(); ++h) {
    const StoredHeader& header = results.headers()[h];
    auto& points = out[results.plan_of(header).name];
    for (std::size_t s = 0; s < results.plan().speeds.size(); ++s) {
      const StoredPoint& stored = header.production.points[s];
      PredictedPoint point{
          results.plan().speeds[s], {}, curves[h][torque].low[s], curves[h][torque].high[s], {}};
      if (const auto fault = fault_of(stored)) point.fault = fault_name(*fault);
      if (stored.result) point.value = values_of(*stored.result, air_fuel_ratio);
      points.push_back(std::move(point));
    }
  }
  return out;
}

PredictedDifference stored_difference(Comparison stored) {
  return [comparison = std::move(stored)](const std::string& a, const std::string& b,
                                          double speed) -> std::optional<Difference> {
    const auto index = [&](const std::string& name) {
      return static_cast<std::size_t>(
          std::find_if(comparison.headers.begin(), comparison.headers.end(),
                       [&](const HeaderFigures& f) { return f.name == name; }) -
          comparison.headers.begin());
    };
    const std::size_t one = index(a), other = index(b);
    if (one == comparison.headers.size() || other == comparison.headers.size()) return std::nullopt;
    for (const SpeedDifference& at : comparison.between(one, other).speeds) {
      if (cases::same_speed(at.speed, speed)) return at.torque;
    }
    return std::nullopt;
  };
}

}  // namespace

std::optional<DynoResult> measured_over_results(const StudyResults& results,
                                                const std::filesystem::path& folder,
                                                models::PowerCorrection shown_as) {
  const auto case_file = case_of(results.plan());
  if (!case_file || case_file->dyno.empty()) return std::nullopt;
  return compare_measured(*case_file, read_measured(*case_file, folder, results.plan().speeds),
                          stored_prediction(results, case_file->combustion.air_fuel_ratio),
                          stored_difference(compare_headers(results)), shown_as);
}

}  // namespace pulsewright::tools
