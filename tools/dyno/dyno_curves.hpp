// Measured over predicted: each measured header against its prediction, speed by speed, and the
// differences between two measured headers against the predicted ones.
//
// All in the air of the case, or corrected to a standard: measured and predicted times the same
// factor. Intervals of what was measured hold 95 % (models/dyno/mean_pull.hpp); those of the
// prediction are those of a results file, where there is one (tools/study/comparison.hpp).
#pragma once

#include <filesystem>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "tools/dyno/measured_curve.hpp"
#include "tools/study/comparison.hpp"

namespace pulsewright::tools {

// What a run or a results file says of one header at one speed.
struct PredictedPoint {
  double speed = 0;  // rev/s
  // By key of dyno.columns, in the units of Channels; empty where there is no result.
  std::map<std::string, double, std::less<>> value;
  double torque_low = 0, torque_high = 0;  // N m; NaN without an interval
  std::string fault;                       // why it does not count
};
using Prediction = std::map<std::string, std::vector<PredictedPoint>, std::less<>>;  // by header

struct DynoPoint {
  double speed = 0;               // rev/s
  double measured = 0, half = 0;  // with half its interval; NaN where no pull reaches
  double predicted = 0;           // NaN where there is none
  double low = 0, high = 0;       // its interval; NaN where there is none
  std::size_t pulls = 0;
  std::string fault;  // why the prediction does not count

  bool counts() const;
};

struct DynoCurve {
  std::string header;
  std::size_t pulls = 0;
  double scatter = 0;  // relative, of the torque between the pulls
  std::vector<DynoPoint> torque;
  // The other columns: flows in kg/s, temperature in K.
  std::map<std::string, std::vector<DynoPoint>, std::less<>> others;
  // Predicted over measured torque less 1: mean over the speeds that count, and the standard
  // deviation about it; NaN without such speeds.
  double level = 0, shape = 0;
  std::vector<std::string> remarks;
};

// The first header less the other one.
struct DynoDifference {
  std::string header, other;
  std::vector<DynoPoint> torque;  // at speeds that count for both
  // Over the band as far as both count (tools/study/band.hpp), NaN where no speed of it does;
  // intervals taken as fully correlated.
  DynoPoint mean;
  // Whether both intervals of the mean meet; none where the prediction has no interval.
  std::optional<bool> agree() const;
};

struct DynoResult {
  std::string title, calibrated;
  models::PowerCorrection shown_as = models::PowerCorrection::none;
  double factor = 1;                  // of that standard in the air of the case
  double band_from = 0, band_to = 0;  // rev/s
  std::vector<DynoCurve> curves;
  std::vector<DynoDifference> differences;  // of every two measured headers
};

// Torque of header a less b at a speed (rev/s) with its interval; null where there is none.
using PredictedDifference = std::function<std::optional<Difference>(
    const std::string& a, const std::string& b, double speed)>;

// What the verb and the page show. difference: may be empty, then no difference has an interval.
DynoResult compare_measured(const cases::CaseFile& case_file,
                            const std::vector<MeasuredHeader>& measured,
                            const Prediction& prediction, const PredictedDifference& difference,
                            models::PowerCorrection shown_as);

// Prediction of a case by simulation: every measured header at these speeds (rev/s). cell_size: m,
// 0 = that of the case. Throws std::invalid_argument for a header that cannot be built; RunStopped.
Prediction simulated_prediction(const cases::CaseFile& case_file, const std::vector<double>& speeds,
                                double cell_size, unsigned jobs,
                                const std::function<bool()>& keep_going,
                                const std::function<void()>& point_done);

// Pulls that the case of a results file names, over what it predicts; none where the case names
// none. folder: of the files. Throws PullFileError.
std::optional<DynoResult> measured_over_results(const StudyResults& results,
                                                const std::filesystem::path& folder,
                                                models::PowerCorrection shown_as);

}  // namespace pulsewright::tools
