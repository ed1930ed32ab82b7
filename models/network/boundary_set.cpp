#include "models/network/boundary_set.hpp"

#include <algorithm>
#include <memory>
#include <stdexcept>
#include <string>
#include <type_traits>

#include "models/boundary/weighted_mean.hpp"
#include "models/network/topology.hpp"

namespace pulsewright::models {

namespace {

// The valves of all cylinders.
std::vector<Valve::Specification> valves_of(const EngineSpecification& engine) {
  std::vector<Valve::Specification> valves;
  const auto exhaust = std::make_shared<const PoppetValve>(engine.exhaust_valve);
  const auto intake = std::make_shared<const PoppetValve>(engine.intake_valve);
  for (const CylinderSpecification& c : engine.cylinders) {
    const std::string name = "cylinder " + std::to_string(c.number);
    valves.push_back({name, c.exhaust, ValveKind::exhaust, exhaust});
    valves.push_back({name, c.intake, ValveKind::intake, intake});
  }
  return valves;
}

std::string name_of(const PipeSet& pipes, const PipeEnd& end) {
  return std::string(end.side == Side::left ? "left" : "right") + " end of pipe " +
         pipes.pipes()[static_cast<std::size_t>(end.pipe)].name();
}

template <class>
struct KindOf {};

// action(KindOf<Kind>{}, the specifications of that kind)
template <class Action>
void for_each_kind(const EngineSpecification& engine, const Action& action) {
  action(KindOf<Valve>{}, valves_of(engine));
  action(KindOf<OpenEnd>{}, engine.open_ends);
  action(KindOf<AnechoicEnd>{}, engine.anechoic_ends);
  action(KindOf<OrificeEnd>{}, engine.orifice_ends);
  action(KindOf<PrescribedEnd>{}, engine.prescribed_ends);
  action(KindOf<Junction>{}, engine.junctions);
  action(KindOf<Perforate>{}, engine.perforates);
  action(KindOf<ClosedEnd>{}, engine.closed_ends);
}

}  // namespace

BoundarySet::BoundarySet(const EngineSpecification& engine, const PipeSet& pipes) {
  std::vector<PipeEnd> ends;
  for_each_kind(engine, [&]<class Kind>(KindOf<Kind>, const auto& specifications) {
    for (const auto& spec : specifications) {
      for (const PipeEnd& end : ends_of(spec)) ends.push_back(end);
    }
  });
  check_topology(engine.pipes, ends);
  for_each_kind(engine, [&]<class Kind>(KindOf<Kind>, const auto& specifications) {
    build<Kind>(specifications, engine.ambient, pipes);
  });
  std::size_t count = 0;
  for_each(*this, [&](const auto& boundary, std::size_t, std::size_t first) {
    orifices_ = first + boundary.orifices();
    ++count;
  });
  requested_.resize(count);
}

template <class Kind, class Specification>
void BoundarySet::build(const std::vector<Specification>& specifications, const Ambient& ambient,
                        const PipeSet& pipes) {
  for (const Specification& spec : specifications) {
    states_.clear();
    std::string name;
    for (const PipeEnd& end : ends_of(spec)) {
      states_.push_back(pipes.end_at_rest(end));
      if (name.empty()) name = name_of(pipes, end);
    }
    std::get<std::vector<Kind>>(lists_).emplace_back(
        spec, BoundarySetup{pipes.gas(), ambient, states_, name});
  }
}

template <class Self, class Action>
void BoundarySet::for_each(Self& self, const Action& action) {
  std::size_t place = 0;
  std::size_t first = 0;
  std::apply(
      [&](auto&... lists) {
        const auto each = [&](auto& list) {
          for (auto& boundary : list) {
            action(boundary, place++, first);
            first += boundary.orifices();
          }
        };
        (each(lists), ...);
      },
      self.lists_);
}

void BoundarySet::begin_step(const PipeSet& pipes, double dt, double time) {
  const BoundaryStep step{pipes.gas(), dt, time};
  std::fill(requested_.begin(), requested_.end(), char{1});
  for_each(*this, [&](auto& boundary, std::size_t, std::size_t) {
    states_.clear();
    constexpr bool reads_cell = std::remove_cvref_t<decltype(boundary)>::reads_cell;
    for (const PipeEnd& end : boundary.ends()) states_.push_back(pipes.end<reads_cell>(end));
    boundary.begin_step(step, states_);
  });
}

bool BoundarySet::request(OrificeBatch& orifices, std::size_t first) {
  bool any = false;
  for_each(*this, [&](auto& boundary, std::size_t i, std::size_t number) {
    if (!requested_[i]) return;  // its fluxes are known
    requested_[i] = boundary.request(orifices, first + number);
    any = any || requested_[i];
  });
  return any;
}

void BoundarySet::apply(const OrificeBatch& orifices, std::size_t first) {
  for_each(*this, [&](auto& boundary, std::size_t i, std::size_t number) {
    if (requested_[i]) boundary.apply(orifices, first + number);
  });
}

void BoundarySet::set_fluxes(PipeSet& pipes) const {
  for_each(*this, [&](const auto& boundary, std::size_t, std::size_t) {
    std::size_t k = 0;
    for (const PipeEnd& end : boundary.ends()) pipes.set_flux(end, boundary.flux(k++));
  });
}

std::vector<Content> BoundarySet::outlets() const {
  std::vector<Content> passed;
  for_each(*this, [&](const auto& boundary, std::size_t, std::size_t) {
    if constexpr (std::remove_cvref_t<decltype(boundary)>::is_outlet) {
      passed.push_back(boundary.outflow());
    }
  });
  return passed;
}

void BoundarySet::add_content(Content& sum) const {
  for_each(*this, [&](const auto& boundary, std::size_t, std::size_t) {
    const Content content = boundary.content();
    sum.mass += content.mass;
    sum.burnt += content.burnt;
    sum.energy += content.energy;
  });
}

template <class Kind>
const Kind* BoundarySet::at(const PipeEnd& end) const {
  for (const Kind& boundary : of<Kind>()) {
    for (const PipeEnd& own : boundary.ends()) {
      if (own.pipe == end.pipe && own.side == end.side) return &boundary;
    }
  }
  return nullptr;
}

void BoundarySet::start_from(const std::vector<Source>& sources) {
  const auto source_of = [&]<class Kind>(const Kind& boundary) -> const Kind* {
    for (const PipeEnd& end : boundary.ends()) {
      const Source& source = sources[static_cast<std::size_t>(end.pipe)];
      if (const Kind* found = source.boundaries->at<Kind>({source.pipe, end.side})) return found;
    }
    throw std::invalid_argument("start_from: not the same boundaries");
  };
  const auto each = [&](const auto& action) {
    std::apply(
        [&](auto&... lists) {
          const auto one = [&]<class Kind>(std::vector<Kind>& list) {
            if constexpr (Kind::has_state) {
              for (Kind& boundary : list) action(boundary);
            }
          };
          (one(lists), ...);
        },
        lists_);
  };
  each([&](auto& boundary) { source_of(boundary); });
  each([&](auto& boundary) { boundary.start_from(*source_of(boundary)); });
}

void BoundarySet::set_mean_content(const std::vector<const BoundarySet*>& others,
                                   const std::vector<double>& weights) {
  std::vector<Junction>& junctions = std::get<std::vector<Junction>>(lists_);
  for (std::size_t i = 0; i < junctions.size(); ++i) {
    const auto of = [&](std::size_t k) -> const JunctionContent& {
      return others[k]->of<Junction>()[i].volume_content();
    };
    JunctionContent content{};
    content.mass = weighted_geometric_mean(weights, [&](std::size_t k) { return of(k).mass; });
    content.energy = weighted_geometric_mean(weights, [&](std::size_t k) { return of(k).energy; });
    content.burnt = std::clamp(weighted_mean(weights, [&](std::size_t k) { return of(k).burnt; }),
                               0.0, content.mass);
    for (std::size_t x = 0; x < content.momentum.size(); ++x) {
      content.momentum.at(x) =
          weighted_mean(weights, [&](std::size_t k) { return of(k).momentum.at(x); });
    }
    junctions[i].set_volume_content(content);
  }
}

}  // namespace pulsewright::models
