// Calibration: a few knobs of the case fitted to measured pulls (bounded_fit.hpp), and what the
// pulls can tell of them.
//
// Residual at each header and speed: (predicted - measured) / deviation of the mean of the pulls,
// of torque and, where it was measured, of the flow of air. The prediction of the fit is that of a
// grid with cells three times as long, times the ratio of both grids at the start, point by point;
// its derivatives are differences of whole simulations, all knobs and points in one batch, each
// from the converged run that it differs from by one knob.
//
// The deviations of a pull are alike at all its speeds (models/dyno/mean_pull.hpp), and so is the
// error of an air meter: more speeds do not make the level of the pulls surer. So each channel of
// each fitted header has its level z as a further parameter, expected at 0 with a standard
// deviation of 1, within +-4:
//
//   residual = (predicted - measured (1 + z e)) / deviation
//
// e: relative standard deviation of the mean of the pulls, of air 1 % at least (common practice,
// no source). deviation: that of the mean of the pulls. How the scatter divides into what a pull
// has at all speeds and what is noise from speed to speed is not known: each is taken to be the
// whole, so that errors are stated rather too large than too small.
//
// Speeds that are held out take no part, and are predicted with what was found: how well shows what
// the calibration is worth elsewhere. Before and after are runs on the production grid.
#pragma once

#include <Eigen/Core>
#include <functional>
#include <string>
#include <vector>

#include "tools/dyno/knobs.hpp"
#include "tools/dyno/measured_curve.hpp"

namespace pulsewright::tools {

struct CalibrationOptions {
  std::vector<Knob> knobs;
  std::vector<double> speeds;        // rev/s, those of the measured curves
  std::vector<double> held_out;      // rev/s, of the speeds
  std::vector<std::string> headers;  // measured headers to fit; empty = all
  double cell_size = 0;              // m, of the production grid; 0 = that of the case
  unsigned jobs = 1;
  std::function<bool()> keep_going;
  // After each set of runs: root mean square of the relative residuals of torque.
  std::function<void(double)> progress;
};

struct CalibratedKnob {
  Knob knob;
  double start = 0, value = 0;  // in the unit of the knob
  double error = 0;             // standard
  double prior = 0;             // standard deviation that its range stands for, a quarter of it
  double least = 0, most = 0;   // of the fit: the range of the knob, with the value of the case
  bool at_bound = false;

  // Whether the pulls say anything of it: they halve what is expected beforehand at least.
  bool told() const { return at_bound || error < 0.5 * prior; }
};

// At one header and speed, of torque.
struct CalibratedPoint {
  std::string header;
  double speed = 0;                            // rev/s
  double measured = 0, before = 0, after = 0;  // N m; NaN after a run that is no result
  bool held_out = false;
};

struct Calibration {
  std::vector<CalibratedKnob> knobs;
  Eigen::MatrixXd correlation;  // of the knobs
  std::vector<CalibratedPoint> points;
  std::vector<std::string> left_out;  // points that are no results before or after, in words
  double scale = 1;                   // residuals over what the pulls explain, 1 at least
  int iterations = 0;
  bool converged = false;
  std::size_t runs = 0;

  // Root mean square of (predicted - measured) / measured; NaN without such points.
  double deviation(double CalibratedPoint::*predicted, bool held_out) const;
  std::vector<cases::Override> changes() const;
};

// Pairs of knobs that the pulls can hardly tell from each other.
inline constexpr double close_correlation = 0.9;

// case_file: from the reader, with an engine. Throws std::invalid_argument for fewer values than
// knobs, a header that was not measured, a held-out speed that is none or, before any run, a case
// whose text cannot take the knobs (cases/case_edit.hpp); RunFault where a run of the fit is no
// result; RunStopped.
Calibration calibrate(const cases::CaseFile& case_file, const std::vector<MeasuredHeader>& measured,
                      const CalibrationOptions& options);

// The text of the calibrated case: that of the case with the knobs changed, and what it was
// calibrated to.
std::string calibrated_case(const cases::CaseFile& case_file,
                            const std::vector<MeasuredHeader>& measured,
                            const Calibration& calibration);

}  // namespace pulsewright::tools
