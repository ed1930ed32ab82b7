#include "cases/read_network.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <fmt/format.h>
#include <map>

#include "cases/network_builder.hpp"
#include "cases/network_check.hpp"
#include "cases/read_exhaust.hpp"

namespace pulsewright::cases {
namespace {

// More than any header, and far fewer than the time step can take (network/time_step.cpp).
constexpr std::size_t most_pipes = 1000;

constexpr std::string_view end_advice =
    "an end is \"cylinder N\" (from only), \"junction NAME\", \"open\", \"closed\" or \"anechoic\"";

// One end of a pipe while the file is read.
struct EndReader {
  Section& section;
  std::string key;        // "from" or "to"
  bool outgoing;          // the pipe leaves the junction at this end
  double angle_deg = -1;  // -1 = not given
  double clock_deg = -1;
  bool has_vector = false;
};

NetworkEnd read_end(EndReader& reader) {
  Section& s = reader.section;
  NetworkEnd end;
  end.line = s.line();
  const std::string text = s.text(reader.key);
  const std::size_t space = text.find(' ');
  const std::string word = text.substr(0, space);
  const std::string rest = space == std::string::npos ? std::string() : text.substr(space + 1);
  if (text == "open") {
    end.kind = NodeKind::open;
  } else if (text == "closed") {
    end.kind = NodeKind::closed;
  } else if (text == "anechoic") {
    end.kind = NodeKind::anechoic;
  } else if (word == "junction" && !rest.empty()) {
    end.kind = NodeKind::junction;
    end.junction = rest;
  } else if (word == "cylinder" && reader.key == "from") {
    end.kind = NodeKind::cylinder;
    const auto [stop, error] =
        std::from_chars(rest.data(), rest.data() + rest.size(), end.cylinder);
    if (error != std::errc() || stop != rest.data() + rest.size()) {
      s.wrong_value(reader.key, "names no cylinder number", "for example: from = \"cylinder 1\"");
    }
  } else if (s.has(reader.key)) {
    s.wrong_value(reader.key, "is no end of a pipe", std::string(end_advice));
  }
  return end;
}

void read_direction(EndReader& reader, NetworkEnd& end) {
  Section& s = reader.section;
  const std::string angle_key = reader.key + "_angle";
  const std::string clock_key = reader.key + "_clock";
  const std::string vector_key = reader.key + "_direction";
  const double angle = s.quantity(angle_key);
  const double clock = s.quantity(clock_key);
  const std::vector<double> vector = s.numbers(vector_key);
  if (s.has(angle_key)) reader.angle_deg = angle;
  if (s.has(clock_key)) reader.clock_deg = clock;
  for (const std::string& key : {angle_key, clock_key, vector_key}) {
    if (s.has(key) && end.kind != NodeKind::junction) {
      s.problem(key, fmt::format("is given, but the pipe has no junction at \"{}\"", reader.key),
                "remove it");
    }
  }
  if (!s.has(vector_key)) return;
  reader.has_vector = true;
  if (s.has(angle_key) || s.has(clock_key)) {
    s.problem(vector_key, "is given beside an angle", "keep one of the two");
    return;
  }
  constexpr double slack = 1e-3;
  const Eigen::Vector3d direction = vector.size() == 3
                                        ? Eigen::Vector3d(vector[0], vector[1], vector[2])
                                        : Eigen::Vector3d::Zero();
  if (std::abs(direction.norm() - 1) > slack) {
    s.problem(vector_key, "is not a direction: three numbers whose squares add up to 1",
              fmt::format("for example: {} = {}", vector_key,
                          find_parameter("header.pipe", vector_key)->example));
    return;
  }
  end.direction = direction.normalized();
}

std::vector<models::ProfilePoint> read_profile(Section& s) {
  std::vector<models::ProfilePoint> out;
  for (Section& point : s.tables("profile", "profile")) {
    const double at = point.quantity("at");
    const double diameter = point.quantity("diameter");
    point.finish();
    out.push_back({at, diameter});
  }
  return out;
}

void shape_pipe(Section& s, Problems& problems, models::PipeSpecification& pipe) {
  const Tube tube = s.tube("tube");
  const double length = s.quantity("length");
  pipe.profile = read_profile(s);
  if (problems.any()) return;
  if (s.has("tube") == s.has("profile")) {
    s.problem(s.has("tube") ? "profile" : "tube",
              s.has("tube") ? "is given beside tube" : "is missing",
              "a pipe has either tube and length, or a profile");
    return;
  }
  if (s.has("tube") != s.has("length")) {
    s.problem("length", s.has("tube") ? "is missing" : "is given beside profile",
              "a pipe has either tube and length, or a profile, whose last point gives the length");
    return;
  }
  if (s.has("tube")) {
    pipe.profile = {{0, tube.inside_diameter}, {length, tube.inside_diameter}};
    if (tube.wall > 0) pipe.wall.thickness = tube.wall;
  }
  for (std::size_t i = 1; i < pipe.profile.size(); ++i) {
    if (pipe.profile[i].x > pipe.profile[i - 1].x) continue;
    s.problem("profile", "does not rise from each point to the next", "sort the points by at");
    return;
  }
  if (pipe.profile.size() < 2 || pipe.profile.front().x != 0 || !(pipe.profile.back().x >= 0.01)) {
    s.problem("profile",
              fmt::format("does not run from 0 to the length of the pipe, {} at least",
                          s.shown().length(0.01)),
              fmt::format("for example: profile = {}",
                          find_parameter("header.pipe", "profile")->example));
    return;
  }
  pipe.length = pipe.profile.back().x;
  const std::string bends = bends_too_long(pipe.bends, pipe.length, s.shown());
  if (!bends.empty()) s.problem("bends", bends, std::string(bends_advice));
}

void read_losses(Section& s, const CaseFile& case_file, models::PipeSpecification& pipe) {
  const Exhaust& exhaust = case_file.exhaust;
  pipe.wall = exhaust.wall;
  pipe.heat_multiplier = exhaust.heat_multiplier;
  pipe.bends = read_bends(s);
  pipe.roughness = s.quantity("roughness");
  if (!s.has("roughness")) pipe.roughness = exhaust.roughness;
  pipe.hydraulic_ratio = s.number("hydraulic_ratio");
  pipe.extra_loss = s.number("extra_loss");
  pipe.friction = s.flag("friction");
  const auto heat = s.enumerator<models::PipeHeatLaw>("heat");
  pipe.heat = s.has("heat") ? heat : exhaust.heat;
  const double temperature = s.quantity("wall_temperature");
  if (s.has("wall_temperature")) {
    pipe.wall.finish = models::WallFinish::fixed;
    pipe.wall.temperature = temperature;
  }
  pipe.initial_pressure = s.quantity("initial_pressure");
  pipe.initial_temperature = s.quantity("initial_temperature");
  pipe.initial_burnt = s.number("initial_burnt");
}

models::OpenEndSpecification read_open_end(Section& s) {
  models::OpenEndSpecification open;
  open.effective_area_ratio = s.number("open_area_ratio");
  open.entry_loss = s.number("entry_loss");
  open.end_correction = s.flag("end_correction");
  const std::vector<double> outlet = s.quantities("outlet");
  if (!outlet.empty()) {
    if (outlet.size() == 3) {
      open.position = Eigen::Vector3d(outlet[0], outlet[1], outlet[2]);
    } else {
      s.problem("outlet", "is not a place: x, y and z",
                "for example: outlet = [\"0 m\", \"0.6 m\", \"0 m\"]");
    }
  }
  return open;
}

// Directions that the file does not give: one pipe alone goes along the axis, several stand at the
// merge half angle, evenly round it.
void place_pipes(const CaseFile& case_file, HeaderDesign& header,
                 const std::vector<EndReader>& froms, const std::vector<EndReader>& tos) {
  for (const bool outgoing : {false, true}) {
    const auto end_of = [&](std::size_t i) -> NetworkEnd& {
      return outgoing ? header.pipes[i].from : header.pipes[i].to;
    };
    std::map<std::string, std::vector<std::size_t>> pipes_at;  // by junction
    for (std::size_t i = 0; i < header.pipes.size(); ++i) {
      if (end_of(i).kind == NodeKind::junction) pipes_at[end_of(i).junction].push_back(i);
    }
    for (const auto& [junction, members] : pipes_at) {
      for (std::size_t k = 0; k < members.size(); ++k) {
        const EndReader& reader = outgoing ? froms[members[k]] : tos[members[k]];
        NetworkEnd& end = end_of(members[k]);
        if (reader.has_vector) continue;
        const bool alone = members.size() == 1;
        const double usual = alone ? 0 : case_file.exhaust.merge_half_angle_deg;
        const double angle = reader.angle_deg >= 0 ? reader.angle_deg : usual;
        const double clock = reader.clock_deg >= 0 ? reader.clock_deg
                                                   : 360.0 * static_cast<double>(k) /
                                                         static_cast<double>(members.size());
        end.direction =
            outgoing ? outgoing_direction(angle, clock) : incoming_direction(angle, clock);
      }
    }
  }
}

}  // namespace

void read_network(Section& section, Problems& problems, const CaseFile& case_file,
                  HeaderDesign& header) {
  std::vector<Section> pipes = section.tables("pipe", "header.pipe");
  std::vector<Section> junctions = section.tables("junction", "header.junction");
  std::vector<EndReader> froms;
  std::vector<EndReader> tos;
  for (Section& s : pipes) {
    NetworkPipe pipe;
    pipe.line = s.line();
    pipe.pipe.name = s.text("name");
    froms.push_back({s, "from", true});
    tos.push_back({s, "to", false});
    pipe.from = read_end(froms.back());
    pipe.to = read_end(tos.back());
    read_direction(froms.back(), pipe.from);
    read_direction(tos.back(), pipe.to);
    read_losses(s, case_file, pipe.pipe);
    shape_pipe(s, problems, pipe.pipe);
    pipe.open_end = read_open_end(s);
    s.finish();
    header.pipes.push_back(std::move(pipe));
  }
  for (Section& s : junctions) {
    NetworkJunction junction;
    junction.line = s.line();
    junction.name = s.text("name");
    const auto law = s.enumerator<models::JunctionLaw>("law");
    if (s.has("law")) junction.law = law;
    junction.volume = s.quantity("volume");
    junction.vent_area = s.quantity("vent_area");
    s.finish();
    header.junctions.push_back(std::move(junction));
  }
  if (header.kind != HeaderKind::network || problems.any()) return;
  if (header.pipes.empty()) {
    section.problem("pipe", "is missing; a network has at least one pipe",
                    "begin each pipe with a line [[header.pipe]]");
    return;
  }
  if (header.pipes.size() > most_pipes) {
    section.problem(
        "pipe", fmt::format("lists {} pipes", header.pipes.size()),
        fmt::format("a network has at most {}; join those that follow each other into one "
                    "with a profile",
                    most_pipes));
    return;
  }
  place_pipes(case_file, header, froms, tos);
  check_network(problems, case_file, header, pipes, junctions);
}

}  // namespace pulsewright::cases
