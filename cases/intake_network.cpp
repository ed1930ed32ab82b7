#include "cases/intake_network.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "cases/fuel.hpp"
#include "models/sizing/circle.hpp"

namespace pulsewright::cases {
namespace {

using models::PipeEnd;
using models::Side;

// Of gas that enters a pipe through an orifice of that area ratio with a loss on rho u^2 / 2, see
// models/boundary/open_end.hpp.
double entering_ratio(double area_ratio, double loss) {
  return area_ratio / std::sqrt(1 + area_ratio * area_ratio * loss);
}

// Index of a new junction that is a volume of gas at rest, whatever the merges of the exhaust are.
std::size_t add_vessel(models::EngineSpecification& engine, const char* name, double volume,
                       double entering) {
  models::JunctionSpecification vessel;
  vessel.name = name;
  vessel.law = models::JunctionLaw::plenum;
  vessel.volume = volume;
  vessel.vent_temperature = entering;
  engine.junctions.push_back(vessel);
  return engine.junctions.size() - 1;
}

models::PipeSpecification intake_pipe(std::string name, const Intake& intake, double length,
                                      double entry_diameter, double end_diameter) {
  models::PipeSpecification pipe;
  pipe.name = std::move(name);
  pipe.length = length;
  pipe.profile = {{0, entry_diameter}, {length, end_diameter}};
  pipe.roughness = intake.roughness;
  pipe.wall.finish = models::WallFinish::fixed;
  pipe.wall.temperature = intake.wall_temperature;
  return pipe;
}

void add_open_entry(models::EngineSpecification& engine, const PipeEnd& entry, double loss,
                    double area_ratio, double entering) {
  models::OpenEndSpecification open;
  open.end = entry;
  open.effective_area_ratio = area_ratio;
  open.entry_loss = loss;
  open.outside_temperature = entering;
  engine.open_ends.push_back(open);
}

class Vessels {
 public:
  // entering: K, of what comes in from outside.
  Vessels(NetworkBuilder& builder, const Intake& intake, double entering)
      : builder_(builder), engine_(builder.engine()), intake_(intake), entering_(entering) {
    if (intake.source == IntakeSource::plenum) {
      plenum_ = add_vessel(engine_, "plenum", intake.plenum_volume, entering);
      if (intake.throttle_length == 0) {
        engine_.junctions[plenum_].vent_area = intake.open_throttle_area();
      }
    }
    if (intake.air_box_volume > 0) {
      air_box_ = add_vessel(engine_, "air box", intake.air_box_volume, entering);
      engine_.junctions[air_box_].vent_area = intake.air_box_inlet_area;
    }
  }

  void connect_runner(const PipeEnd& entry) {
    if (const std::size_t vessel = plenum_ != none ? plenum_ : air_box_; vessel != none) {
      join(vessel, entry, entering_ratio(intake_.entry_area_ratio, intake_.entry_loss),
           intake_.entry_area_ratio);
    } else {
      add_open_entry(engine_, entry, intake_.entry_loss, intake_.entry_area_ratio, entering_);
    }
  }

  // The pipes ahead of plenum and air box.
  void finish() {
    if (plenum_ != none && intake_.throttle_length > 0) add_barrels();
    if (air_box_ == none || intake_.air_box_inlet_length == 0) return;
    const double diameter = intake_.air_box_inlet_diameter;
    const int inlet = builder_.add_pipe(
        intake_pipe("air box inlet", intake_, intake_.air_box_inlet_length, diameter, diameter));
    add_open_entry(engine_, {inlet, Side::left}, intake_.air_box_inlet_loss, 1, entering_);
    join(air_box_, {inlet, Side::right}, 1, 1);
  }

 private:
  static constexpr std::size_t none = static_cast<std::size_t>(-1);

  void join(std::size_t vessel, const PipeEnd& end, double into_pipe, double out_of_pipe) {
    engine_.junctions[vessel].branches.push_back(
        {end, Eigen::Vector3d::UnitX(), into_pipe, out_of_pipe});
  }

  void add_barrels() {
    const double count = std::sqrt(static_cast<double>(intake_.throttle_count));
    const double diameter = count * intake_.throttle_diameter;  // of the circle of their area
    models::PipeSpecification barrels =
        intake_pipe("throttle", intake_, intake_.throttle_length, diameter, diameter);
    barrels.hydraulic_ratio = 1 / count;
    barrels.friction = false;  // the rating has it
    const int throttle = builder_.add_pipe(std::move(barrels));
    const double area = models::circle_area(diameter);
    const double ratio = std::min(1.0, intake_.open_throttle_area() / area);
    join(plenum_, {throttle, Side::right}, ratio, ratio);
    if (air_box_ != none) {
      join(air_box_, {throttle, Side::left}, 1, 1);
    } else {
      add_open_entry(engine_, {throttle, Side::left}, 0, 1, entering_);
    }
  }

  NetworkBuilder& builder_;
  models::EngineSpecification& engine_;
  const Intake& intake_;
  double entering_;
  std::size_t plenum_ = none, air_box_ = none;  // indices of their junctions
};

}  // namespace

void add_intake(NetworkBuilder& builder, const CaseFile& case_file) {
  if (builder.engine().cylinders.empty()) return;
  const Intake& intake = case_file.intake;
  Vessels vessels(
      builder, intake,
      temperature_after_evaporation(case_file.combustion, case_file.ambient.temperature));
  for (models::CylinderSpecification& cylinder : builder.engine().cylinders) {
    const int runner =
        builder.add_pipe(intake_pipe(fmt::format("runner {}", cylinder.number), intake,
                                     intake.length, intake.entry_diameter, intake.valve_diameter));
    cylinder.intake = {runner, Side::right};
    vessels.connect_runner({runner, Side::left});
  }
  vessels.finish();
}

}  // namespace pulsewright::cases
