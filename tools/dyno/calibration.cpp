#include "tools/dyno/calibration.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <stdexcept>
#include <utility>

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

// Of the sum of squares: what cycles leave over is noise of that size, and a tenth of what one
// standard error makes of it.
constexpr double fit_tolerance = 0.01;
constexpr double knob_step = 0.05;         // of the range, for derivatives
constexpr double range_in_deviations = 4;  // the range of a knob holds 95 % of engines
constexpr double air_meter = 0.01;         // standard deviation (common practice, no source)
constexpr double most_level = 4;           // standard deviations

// A header at a speed.
struct FitPoint {
  std::size_t header = 0, speed = 0;  // into the measured headers, the speeds
};

// One measured value.
struct Datum {
  std::size_t point = 0;  // of those that are fitted
  bool air = false;       // flow of air, else torque
  double measured = 0, deviation = 0;
  Index level = 0;           // its parameter
  double level_by_unit = 0;  // by which one standard deviation of the level moves what is measured
  double ratio = 1;          // production grid over coarse grid, at the start
};

double predicted(const models::PointResult& point, bool air, double air_fuel_ratio) {
  return air ? point.fuel_flow * air_fuel_ratio : point.torque;
}

class Calibrator {
 public:
  Calibrator(const cases::CaseFile& case_file, const std::vector<MeasuredHeader>& measured,
             const CalibrationOptions& options)
      : case_(case_file),
        measured_(measured),
        options_(options),
        settings_(difference_settings(case_file.run.settings)) {
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
      out.knobs.push_back({options_.knobs[k], p.start, fit.value[i], fit.error[i], p.prior, p.least,
                           p.most, fit.at_bound[k]});
    }
    const auto knobs = static_cast<Index>(options_.knobs.size());
    out.correlation = fit.correlation.topLeftCorner(knobs, knobs);
    out.scale = fit.scale;
    out.iterations = fit.iterations;
    out.converged = fit.converged;
    const auto after = production_runs(case_with(fit.value));
    for (std::size_t i = 0; i < points_.size(); ++i) {
      out.points[i].after = after[i].counts() ? after[i].result().torque : nothing;
      if (after[i].counts()) continue;
      out.left_out.push_back(
          fmt::format("{}, calibrated: {}", point_words(points_[i]), after[i].fault));
    }
    out.runs = runs_;
    return out;
  }

 private:
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

  std::string point_words(const FitPoint& p) const {
    return fmt::format("{} at {:.0f} rpm", measured_[p.header].header,
                       60 * options_.speeds[p.speed]);
  }

  // The knobs as a case has them; parameters behind them are levels.
  std::vector<cases::Override> changes_of(const VectorXd& x) const {
    std::vector<cases::Override> changes;
    for (std::size_t k = 0; k < options_.knobs.size(); ++k) {
      changes.push_back(with_knob(options_.knobs[k], x[static_cast<Index>(k)]));
    }
    return changes;
  }

  std::vector<std::string> written(const VectorXd& x) const {
    std::vector<std::string> values;
    for (const cases::Override& change : changes_of(x)) values.push_back(change.value);
    return values;
  }

  cases::CaseFile case_with(const VectorXd& x) const {
    return cases::read_case_text(case_.text, case_.file_name, cases::MessageUnits::metric,
                                 changes_of(x));
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

  std::vector<CurveOutcome> run_points(const std::vector<CurvePoint>& points) {
    runs_ += points.size();
    return run_curves(points, options_.jobs, options_.keep_going);
  }

  std::vector<CurveOutcome> production_runs(const cases::CaseFile& case_file) {
    const auto built = engines(case_file, production_);
    std::vector<CurvePoint> points;
    for (const FitPoint& p : points_) {
      points.push_back({&built[p.header], options_.speeds[p.speed], settings_, nullptr});
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
    require_editable(start);
    auto fine = production_runs(case_with(start));
    auto coarse = coarse_runs(points_, start);
    for (std::size_t i = 0; i < points_.size(); ++i) take_point(points_[i], fine[i], coarse[i]);
    last_ = written(start);
    if (data_.size() < options_.knobs.size()) {
      throw std::invalid_argument(fmt::format(
          "calibration: {} measured cannot tell {}; measure at more speeds, hold out "
          "fewer, or turn fewer knobs (--knobs)",
          cases::counted(data_.size(), "value"), cases::counted(options_.knobs.size(), "knob")));
    }
  }

  // Before long work, that the text of the case can take what will be found.
  void require_editable(const VectorXd& start) const {
    std::vector<cases::Override> changes = changes_of(start);
    changes.push_back({"calibrated", "to pulls"});
    cases::edited_case(case_.text, case_.file_name, changes);
  }

  // What a point gives the fit, from its runs at the start on both grids.
  void take_point(const FitPoint& p, const CurveOutcome& fine, CurveOutcome& coarse) {
    const MeasuredHeader& m = measured_[p.header];
    const bool held = is_held_out(p.speed) || !is_fitted(p.header);
    const bool counts = fine.counts() && coarse.counts();
    out_.points.push_back({m.header, options_.speeds[p.speed],
                           m.channels.at("torque").value[p.speed],
                           fine.counts() ? fine.result().torque : nothing, 0, held});
    if (!counts) {
      out_.left_out.push_back(
          fmt::format("{}: {}", point_words(p), fine.counts() ? coarse.fault : fine.fault));
    }
    if (!counts || held) return;
    for (const bool air : {false, true}) {
      const auto channel = m.channels.find(air ? "air_flow" : "torque");
      if (channel == m.channels.end() || !std::isfinite(channel->second.value[p.speed])) continue;
      add_datum(p, air, channel->second, fine.result(), coarse.result());
    }
    fitted_.push_back(p);
    base_.push_back(std::move(coarse));
  }

  void add_datum(const FitPoint& p, bool air, const models::MeanPull& mean,
                 const models::PointResult& fine, const models::PointResult& coarse) {
    const double of_mean = std::max(mean.scatter, least_scatter()) /
                           std::sqrt(static_cast<double>(mean.count[p.speed]));
    const auto [level, is_new] =
        levels_.try_emplace({p.header, air}, static_cast<Index>(parameters_.size()));
    if (is_new) parameters_.push_back({0, -most_level, most_level, 1});
    const double measured = mean.value[p.speed];
    const double ratio_of = case_.combustion.air_fuel_ratio;
    data_.push_back({fitted_.size(), air, measured, of_mean * std::abs(measured), level->second,
                     (air ? std::max(of_mean, air_meter) : of_mean) * measured,
                     predicted(fine, air, ratio_of) / predicted(coarse, air, ratio_of)});
  }

  // Runs of points with these knobs, from the last ones where there are some.
  std::vector<CurveOutcome> coarse_runs(const std::vector<FitPoint>& of, const VectorXd& x) {
    const auto built = engines(case_with(x), coarse_grid_ratio * production_);
    std::vector<CurvePoint> points;
    for (std::size_t i = 0; i < of.size(); ++i) {
      points.push_back({&built[of[i].header], options_.speeds[of[i].speed], settings_,
                        base_.empty() ? nullptr : base_[i].run.get()});
    }
    return run_points(points);
  }

  // Makes base_ the runs with these knobs; a level takes no run, nor a step that is not written.
  void move_to(const VectorXd& x) {
    std::vector<std::string> values = written(x);
    if (values == last_) return;
    base_ = coarse_runs(fitted_, x);
    last_ = std::move(values);
  }

  double value_of(const Datum& datum, const CurveOutcome& outcome) const {
    if (!outcome.counts()) {
      throw models::RunFault(fmt::format("calibration: {} with changed knobs: {}",
                                         point_words(fitted_[datum.point]), outcome.fault));
    }
    return datum.ratio * predicted(outcome.result(), datum.air, case_.combustion.air_fuel_ratio);
  }

  VectorXd residuals(const VectorXd& x) {
    move_to(x);
    VectorXd out(static_cast<Index>(data_.size()));
    double squares = 0, n = 0;
    for (std::size_t d = 0; d < data_.size(); ++d) {
      const Datum& datum = data_[d];
      const double difference = value_of(datum, base_[datum.point]) - datum.measured;
      out[static_cast<Index>(d)] =
          (difference - x[datum.level] * datum.level_by_unit) / datum.deviation;
      if (datum.air) continue;
      squares += difference * difference / (datum.measured * datum.measured);
      n += 1;
    }
    if (options_.progress && n > 0) options_.progress(std::sqrt(squares / n));
    return out;
  }

  MatrixXd jacobian(const VectorXd& x) {
    move_to(x);
    std::vector<std::vector<models::EngineSpecification>> built;
    std::vector<double> steps;
    std::vector<CurvePoint> points;
    for (std::size_t k = 0; k < options_.knobs.size(); ++k) {
      const FitParameter& p = parameters_[k];
      const Index i = static_cast<Index>(k);
      const double step = knob_step * (p.most - p.least);
      VectorXd moved = x;
      moved[i] += x[i] + step <= p.most ? step : -step;
      steps.push_back(moved[i] - x[i]);
      built.push_back(engines(case_with(moved), coarse_grid_ratio * production_));
    }
    for (const auto& of_knob : built) {
      for (std::size_t i = 0; i < fitted_.size(); ++i) {
        points.push_back({&of_knob[fitted_[i].header], options_.speeds[fitted_[i].speed], settings_,
                          base_[i].run.get()});
      }
    }
    const auto outcomes = run_points(points);
    MatrixXd out = MatrixXd::Zero(static_cast<Index>(data_.size()), x.size());
    for (std::size_t d = 0; d < data_.size(); ++d) {
      const Datum& datum = data_[d];
      const double here = value_of(datum, base_[datum.point]);
      const Index row = static_cast<Index>(d);
      for (std::size_t k = 0; k < steps.size(); ++k) {
        const double change = value_of(datum, outcomes[k * fitted_.size() + datum.point]) - here;
        out(row, static_cast<Index>(k)) = change / steps[k] / datum.deviation;
      }
      out(row, datum.level) = -datum.level_by_unit / datum.deviation;
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
  models::RunSettings settings_;
  std::vector<FitPoint> points_;                          // that were measured
  std::vector<FitPoint> fitted_;                          // that give the fit a datum
  std::vector<FitParameter> parameters_;                  // the knobs, then the levels
  std::map<std::pair<std::size_t, bool>, Index> levels_;  // by header and whether of air
  std::vector<Datum> data_;
  std::vector<CurveOutcome> base_;  // by fitted point, with the knobs of last_
  std::vector<std::string> last_;
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
