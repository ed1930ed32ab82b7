#include "tools/report/drawn_bodies.hpp"

#include <algorithm>
#include <map>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "cases/tail_parts.hpp"
#include "tools/report/drawn_parts.hpp"

namespace pulsewright::tools {

using nlohmann::json;

namespace {

struct Body {
  const cases::TailPart* part = nullptr;
  std::vector<std::size_t> main;  // pipes that the gas runs through, in its direction
  std::vector<std::size_t> all;
};

// By the name of the part and its place.
std::map<std::string, Body> bodies_of(const json& pipes, const cases::HeaderDesign& header) {
  std::map<std::string, Body> bodies;
  for (std::size_t i = 0; i < pipes.size(); ++i) {
    const auto place = cases::place_in_part(pipes[i]["name"].get<std::string>());
    if (!place || place->part >= header.parts.size()) continue;
    const cases::TailPart& part = header.parts[place->part];
    if (part.kind != cases::PartKind::catalyst && part.kind != cases::PartKind::chamber &&
        part.kind != cases::PartKind::straight_through) {
      continue;
    }
    Body& body = bodies[place->whole];
    body.part = &part;
    body.all.push_back(i);
    if (place->main) body.main.push_back(i);
  }
  return bodies;
}

// Brick and cones by their outside; a shell from one end plate to the other.
json outline_of(const Body& body, const json& pipes, double& length) {
  length = 0;
  for (const std::size_t i : body.main) length += pipes[i]["length"].get<double>();
  const double diameter = body.part->diameter;
  if (body.part->kind != cases::PartKind::catalyst) {
    return json::array({json::array({0, diameter}), json::array({length, diameter})});
  }
  const double cone = body.part->cone_length;
  const double before = pipes[body.main.front()]["profile"].front()[1].get<double>();
  const double behind = pipes[body.main.back()]["profile"].back()[1].get<double>();
  return json::array({json::array({0, before}), json::array({cone, diameter}),
                      json::array({length - cone, diameter}), json::array({length, behind})});
}

}  // namespace

json with_bodies(json drawing, const cases::HeaderDesign& header) {
  const json before = drawing["pipes"];
  const auto bodies = bodies_of(before, header);
  if (bodies.empty()) return drawing;
  std::vector<const std::string*> body_of(before.size(), nullptr);
  for (const auto& [name, body] : bodies) {
    for (const std::size_t i : body.all) body_of[i] = &name;
  }

  json pipes = json::array();
  std::vector<std::size_t> place(before.size(), 0);
  for (std::size_t i = 0; i < before.size(); ++i) {
    if (body_of[i] == nullptr) {
      place[i] = pipes.size();
      pipes.push_back(before[i]);
      continue;
    }
    const Body& body = bodies.at(*body_of[i]);
    if (i != body.all.front()) continue;
    double length = 0;
    const json profile = outline_of(body, before, length);
    for (const std::size_t k : body.all) place[k] = pipes.size();
    pipes.push_back(
        {{"name", *body_of[i]},
         {"length", length},
         {"profile", profile},
         {"port", 0},
         {"body", true},
         {"from", before[body.main.front()]["from"]},
         {"to", before[body.main.back()]["to"]},
         {"parts",
          json::array({{{"name", *body_of[i]}, {"from", 0}, {"to", length}, {"tube", ""}}})}});
  }

  // Nodes that a pipe still begins or ends at keep their order.
  std::vector<int> node_place(drawing["nodes"].size(), -1);
  json nodes = json::array();
  for (std::size_t n = 0; n < node_place.size(); ++n) {
    const int node = static_cast<int>(n);
    if (std::none_of(pipes.begin(), pipes.end(), [&](const json& pipe) {
          return pipe["from"] == node || pipe["to"] == node;
        })) {
      continue;
    }
    node_place[n] = static_cast<int>(nodes.size());
    nodes.push_back(drawing["nodes"][n]);
  }
  for (json& pipe : pipes) {
    for (const char* key : {"from", "to"}) {
      const int node = pipe[key].get<int>();
      if (node >= 0) pipe[key] = node_place[static_cast<std::size_t>(node)];
    }
  }
  for (json& path : drawing["paths"]) {
    json indices = json::array();
    for (const json& pipe : path["pipes"]) {
      const std::size_t now = place[pipe.get<std::size_t>()];
      if (indices.empty() || indices.back() != now) indices.push_back(now);
    }
    path["pipes"] = indices;
  }
  drawing["pipes"] = std::move(pipes);
  drawing["nodes"] = std::move(nodes);
  return drawing;
}

}  // namespace pulsewright::tools
