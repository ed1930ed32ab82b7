#include "tools/dyno/calibration.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <limits>
#include <stdexcept>

#include "cases/case_edit.hpp"
#include "cases/counted.hpp"
#include "cases/header_builder.hpp"
#include "cases/speed_range.hpp"
#include "models/engine/run_fault.hpp"
#include "tools/dyno/bounded_fit.hpp"
#include "tools/study/run_curves.hpp"

namespace pulsewright::tools {

namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr double coarser = 3;
constexpr double cycle_tolerance = 2e-4;  // closer than usual: differences of runs are wanted
// Of the sum of squares: what cycles leave over is noise of that size, and a tenth of what one
// standard error makes of it.
constexpr double fit_tolerance = 0.01;
constexpr double knob_step = 0.05;         // of the range, for derivatives
constexpr double range_in_deviations = 4;  // the range of a knob holds 95 % of engines
constexpr double air_meter = 0.01;         // standard deviation (common practice, no source)

// One measured value: header, speed and channel.
struct Datum {
  std::size_t header = 0, speed = 0;  // into the measured headers, the speeds
  bool air = false;                   // flow of air, else torque
  double measured = 0, deviation = 0;
  double ratio = 1;  // production grid over coarse grid, at the start
};

double predicted(const models::PointResult& point, bool air, double air_fuel_ratio) {
  return air ? point.fuel_flow * air_fuel_ratio : point.torque;
}

class Calibrator {
 public:
  Calibrator(const cases::CaseFile& case_file, const std::vector<MeasuredHeader>& measured,
             const CalibrationOptions& options)
      : case_(case_file), measured_(measured), options_(options) {
    production_ = options.cell_size > 0 ? options.cell_size : case_file.run.cell_size;
    check_options();
    for (std::size_t h = 0; h < measured_.size(); ++h) {
      for (std::size_t s = 0; s < options_.speeds.size(); ++s) {
        if (std::isfinite(measured_[h].channels.at("torque").value[s])) points_.push_back({h, s});
      }
    }
  }

  Calibration run() {
    begin();
    const FitResult fit = fit_bounded(problem());
    Calibration out = std::move(out_);
    for (std::size_t k = 0; k < options_.knobs.size(); ++k) {
      const Index i = static_cast<Index>(k);
      const FitParameter& p = parameters_[k];
      out.knobs.push_back(
          {options_.knobs[k], p.start, fit.value[i], fit.error[i], p.prior, fit.at_bound[k]});
    }
    out.correlation = fit.correlation;
    out.scale = fit.scale;
    out.iterations = fit.iterations;
    out.converged = fit.converged;
    const auto after = production_runs(case_with(fit.value));
    for (std::size_t i = 0; i < points_.size(); ++i) {
      out.points[i].after =
          after[i].counts() ? after[i].result().torque : std::numeric_limits<double>::quiet_NaN();
    }
    out.runs = runs_;
    return out;
  }

 private:
  struct Point {
    std::size_t header = 0, speed = 0;
  };

  bool is_held_out(std::size_t speed) const {
    return std::any_of(options_.held_out.begin(), options_.held_out.end(), [&](double held) {
      return cases::same_speed(held, options_.speeds[speed]);
    });
  }

  bool is_fitted(std::size_t header) const {
    const auto& names = options_.headers;
    return names.empty() ||
           std::find(names.begin(), names.end(), measured_[header].header) != names.end();
  }

  void check_options() const {
    if (options_.knobs.empty()) throw std::invalid_argument("calibration: names no knob");
    for (const std::string& name : options_.headers) {
      if (std::none_of(measured_.begin(), measured_.end(),
                       [&](const MeasuredHeader& m) { return m.header == name; })) {
        throw std::invalid_argument(
            fmt::format("calibration: header \"{}\" has no [[dyno]] in the case", name));
      }
    }
    for (const double held : options_.held_out) {
      if (std::none_of(options_.speeds.begin(), options_.speeds.end(),
                       [&](double speed) { return cases::same_speed(held, speed); })) {
        throw std::invalid_argument(fmt::format(
            "calibration: {:.0f} rpm is held out, but is none of the speeds", 60 * held));
      }
    }
  }

  cases::CaseFile case_with(const VectorXd& x) const {
    std::vector<cases::Override> changes;
    for (std::size_t k = 0; k < options_.knobs.size(); ++k) {
      changes.push_back(with_knob(options_.knobs[k], x[static_cast<Index>(k)]));
    }
    return cases::read_case_text(case_.text, case_.file_name, cases::MessageUnits::metric, changes);
  }

  // By measured header.
  std::vector<models::EngineSpecification> engines(const cases::CaseFile& case_file,
                                                   double cell_size) const {
    cases::BuildOptions build;
    build.cell_size = cell_size;
    std::vector<models::EngineSpecification> out;
    for (const MeasuredHeader& m : measured_) {
      out.push_back(build_engine(case_file, cases::find_header(case_file, m.header), build));
    }
    return out;
  }

  models::RunSettings settings() const {
    models::RunSettings out = figure_settings(case_.run.settings);
    out.tolerance = std::min(out.tolerance, cycle_tolerance);
    return out;
  }

  std::vector<CurveOutcome> run_points(const std::vector<CurvePoint>& points) {
    runs_ += points.size();
    return run_curves(points, options_.jobs, options_.keep_going);
  }

  std::vector<CurveOutcome> production_runs(const cases::CaseFile& case_file) {
    const auto built = engines(case_file, production_);
    std::vector<CurvePoint> points;
    for (const Point& p : points_) {
      points.push_back({&built[p.header], options_.speeds[p.speed], settings(), nullptr});
    }
    return run_points(points);
  }

  void begin() {
    for (const Knob& knob : options_.knobs) {
      FitParameter p;
      p.start = knob_value(case_, knob);
      p.least = std::min(knob.least, p.start);
      p.most = std::max(knob.most, p.start);
      p.prior = (knob.most - knob.least) / range_in_deviations;
      parameters_.push_back(p);
    }
    VectorXd start(static_cast<Index>(parameters_.size()));
    for (Index k = 0; k < start.size(); ++k) {
      start[k] = parameters_[static_cast<std::size_t>(k)].start;
    }
    const cases::CaseFile at_start = case_with(start);
    auto fine = production_runs(at_start);
    base_ = coarse_runs(start);
    for (std::size_t i = 0; i < points_.size(); ++i) take_point(i, fine[i]);
    last_ = start;
    if (data_.size() < parameters_.size()) {
      throw std::invalid_argument(fmt::format(
          "calibration: {} measured cannot tell {}; measure at more speeds, hold out "
          "fewer, or turn fewer knobs (--knobs)",
          cases::counted(data_.size(), "value"), cases::counted(parameters_.size(), "knob")));
    }
  }

  // What point i gives the fit, from its runs at the start on both grids.
  void take_point(std::size_t i, CurveOutcome& fine) {
    const Point& p = points_[i];
    const MeasuredHeader& m = measured_[p.header];
    const double speed = options_.speeds[p.speed];
    const bool held = is_held_out(p.speed) || !is_fitted(p.header);
    const bool counts = fine.counts() && base_[i].counts();
    out_.points.push_back(
        {m.header, speed, m.channels.at("torque").value[p.speed],
         fine.counts() ? fine.result().torque : std::numeric_limits<double>::quiet_NaN(), 0, held});
    if (!counts) {
      out_.left_out.push_back(fmt::format("{} at {:.0f} rpm: {}", m.header, 60 * speed,
                                          fine.counts() ? base_[i].fault : fine.fault));
    }
    if (!counts || held) return;
    for (const bool air : {false, true}) {
      const auto channel = m.channels.find(air ? "air_flow" : "torque");
      if (channel == m.channels.end() || !std::isfinite(channel->second.value[p.speed])) continue;
      const models::MeanPull& mean = channel->second;
      const double of_mean = std::max(mean.scatter, least_scatter()) /
                             std::sqrt(static_cast<double>(mean.count[p.speed]));
      Datum datum{p.header, p.speed, air, mean.value[p.speed], 0, 1};
      datum.deviation = std::max(of_mean, air ? air_meter : 0) * std::abs(datum.measured);
      const double ratio_of = case_.combustion.air_fuel_ratio;
      datum.ratio =
          predicted(fine.result(), air, ratio_of) / predicted(base_[i].result(), air, ratio_of);
      data_.push_back(datum);
      point_of_datum_.push_back(i);
    }
  }

  // Runs of all points with these knobs, from the last ones; they become the last.
  std::vector<CurveOutcome> coarse_runs(const VectorXd& x) {
    const cases::CaseFile case_file = case_with(x);
    const auto built = engines(case_file, coarser * production_);
    std::vector<CurvePoint> points;
    for (std::size_t i = 0; i < points_.size(); ++i) {
      points.push_back({&built[points_[i].header], options_.speeds[points_[i].speed], settings(),
                        base_.empty() ? nullptr : base_[i].run.get()});
    }
    return run_points(points);
  }

  double value_of(const Datum& datum, const CurveOutcome& outcome) const {
    if (!outcome.run) {
      throw models::RunFault(fmt::format(
          "calibration: header \"{}\" at {:.0f} rpm with changed knobs: {}",
          measured_[datum.header].header, 60 * options_.speeds[datum.speed], outcome.fault));
    }
    return datum.ratio * predicted(outcome.result(), datum.air, case_.combustion.air_fuel_ratio);
  }

  VectorXd residuals(const VectorXd& x) {
    if (x != last_) {
      base_ = coarse_runs(x);
      last_ = x;
    }
    VectorXd out(static_cast<Index>(data_.size()));
    double squares = 0, n = 0;
    for (std::size_t d = 0; d < data_.size(); ++d) {
      const Datum& datum = data_[d];
      const double difference = value_of(datum, base_[point_of_datum_[d]]) - datum.measured;
      out[static_cast<Index>(d)] = difference / datum.deviation;
      if (datum.air) continue;
      squares += difference * difference / (datum.measured * datum.measured);
      n += 1;
    }
    if (options_.progress && n > 0) options_.progress(std::sqrt(squares / n));
    return out;
  }

  MatrixXd jacobian(const VectorXd& x) {
    if (x != last_) residuals(x);
    const Index knobs = x.size();
    std::vector<std::vector<models::EngineSpecification>> built;
    std::vector<double> steps;
    std::vector<CurvePoint> points;
    for (Index k = 0; k < knobs; ++k) {
      const FitParameter& p = parameters_[static_cast<std::size_t>(k)];
      const double step = knob_step * (p.most - p.least);
      VectorXd moved = x;
      moved[k] += x[k] + step <= p.most ? step : -step;
      steps.push_back(moved[k] - x[k]);
      built.push_back(engines(case_with(moved), coarser * production_));
    }
    for (const auto& of_knob : built) {
      for (std::size_t d = 0; d < data_.size(); ++d) {
        if (data_[d].air) continue;
        points.push_back({&of_knob[data_[d].header], options_.speeds[data_[d].speed], settings(),
                          base_[point_of_datum_[d]].run.get()});
      }
    }
    const auto outcomes = run_points(points);
    MatrixXd out(static_cast<Index>(data_.size()), knobs);
    std::size_t next = 0;
    for (Index k = 0; k < knobs; ++k) {
      const CurveOutcome* of_point = nullptr;
      for (std::size_t d = 0; d < data_.size(); ++d) {
        if (!data_[d].air) of_point = &outcomes[next++];  // a flow of air stands behind its torque
        const double change =
            value_of(data_[d], *of_point) - value_of(data_[d], base_[point_of_datum_[d]]);
        out(static_cast<Index>(d), k) =
            change / steps[static_cast<std::size_t>(k)] / data_[d].deviation;
      }
    }
    return out;
  }

  FitProblem problem() {
    FitProblem out;
    out.parameters = parameters_;
    out.residuals = [this](const VectorXd& x) { return residuals(x); };
    out.jacobian = [this](const VectorXd& x) { return jacobian(x); };
    out.tolerance = fit_tolerance;
    return out;
  }

  const cases::CaseFile& case_;
  const std::vector<MeasuredHeader>& measured_;
  const CalibrationOptions& options_;
  double production_ = 0;  // m, size of the cells
  std::vector<Point> points_;
  std::vector<FitParameter> parameters_;
  std::vector<Datum> data_;
  std::vector<std::size_t> point_of_datum_;
  std::vector<CurveOutcome> base_;  // by point, with the knobs of last_
  VectorXd last_;
  Calibration out_;
  std::size_t runs_ = 0;
};

}  // namespace

double Calibration::deviation(double CalibratedPoint::*predicted_value, bool held_out) const {
  double squares = 0, n = 0;
  for (const CalibratedPoint& p : points) {
    if (p.held_out != held_out || !std::isfinite(p.before) || !std::isfinite(p.after)) continue;
    const double relative = p.*predicted_value / p.measured - 1;
    squares += relative * relative;
    n += 1;
  }
  return std::sqrt(squares / n);
}

std::vector<cases::Override> Calibration::changes() const {
  std::vector<cases::Override> out;
  for (const CalibratedKnob& knob : knobs) out.push_back(with_knob(knob.knob, knob.value));
  return out;
}

Calibration calibrate(const cases::CaseFile& case_file, const std::vector<MeasuredHeader>& measured,
                      const CalibrationOptions& options) {
  return Calibrator(case_file, measured, options).run();
}

std::string calibrated_case(const cases::CaseFile& case_file,
                            const std::vector<MeasuredHeader>& measured,
                            const Calibration& calibration) {
  std::string pulls;
  for (const MeasuredHeader& m : measured) {
    const bool fitted =
        std::any_of(calibration.points.begin(), calibration.points.end(),
                    [&](const CalibratedPoint& p) { return p.header == m.header && !p.held_out; });
    if (!fitted) continue;
    pulls += fmt::format("{}{} of {}", pulls.empty() ? "" : " and ",
                         cases::counted(m.pulls, "pull"), m.header);
  }
  std::vector<cases::Override> changes = calibration.changes();
  changes.push_back({"calibrated", fmt::format("to {}", pulls)});
  return cases::edited_case(case_file.text, case_file.file_name, changes);
}

}  // namespace pulsewright::tools
