#include "cases/read_parts.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <string_view>
#include <utility>

#include "cases/flow_bench.hpp"
#include "cases/header_builder.hpp"
#include "cases/nearest_key.hpp"
#include "cases/tail_parts.hpp"
#include "cases/visible_text.hpp"

namespace pulsewright::cases {
namespace {

constexpr double least_inside = 0.02;  // m

// Keys of a kind: those it needs, and those it may have.
struct KindKeys {
  std::vector<std::string_view> needed, possible;
};

const KindKeys& keys_of_kind(PartKind kind) {
  static const std::map<PartKind, KindKeys> keys{
      {PartKind::pipe, {{"length"}, {"tube"}}},
      {PartKind::catalyst,
       {{"length", "diameter", "cells", "channel_wall"}, {"cone_length", "channels"}}},
      {PartKind::straight_through,
       {{"length", "diameter"}, {"tube", "hole_share", "hole_diameter", "core_wall"}}},
      {PartKind::chamber, {{"length", "diameter"}, {"inlet_inside", "outlet_inside"}}},
      {PartKind::quarter_wave, {{"tube", "length"}, {}}},
      {PartKind::helmholtz, {{"tube", "length", "volume"}, {}}},
      {PartKind::back_pressure,
       {{"pressure"}, {"mass_flow", "volume_flow", "temperature", "tube", "length"}}},
  };
  return keys.at(kind);
}

void check_keys_of_part(Section& s, PartKind kind) {
  const KindKeys& keys = keys_of_kind(kind);
  const auto among = [](const std::vector<std::string_view>& list, std::string_view key) {
    return std::find(list.begin(), list.end(), key) != list.end();
  };
  for (const std::string& key : keys_of("header.part")) {
    if (key == "kind" || key == "behind") continue;
    if (among(keys.needed, key) && !s.has(key)) {
      s.problem(
          key, fmt::format("is missing; kind = \"{}\" needs it", part_kind_name(kind)),
          fmt::format("for example: {} = {}", key, find_parameter("header.part", key)->example));
    } else if (s.has(key) && !among(keys.needed, key) && !among(keys.possible, key)) {
      s.problem(key, fmt::format("does not belong to kind = \"{}\"", part_kind_name(kind)),
                "remove it, or change kind");
    }
  }
}

void check_catalyst(Section& s, const TailPart& part) {
  const double wall = part.channel_wall;
  if (wall * std::sqrt(part.cells) < 0.7) return;
  s.problem("channel_wall",
            fmt::format("leaves no channels: cells and walls stand {} apart",
                        s.shown().length(1 / std::sqrt(part.cells))),
            "check cells and channel_wall; for example: cells = \"400 cpsi\", channel_wall = "
            "\"4 thou\"");
}

void check_chamber(Section& s, const TailPart& part) {
  for (const auto& [key, inside] : {std::pair{"inlet_inside", part.inlet_inside},
                                    std::pair{"outlet_inside", part.outlet_inside}}) {
    if (inside > 0 && inside < least_inside) {
      s.problem(key, "is too short to be computed",
                fmt::format("leave it out, or at least {}", s.shown().length(least_inside)));
      return;
    }
  }
  if (part.inlet_inside + part.outlet_inside + least_inside <= part.length) return;
  s.problem(part.inlet_inside > 0 ? "inlet_inside" : "outlet_inside",
            "leaves no room between the tubes inside the chamber",
            fmt::format("at least {} between their ends", s.shown().length(least_inside)));
}

void set_mass_flow(Section& s, TailPart& part, double volume_flow, double ambient_pressure) {
  if (s.has("mass_flow") == s.has("volume_flow")) {
    s.problem(s.has("mass_flow") ? "volume_flow" : "mass_flow",
              s.has("mass_flow") ? "is given beside mass_flow" : "is missing",
              "a back pressure belongs to one flow; for example: mass_flow = \"600 kg/h\"");
    return;
  }
  if (s.has("mass_flow") && !s.has("temperature")) {
    s.problem("temperature", "is missing; the pressure drop of a mass flow goes with it",
              "give that of the gas when it was measured, for example: temperature = \"600 degC\"");
  }
  if (s.has("volume_flow")) {
    part.mass_flow = volume_flow * ambient_pressure / (air_gas_constant * part.temperature);
  }
}

TailPart read_part(Section& s, const models::Ambient& ambient) {
  TailPart part;
  part.line = s.line();
  part.kind = s.enumerator<PartKind>("kind");
  part.behind = s.text("behind");
  part.tube = s.tube("tube");
  part.length = s.quantity("length");
  part.diameter = s.quantity("diameter");
  part.cone_length = s.quantity("cone_length");
  part.cells = s.quantity("cells");
  part.channel_wall = s.quantity("channel_wall");
  part.round_channels = s.choice("channels") == "round";
  part.hole_share = s.number("hole_share");
  part.hole_diameter = s.quantity("hole_diameter");
  part.core_wall = s.quantity("core_wall");
  part.inlet_inside = s.quantity("inlet_inside");
  part.outlet_inside = s.quantity("outlet_inside");
  part.volume = s.quantity("volume");
  part.pressure = s.quantity("pressure");
  part.mass_flow = s.quantity("mass_flow");
  const double volume_flow = s.quantity("volume_flow");
  part.temperature = s.quantity("temperature");
  s.finish();
  if (!s.has("kind")) return part;
  check_keys_of_part(s, part.kind);
  if (part.kind == PartKind::catalyst && s.has("cells")) check_catalyst(s, part);
  if (part.kind == PartKind::chamber) check_chamber(s, part);
  if (part.kind == PartKind::back_pressure) {
    if (!s.has("length")) part.length = usual_loss_length;
    set_mass_flow(s, part, volume_flow, ambient.pressure);
  }
  return part;
}

// What is wrong with a header's parts where they stand.
class Places {
 public:
  Places(Problems& problems, const CaseFile& case_file, std::size_t header)
      : problems_(problems),
        header_(case_file.headers[header]),
        key_(fmt::format("header[{}].part", header + 1)) {
    HeaderDesign bare = header_;
    bare.parts.clear();
    bare.probes.clear();
    engine_ = build_engine(case_file, bare);
  }

  void check() {
    for (std::size_t i = 0; i < header_.parts.size(); ++i) check_behind(i);
    if (problems_.any()) return;
    for (const TailChain& chain : tail_chains(engine_, header_)) check_chain(chain);
  }

 private:
  void add(std::size_t part, const std::string& key, std::string value, std::string message,
           std::string advice) {
    problems_.add({"", header_.parts[part].line, fmt::format("{}[{}].{}", key_, part + 1, key),
                   std::move(value), std::move(message), "", std::move(advice)});
  }

  void check_behind(std::size_t i) {
    const TailPart& part = header_.parts[i];
    const bool network = header_.kind == HeaderKind::network;
    if (!network) {
      if (part.behind.empty()) return;
      add(i, "behind", fmt::format("\"{}\"", shortened(part.behind)),
          "is given, but only a network has pipes to name",
          "remove it: the part stands behind every collector");
      return;
    }
    std::vector<std::string> ends;
    for (const auto& open : engine_.open_ends) {
      if (open.end.side != models::Side::right) continue;
      for (const NetworkPipe& pipe : header_.pipes) {
        const auto& name = engine_.pipes[static_cast<std::size_t>(open.end.pipe)].name;
        if (pipe.pipe.name == name) ends.push_back(name);
      }
    }
    if (std::find(ends.begin(), ends.end(), part.behind) != ends.end()) return;
    const std::string near = nearest_key(part.behind, ends);
    add(i, "behind", part.behind.empty() ? "" : fmt::format("\"{}\"", shortened(part.behind)),
        part.behind.empty() ? "is missing; in a network a part says where it stands"
                            : "names no pipe of this network that ends \"open\"",
        near.empty() ? std::string("name a pipe with to = \"open\"")
                     : fmt::format("did you mean \"{}\"?", near));
  }

  void check_chain(const TailChain& chain) {
    double bore = chain.bore;
    for (std::size_t k = 0; k < chain.parts.size() && !problems_.any(); ++k) {
      const std::size_t i = chain.parts[k];
      const TailPart& part = header_.parts[i];
      const bool last = k + 1 == chain.parts.size();
      const bool ends = part.kind == PartKind::chamber
                            ? part.outlet_inside > 0
                            : !is_beside(part.kind) && part.kind != PartKind::straight_through;
      if (last && !ends) {
        add(i, "kind", fmt::format("\"{}\"", part_kind_name(part.kind)), "has nothing behind it",
            "add a part behind it, for example a tube: kind = \"pipe\", length = \"300 mm\"");
      }
      const bool hollow = part.kind == PartKind::chamber || part.kind == PartKind::straight_through;
      const double inside = bore_behind(part, bore) +
                            (part.kind == PartKind::straight_through ? 2 * part.core_wall : 0);
      if (hollow && !(part.diameter > 1.05 * inside)) {
        add(i, "diameter", problems_.shown().length(part.diameter),
            fmt::format("is not wider than the tube of {} in it", problems_.shown().length(inside)),
            "a chamber or shell is wider than its tubes");
      }
      if (is_beside(part.kind) && part.tube.inside_diameter > bore * (1 + 1e-9)) {
        add(i, "tube", problems_.shown().length(part.tube.inside_diameter),
            fmt::format("is wider than the bore of {} that it stands on",
                        problems_.shown().length(bore)),
            "a branch or neck is no wider than the tube it branches from");
      }
      bore = bore_behind(part, bore);
    }
  }

  Problems& problems_;
  const HeaderDesign& header_;
  std::string key_;
  models::EngineSpecification engine_;
};

}  // namespace

std::vector<TailPart> read_parts(Section& header, const models::Ambient& ambient) {
  std::vector<TailPart> parts;
  for (Section& s : header.tables("part", "header.part")) parts.push_back(read_part(s, ambient));
  return parts;
}

void check_parts(Problems& problems, const CaseFile& case_file) {
  for (std::size_t i = 0; i < case_file.headers.size(); ++i) {
    if (!case_file.headers[i].parts.empty()) Places(problems, case_file, i).check();
  }
}

}  // namespace pulsewright::cases
