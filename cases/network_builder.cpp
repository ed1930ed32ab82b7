#include "cases/network_builder.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numbers>
#include <stdexcept>

#include "cases/fuel.hpp"
#include "cases/grouping.hpp"
#include "cases/parameters.hpp"
#include "cases/primary_pieces.hpp"
#include "models/boundary/junction_constants.hpp"
#include "models/boundary/merge_place.hpp"
#include "models/network/pipe_wall.hpp"

namespace pulsewright::cases {
namespace {

constexpr double degree = std::numbers::pi / 180;

// cos and sin of right angles must be exact, or a straight tube would get a lateral force.
Eigen::Vector3d on_axis(double along, double angle_deg, double azimuth_deg) {
  const double sine = std::sin(angle_deg * degree);
  Eigen::Vector3d direction(along * std::cos(angle_deg * degree),
                            sine * std::cos(azimuth_deg * degree),
                            sine * std::sin(azimuth_deg * degree));
  for (double& component : direction) {
    if (std::abs(component) < 1e-15) component = 0;
  }
  return direction.normalized();
}

std::size_t cylinder_index(const models::EngineSpecification& engine, int number) {
  const auto found = std::find_if(engine.cylinders.begin(), engine.cylinders.end(),
                                  [number](const auto& c) { return c.number == number; });
  if (found == engine.cylinders.end()) {
    throw std::invalid_argument(fmt::format("there is no cylinder {}", number));
  }
  return static_cast<std::size_t>(found - engine.cylinders.begin());
}

}  // namespace

Eigen::Vector3d incoming_direction(double angle_deg, double azimuth_deg) {
  return on_axis(-1, angle_deg, azimuth_deg);
}

Eigen::Vector3d outgoing_direction(double angle_deg, double azimuth_deg) {
  return on_axis(1, angle_deg, azimuth_deg);
}

NetworkBuilder::NetworkBuilder(const CaseFile& case_file, const BuildOptions& options,
                               const std::string& name)
    : case_(case_file),
      options_(options),
      cell_size_(options.cell_size > 0 ? options.cell_size : case_file.run.cell_size) {
  engine_.name = name;
  engine_.ambient = case_file.ambient;
  engine_.geometry = case_file.engine.geometry;
  engine_.combustion = case_file.combustion;
  engine_.cylinder_heat = case_file.cylinder_heat;
  engine_.friction = case_file.friction;
  engine_.exhaust_valve = case_file.exhaust_valve;
  engine_.intake_valve = case_file.intake_valve;
  engine_.scavenge_displacement = case_file.engine.scavenge_displacement;
  for (std::size_t i = 0; i < case_file.engine.firing_order.size(); ++i) {
    models::CylinderSpecification cylinder;
    cylinder.number = static_cast<int>(i) + 1;
    cylinder.firing_angle_deg = firing_angle(case_file.engine, cylinder.number);
    for (std::size_t bank = 0; bank < case_file.engine.banks.size(); ++bank) {
      const auto& members = case_file.engine.banks[bank].cylinders;
      if (std::find(members.begin(), members.end(), cylinder.number) != members.end()) {
        cylinder.bank = static_cast<int>(bank);
      }
    }
    engine_.cylinders.push_back(cylinder);
    engine_.exhaust_paths.push_back({static_cast<int>(i), {}});
  }
}

int NetworkBuilder::add_pipe(models::PipeSpecification pipe) {
  pipe.cell_size = cell_size_;
  engine_.pipes.push_back(std::move(pipe));
  return static_cast<int>(engine_.pipes.size()) - 1;
}

models::PipeSpecification NetworkBuilder::exhaust_pipe(std::string name,
                                                       std::vector<models::ProfilePoint> profile,
                                                       double wall) const {
  models::PipeSpecification pipe;
  pipe.name = std::move(name);
  pipe.length = profile.back().x;
  pipe.profile = std::move(profile);
  pipe.roughness = case_.exhaust.roughness;
  pipe.heat = case_.exhaust.heat;
  pipe.heat_multiplier = case_.exhaust.heat_multiplier;
  pipe.wall = case_.exhaust.wall;
  if (wall > 0) pipe.wall.thickness = wall;
  // Starts about as hot as it will run, which saves cycles and changes no converged result.
  pipe.initial_temperature = 1000;
  pipe.initial_burnt = 1;
  return pipe;
}

double NetworkBuilder::merge_behind_crotch(double tube_diameter) const {
  if (options_.as_measured) return 0;
  return models::merge_behind_crotch(tube_diameter, options_.law.value_or(case_.exhaust.law));
}

int NetworkBuilder::add_primary(const HeaderDesign& header, int cylinder, double beyond) {
  const Exhaust& exhaust = case_.exhaust;
  const std::vector<models::Bend>& bends = header.primaries.at(cylinder).bends;
  int last = -1;
  for (PrimaryPiece& piece : primary_pieces(exhaust, header, cylinder, beyond)) {
    models::PipeSpecification pipe =
        exhaust_pipe(std::move(piece.name), std::move(piece.profile), piece.tube.wall);
    pipe.bends = bends;
    for (models::Bend& bend : pipe.bends) bend.angle_deg *= piece.share;
    pipe.cooled_length = piece.port;
    pipe.cooled_temperature = exhaust.port_wall_temperature;
    const int index = add_pipe(std::move(pipe));
    if (last < 0) {
      connect_exhaust(cylinder, {index, models::Side::left});
    } else {
      add_joint("before " + engine_.pipes[static_cast<std::size_t>(index)].name, last, index);
    }
    extend_path(cylinder, index);
    last = index;
  }
  return last;
}

void lose_at_step(models::PipeSpecification& before, models::PipeSpecification& behind) {
  const double ratio = before.profile.back().diameter / behind.profile.front().diameter;
  const double area_ratio = std::pow(std::min(ratio, 1 / ratio), 2);  // narrow over wide
  // The junction itself loses a part of it.
  const double of_junction =
      models::JunctionConstants{}.contraction_loss * std::pow(1 - area_ratio, 2);
  const double entry = models::contraction_loss(area_ratio) - of_junction;
  (ratio < 1 ? before.right_entry_loss : behind.left_entry_loss) = entry;
}

void NetworkBuilder::add_joint(std::string name, int before, int behind) {
  models::PipeSpecification& left = engine_.pipes[static_cast<std::size_t>(before)];
  models::PipeSpecification& right = engine_.pipes[static_cast<std::size_t>(behind)];
  lose_at_step(left, right);
  models::JunctionSpecification joint;
  joint.name = std::move(name);
  joint.law = models::JunctionLaw::momentum;
  joint.branches = {{{before, models::Side::right}, -Eigen::Vector3d::UnitX()},
                    {{behind, models::Side::left}, Eigen::Vector3d::UnitX()}};
  engine_.junctions.push_back(std::move(joint));
}

void NetworkBuilder::connect_exhaust(int cylinder, models::PipeEnd end) {
  engine_.cylinders[cylinder_index(engine_, cylinder)].exhaust = end;
}

void NetworkBuilder::extend_path(int cylinder, int pipe) {
  engine_.exhaust_paths[cylinder_index(engine_, cylinder)].pipes.push_back(pipe);
}

models::JunctionSpecification& NetworkBuilder::add_junction(std::string name) {
  models::JunctionSpecification junction;
  junction.name = std::move(name);
  junction.law = options_.law.value_or(case_.exhaust.law);
  junction.coupling = options_.coupling;
  engine_.junctions.push_back(std::move(junction));
  return engine_.junctions.back();
}

void NetworkBuilder::add_outlet(models::PipeEnd end, const Eigen::Vector3d& position) {
  models::OpenEndSpecification open;
  open.end = end;
  // A plain tube end, sharp edge, as an open end of a network that says nothing else.
  open.entry_loss = default_value(*find_parameter("header.pipe", "entry_loss"));
  open.position = position;
  engine_.open_ends.push_back(open);
}

}  // namespace pulsewright::cases
