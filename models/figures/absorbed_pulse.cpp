#include "models/figures/absorbed_pulse.hpp"

#include <algorithm>
#include <optional>
#include <stdexcept>
#include <string>

#include "models/figures/merge_figures.hpp"

namespace pulsewright::models {

namespace {

// The first merge on the way of a cylinder's pulse.
struct MergeEntry {
  std::size_t junction = 0;
  std::size_t branch = 0;  // of the junction
  std::size_t part = 0;    // of the path
};

std::optional<MergeEntry> merge_entry(const EngineSpecification& engine, std::size_t cylinder) {
  if (cylinder >= engine.exhaust_paths.size()) return std::nullopt;
  const auto& pipes = engine.exhaust_paths[cylinder].pipes;
  const auto merges = merges_of(engine);
  for (std::size_t part = 0; part < pipes.size(); ++part) {
    for (const std::size_t j : merges) {
      const auto& branches = engine.junctions[j].branches;
      for (std::size_t b = 0; b < branches.size(); ++b) {
        if (branches[b].end.pipe == pipes[part] && branches[b].end.side == Side::right) {
          return MergeEntry{j, b, part};
        }
      }
    }
  }
  return std::nullopt;
}

}  // namespace

bool has_merge_entry(const EngineSpecification& engine, std::size_t cylinder) {
  return merge_entry(engine, cylinder).has_value();
}

EngineSpecification with_pulse_absorbed(const EngineSpecification& engine, std::size_t cylinder) {
  const auto entry = merge_entry(engine, cylinder);
  if (!entry) {
    throw std::invalid_argument("the exhaust of cylinder number " + std::to_string(cylinder + 1) +
                                " meets no other one at a merge");
  }
  EngineSpecification changed = engine;
  auto& branches = changed.junctions[entry->junction].branches;
  changed.anechoic_ends.push_back({branches[entry->branch].end});
  branches.erase(branches.begin() + static_cast<std::ptrdiff_t>(entry->branch));
  changed.exhaust_paths[cylinder].pipes.resize(entry->part + 1);
  return changed;
}

}  // namespace pulsewright::models
