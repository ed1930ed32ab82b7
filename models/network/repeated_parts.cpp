#include "models/network/repeated_parts.hpp"

#include <algorithm>
#include <numeric>
#include <optional>
#include <set>

#include "models/network/symmetry.hpp"
#include "models/network/topology.hpp"

namespace pulsewright::models {

namespace {

std::size_t pipe_of(const PipeEnd& end) { return static_cast<std::size_t>(end.pipe); }

// Indices of its pipes and cylinders, ascending.
struct Part {
  std::vector<std::size_t> pipes, cylinders;
};

// action(ends that are joined), for every boundary and cylinder.
template <class Action>
void for_each_joint(const EngineSpecification& engine, const Action& action) {
  for (const auto& cylinder : engine.cylinders) {
    action(std::vector<PipeEnd>{cylinder.exhaust, cylinder.intake});
  }
  const auto each = [&](const auto& specifications) {
    for (const auto& spec : specifications) {
      const auto ends = ends_of(spec);
      action(std::vector<PipeEnd>(ends.begin(), ends.end()));
    }
  };
  each(engine.junctions);
  each(engine.perforates);
  each(engine.open_ends);
  each(engine.closed_ends);
  each(engine.anechoic_ends);
  each(engine.prescribed_ends);
  each(engine.orifice_ends);
}

// The part of each pipe, as the smallest index of its pipes.
std::vector<std::size_t> part_of_pipes(const EngineSpecification& engine) {
  std::vector<std::size_t> part(engine.pipes.size());
  std::iota(part.begin(), part.end(), std::size_t{0});
  for_each_joint(engine, [&](const std::vector<PipeEnd>& ends) {
    for (const PipeEnd& end : ends) {
      const std::size_t one = std::min(part[pipe_of(end)], part[pipe_of(ends.front())]);
      const std::size_t other = std::max(part[pipe_of(end)], part[pipe_of(ends.front())]);
      std::replace(part.begin(), part.end(), other, one);
    }
  });
  return part;
}

// Those with a cylinder: that of the cylinder `first`, then by their cylinders.
std::vector<Part> parts_of(const EngineSpecification& engine, std::size_t first) {
  const std::vector<std::size_t> number = part_of_pipes(engine);
  std::vector<Part> parts;
  std::vector<std::size_t> order(engine.cylinders.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  if (first < order.size()) std::swap(order.front(), order[first]);
  std::set<std::size_t> known;
  for (const std::size_t c : order) {
    const std::size_t part = number[pipe_of(engine.cylinders[c].exhaust)];
    if (!known.insert(part).second) continue;
    Part& added = parts.emplace_back();
    for (std::size_t i = 0; i < number.size(); ++i) {
      if (number[i] == part) added.pipes.push_back(i);
    }
    for (std::size_t i = 0; i < engine.cylinders.size(); ++i) {
      if (number[pipe_of(engine.cylinders[i].exhaust)] == part) added.cylinders.push_back(i);
    }
  }
  return parts;
}

// Whether all of an engine belongs to its parts: pipes that no cylinder reaches stand for
// themselves, and then nothing is divided.
bool hold_all(const std::vector<Part>& parts, const EngineSpecification& engine) {
  std::size_t pipes = 0;
  for (const Part& part : parts) pipes += part.pipes.size();
  return pipes == engine.pipes.size() &&
         std::none_of(engine.junctions.begin(), engine.junctions.end(),
                      [](const auto& junction) { return junction.branches.empty(); });
}

// The engine with some of its pipes and what belongs to them.
EngineSpecification with_pipes(const EngineSpecification& engine,
                               const std::vector<std::size_t>& pipes) {
  std::vector<int> place(engine.pipes.size(), -1);  // where each goes
  for (std::size_t i = 0; i < pipes.size(); ++i) place[pipes[i]] = static_cast<int>(i);
  const auto keeps = [&](const PipeEnd& end) { return place[pipe_of(end)] >= 0; };
  const auto move = [&](PipeEnd& end) { end.pipe = place[pipe_of(end)]; };
  EngineSpecification part = engine;
  part.pipes.clear();
  for (const std::size_t pipe : pipes) part.pipes.push_back(engine.pipes[pipe]);
  const auto keep = [&](auto& specifications, const auto& first_end, const auto& move_ends) {
    std::erase_if(specifications, [&](const auto& spec) { return !keeps(first_end(spec)); });
    for (auto& spec : specifications) move_ends(spec);
  };
  const auto move_branches = [&](JunctionSpecification& junction) {
    for (Branch& branch : junction.branches) move(branch.end);
  };
  keep(
      part.junctions, [](const auto& j) { return j.branches.front().end; }, move_branches);
  keep(
      part.perforates, [](const auto& p) { return p.core.branches.front().end; },
      [&](PerforateSpecification& perforate) {
        move_branches(perforate.core);
        move_branches(perforate.space);
      });
  const auto keep_ends = [&](auto& specifications) {
    keep(
        specifications, [](const auto& spec) { return spec.end; },
        [&](auto& spec) { move(spec.end); });
  };
  keep_ends(part.open_ends);
  keep_ends(part.closed_ends);
  keep_ends(part.anechoic_ends);
  keep_ends(part.prescribed_ends);
  keep_ends(part.orifice_ends);
  std::vector<int> cylinder_place;
  int cylinders = 0;
  for (const auto& cylinder : part.cylinders) {
    cylinder_place.push_back(keeps(cylinder.exhaust) ? cylinders++ : -1);
  }
  keep(
      part.cylinders, [](const auto& cylinder) { return cylinder.exhaust; },
      [&](CylinderSpecification& cylinder) {
        move(cylinder.exhaust);
        move(cylinder.intake);
      });
  std::erase_if(part.exhaust_paths, [&](const ExhaustPath& path) {
    return cylinder_place[static_cast<std::size_t>(path.cylinder)] < 0;
  });
  for (ExhaustPath& path : part.exhaust_paths) {
    path.cylinder = cylinder_place[static_cast<std::size_t>(path.cylinder)];
    for (int& pipe : path.pipes) pipe = place[static_cast<std::size_t>(pipe)];
  }
  part.probes.clear();
  return part;
}

// A part that is computed, and its copies.
struct Sort {
  const Part* part;
  EngineSpecification engine;
  struct Copy {
    const Part* part;
    EngineImages images;
  };
  std::vector<Copy> copies;
};

std::vector<Sort> sorts_of(const EngineSpecification& engine, const std::vector<Part>& parts) {
  std::vector<Sort> sorts;
  for (const Part& part : parts) {
    EngineSpecification own = with_pipes(engine, part.pipes);
    bool found = false;
    for (Sort& sort : sorts) {
      if (auto images = images_of(sort.engine, own)) {
        sort.copies.push_back({&part, std::move(*images)});
        found = true;
        break;
      }
    }
    if (!found) sorts.push_back({&part, std::move(own), {}});
  }
  return sorts;
}

std::size_t place_in(const std::vector<std::size_t>& sorted, std::size_t value) {
  return static_cast<std::size_t>(std::lower_bound(sorted.begin(), sorted.end(), value) -
                                  sorted.begin());
}

void set_images(const Sort& sort, const std::vector<std::size_t> Part::*list,
                const std::vector<std::size_t> EngineImages::*image_list,
                const std::vector<std::size_t>& computed,
                std::vector<RepeatedParts::Image>& images) {
  const std::vector<std::size_t>& own = sort.part->*list;
  for (std::size_t k = 0; k < own.size(); ++k) {
    const std::size_t source = place_in(computed, own[k]);
    images[own[k]] = {source, 0, 0};
    for (std::size_t copy = 0; copy < sort.copies.size(); ++copy) {
      const Sort::Copy& c = sort.copies[copy];
      images[(c.part->*list)[(c.images.*image_list)[k]]] = {source, copy + 1, c.images.turn};
    }
  }
}

}  // namespace

std::vector<double> RepeatedParts::shifts() const {
  std::set<double> found;
  for (const Image& image : pipes) {
    if (image.shift > 0) found.insert(image.shift);
  }
  return {found.begin(), found.end()};
}

std::size_t RepeatedParts::cylinder_beside(std::size_t computed_cylinder,
                                           std::size_t engine_pipe) const {
  const auto at = std::find_if(cylinders.begin(), cylinders.end(), [&](const Image& image) {
    return image.source == computed_cylinder && image.copy == pipes[engine_pipe].copy;
  });
  return static_cast<std::size_t>(at - cylinders.begin());
}

RepeatedParts undivided(const EngineSpecification& engine) {
  RepeatedParts whole;
  whole.computed = engine;
  for (std::size_t i = 0; i < engine.cylinders.size(); ++i) whole.cylinders.push_back({i, 0, 0});
  for (std::size_t i = 0; i < engine.pipes.size(); ++i) whole.pipes.push_back({i, 0, 0});
  return whole;
}

std::vector<EngineSpecification> independent_parts_of(const EngineSpecification& engine) {
  const std::vector<Part> parts = parts_of(engine, 0);
  if (parts.size() < 2 || !hold_all(parts, engine)) return {engine};
  std::vector<EngineSpecification> divided;
  divided.reserve(parts.size());
  for (const Part& part : parts) divided.push_back(with_pipes(engine, part.pipes));
  return divided;
}

RepeatedParts repeated_parts_of(const EngineSpecification& engine, std::size_t first) {
  std::vector<PipeEnd> ends;
  for_each_joint(engine, [&](const std::vector<PipeEnd>& joined) {
    ends.insert(ends.end(), joined.begin(), joined.end());
  });
  check_topology(engine.pipes, ends);
  const std::vector<Part> parts = parts_of(engine, first);
  if (parts.size() < 2 || !hold_all(parts, engine)) return undivided(engine);
  const std::vector<Sort> sorts = sorts_of(engine, parts);
  const std::size_t copies = sorts.front().copies.size();
  const bool even = std::all_of(sorts.begin(), sorts.end(),
                                [&](const Sort& sort) { return sort.copies.size() == copies; });
  if (copies == 0 || !even) return undivided(engine);

  RepeatedParts result;
  result.copies = copies + 1;
  std::vector<std::size_t> pipes;
  std::vector<std::size_t> cylinders;
  for (const Sort& sort : sorts) {
    pipes.insert(pipes.end(), sort.part->pipes.begin(), sort.part->pipes.end());
    cylinders.insert(cylinders.end(), sort.part->cylinders.begin(), sort.part->cylinders.end());
  }
  std::sort(pipes.begin(), pipes.end());
  std::sort(cylinders.begin(), cylinders.end());
  result.computed = with_pipes(engine, pipes);
  result.pipes.resize(engine.pipes.size());
  result.cylinders.resize(engine.cylinders.size());
  for (const Sort& sort : sorts) {
    set_images(sort, &Part::pipes, &EngineImages::pipes, pipes, result.pipes);
    set_images(sort, &Part::cylinders, &EngineImages::cylinders, cylinders, result.cylinders);
  }
  for (ProbeSpecification probe : engine.probes) {
    probe.pipe = static_cast<int>(result.pipes[static_cast<std::size_t>(probe.pipe)].source);
    result.computed.probes.push_back(probe);
  }
  return result;
}

RepeatedParts parts_to_compute(const EngineSpecification& engine, const RunSettings& settings) {
  if (settings.same_parts == SameParts::each) return undivided(engine);
  return repeated_parts_of(engine, static_cast<std::size_t>(settings.wave_cylinder));
}

}  // namespace pulsewright::models
