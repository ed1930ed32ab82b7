#include "models/network/network.hpp"

#include <algorithm>
#include <numeric>
#include <stdexcept>

#include "models/boundary/crank_angle.hpp"

namespace pulsewright::models {

namespace {

constexpr long wall_renewal_steps = 16;

std::vector<PipeWall> walls_of(const EngineSpecification& engine, PipeSet& pipes) {
  std::vector<PipeWall> walls;
  for (std::size_t i = 0; i < engine.pipes.size(); ++i) {
    walls.emplace_back(engine.pipes[i], pipes.pipes()[i]);
  }
  return walls;
}

}  // namespace

Network::Network(const EngineSpecification& engine, const solver::Gas& gas, LimiterChoice limiter,
                 Method method, double speed)
    : pipes_(engine, gas, limiter, method),
      walls_(walls_of(engine, pipes_)),
      boundaries_(engine, pipes_),
      cylinders_(engine, speed) {
  for (std::size_t i = 0; i < cylinders_.size(); ++i) {
    firing_angle_.push_back(engine.cylinders[i].firing_angle_deg);
    cylinders_.fill(i, gas, engine.ambient.pressure, engine.ambient.temperature, 0.0, 0.0);
  }
}

void Network::start_from(const std::vector<Source>& from_pipes,
                         const std::vector<Source>& from_cylinders) {
  if (from_cylinders.size() != cylinders_.size() || from_pipes.size() != pipes().size()) {
    throw std::invalid_argument("start_from: not the same pipes and cylinders");
  }
  std::vector<BoundarySet::Source> boundary_sources;
  std::vector<const solver::Pipe*> pipe_sources;
  std::vector<Cylinders::Source> cylinder_sources;
  for (const Source& from : from_pipes) {
    boundary_sources.push_back({&from.network->boundaries_, static_cast<int>(from.i)});
    pipe_sources.push_back(&from.network->pipes()[from.i]);
  }
  cylinder_sources.reserve(from_cylinders.size());
  for (const Source& from : from_cylinders) {
    cylinder_sources.push_back({&from.network->cylinders_, from.i});
  }
  boundaries_.start_from(boundary_sources);  // throws before it changes anything
  pipes_.start_from(pipe_sources);
  for (std::size_t i = 0; i < walls_.size(); ++i) walls_[i].hold_cooled(pipes_.pipes()[i]);
  cylinders_.start_from(cylinder_sources);
}

void Network::make_alike(const EngineSymmetry& symmetry, const std::vector<Network>& earlier) {
  std::vector<std::vector<const solver::Pipe*>> pipe_sources(pipes().size());
  std::vector<std::vector<Cylinders::Source>> cylinder_sources(cylinders_.size());
  std::vector<std::size_t> pipe_image(pipes().size());  // of each, k turns later
  std::vector<std::size_t> cylinder_image(cylinders_.size());
  std::iota(pipe_image.begin(), pipe_image.end(), std::size_t{0});
  std::iota(cylinder_image.begin(), cylinder_image.end(), std::size_t{0});
  for (const Network& then : earlier) {
    for (std::size_t i = 0; i < pipe_image.size(); ++i) {
      pipe_sources[pipe_image[i]].push_back(&then.pipes()[i]);
      pipe_image[i] = symmetry.pipes[pipe_image[i]];
    }
    for (std::size_t i = 0; i < cylinder_image.size(); ++i) {
      cylinder_sources[cylinder_image[i]].push_back({&then.cylinders_, i});
      cylinder_image[i] = symmetry.cylinders[cylinder_image[i]];
    }
  }
  const std::vector<double> weights(earlier.size(), 1.0 / static_cast<double>(earlier.size()));
  set_mean_gas(pipe_sources, cylinder_sources, weights);
}

void Network::set_mean(const std::vector<const Network*>& networks,
                       const std::vector<double>& weights) {
  std::vector<std::vector<const solver::Pipe*>> pipe_sources(pipes().size());
  std::vector<std::vector<Cylinders::Source>> cylinder_sources(cylinders_.size());
  std::vector<const BoundarySet*> boundaries;
  for (const Network* other : networks) {
    for (std::size_t i = 0; i < pipe_sources.size(); ++i) {
      pipe_sources[i].push_back(&other->pipes()[i]);
    }
    for (std::size_t i = 0; i < cylinder_sources.size(); ++i) {
      cylinder_sources[i].push_back({&other->cylinders_, i});
    }
    boundaries.push_back(&other->boundaries_);
  }
  set_mean_gas(pipe_sources, cylinder_sources, weights);
  boundaries_.set_mean_content(boundaries, weights);
}

void Network::set_mean_gas(const std::vector<std::vector<const solver::Pipe*>>& pipe_sources,
                           const std::vector<std::vector<Cylinders::Source>>& cylinder_sources,
                           const std::vector<double>& weights) {
  pipes_.set_mean_gas(pipe_sources, weights);
  for (std::size_t i = 0; i < cylinder_sources.size(); ++i) {
    cylinders_.set_mean_gas(i, cylinder_sources[i], weights);
  }
}

void Network::renew_walls() {
  if (steps_since_renewal_ % wall_renewal_steps == 0) {
    for (std::size_t i = 0; i < walls_.size(); ++i) walls_[i].renew(gas(), pipes_.pipes()[i]);
  }
  ++steps_since_renewal_;
}

void Network::begin_boundaries(const StepInterval& step) {
  open_valves(step);
  boundaries_.begin_step(pipes_, step.dt, time_ + 0.5 * step.dt);
}

// Lift of every valve and the gas behind it, in the middle of the step.
void Network::open_valves(const StepInterval& step) {
  if (cylinders_.size() == 0) return;
  cylinders_.predict_midpoint(gas(), step.dt);
  std::vector<Valve>& valves = boundaries_.valves();
  for (std::size_t i = 0; i < cylinders_.size(); ++i) {
    Valve& exhaust = valves[2 * i];
    Valve& intake = valves[2 * i + 1];
    const double middle = fold(step.angle - firing_angle_[i]) + 0.5 * step.turned;
    const double exhaust_lift = exhaust.lift(middle);
    const double intake_lift = intake.lift(middle);
    const bool overlap = exhaust_lift > 0 && intake_lift > 0;
    exhaust.set_cylinder(exhaust_lift,
                         overlap ? cylinders_.overlap_reservoir(i) : cylinders_.reservoir(i));
    intake.set_cylinder(intake_lift, cylinders_.reservoir(i));
  }
}

void Network::step_cylinders(const StepInterval& step) {
  if (cylinders_.size() == 0) return;
  const auto flow_into_cylinder = [](const Valve& valve) {
    const EndFlux<double>& f = valve.flux(0);
    const double area = valve.end_area();
    return ValveFlow{-area * f.mass, -area * f.energy, -area * f.burnt};
  };
  for (std::size_t i = 0; i < cylinders_.size(); ++i) {
    cylinders_.set_flow(i, flow_into_cylinder(valve(2 * i)), flow_into_cylinder(valve(2 * i + 1)));
  }
  cylinders_.step(gas(), step.angle, step.turned, step.dt);
}

Content Network::content() const {
  Content sum;
  for (const auto& pipe : pipes()) {
    sum.mass += pipe.mass();
    sum.burnt += pipe.burnt();
    sum.energy += pipe.energy();
  }
  boundaries_.add_content(sum);
  for (std::size_t i = 0; i < cylinders_.size(); ++i) {
    sum.mass += cylinders_.mass(i);
    sum.burnt += cylinders_.burnt_mass(i);
    sum.energy += cylinders_.internal_energy(i);
  }
  return sum;
}

Content Network::vented() const {
  Content sum;
  for (const auto& junction : junctions()) {
    sum.mass += junction.vented().mass;
    sum.burnt += junction.vented().burnt;
    sum.energy += junction.vented().energy;
  }
  return sum;
}

double Network::wall_heat() const {
  double sum = balanced_wall_heat_;
  for (const auto& pipe : pipes()) sum += PipeWall::heat_to_gas(pipe);
  return sum;
}

double Network::balance_wall_temperatures(double elapsed) {
  balanced_wall_heat_ = wall_heat();
  double largest = 0;
  for (std::size_t i = 0; i < walls_.size(); ++i) {
    largest = std::max(largest, walls_[i].balance_temperature(pipes_.pipes()[i], elapsed));
  }
  return largest;
}

}  // namespace pulsewright::models
