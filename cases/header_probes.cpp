#include "cases/header_probes.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <set>
#include <stdexcept>

#include "cases/case_text.hpp"
#include "cases/header_builder.hpp"
#include "cases/nearest_key.hpp"

namespace pulsewright::cases {
namespace {

auto find_pipe(const models::EngineSpecification& engine, const std::string& name) {
  return std::find_if(engine.pipes.begin(), engine.pipes.end(),
                      [&](const auto& pipe) { return pipe.name == name; });
}

void check_probe(Problems& problems, const HeaderProbe& probe,
                 const models::EngineSpecification& engine) {
  const auto pipe = find_pipe(engine, probe.pipe);
  if (pipe == engine.pipes.end()) {
    std::vector<std::string> known;
    for (const auto& one : engine.pipes) known.push_back(one.name);
    const std::string near = nearest_key(probe.pipe, known);
    problems.add({"", probe.line, probe.key + "pipe", fmt::format("\"{}\"", probe.pipe),
                  "names no pipe of this header", fmt::format("{}", fmt::join(known, ", ")),
                  near.empty() ? std::string("choose one of them")
                               : fmt::format("did you mean \"{}\"?", near)});
    return;
  }
  if (probe.distance <= pipe->length) return;
  problems.add(
      {"", probe.line, probe.key + "distance", problems.shown().length(probe.distance),
       fmt::format("lies behind the end of pipe \"{}\"", probe.pipe),
       fmt::format("{} to {}", problems.shown().length(0), problems.shown().length(pipe->length)),
       "count from the beginning of the pipe; that of a primary is the valve"});
}

}  // namespace

std::vector<HeaderProbe> read_probes(Section& header) {
  std::vector<HeaderProbe> probes;
  std::set<std::string> names;
  for (Section& s : header.tables("probe", "header.probe")) {
    HeaderProbe probe;
    probe.line = s.line();
    probe.key = s.path("");
    probe.pipe = s.text("pipe");
    probe.distance = s.quantity("distance");
    probe.name = s.text("name");
    if (!s.has("name")) {
      probe.name = fmt::format("{} at {:.4g} mm", probe.pipe, 1e3 * probe.distance);
    } else if (!good_name(probe.name)) {
      s.problem("name", "is no good name",
                "use letters, digits, spaces and . _ + -, at most 40; for example: name = \"before "
                "the merge\"");
    }
    if (!names.insert(probe.name).second) {
      s.problem(s.has("name") ? "name" : "pipe", "is that of an earlier probe",
                "give every probe its own name or place");
    }
    s.finish();
    probes.push_back(std::move(probe));
  }
  return probes;
}

void check_probes(Problems& problems, const CaseFile& case_file) {
  for (HeaderDesign header : case_file.headers) {
    const std::vector<HeaderProbe> probes = std::move(header.probes);
    if (probes.empty()) continue;
    header.probes.clear();
    const models::EngineSpecification engine = build_engine(case_file, header);
    for (const HeaderProbe& probe : probes) check_probe(problems, probe, engine);
  }
}

void add_probes(models::EngineSpecification& engine, const HeaderDesign& header) {
  for (const HeaderProbe& probe : header.probes) {
    const auto pipe = find_pipe(engine, probe.pipe);
    if (pipe == engine.pipes.end()) {
      throw std::invalid_argument(fmt::format("there is no pipe {}", probe.pipe));
    }
    engine.probes.push_back(
        {probe.name, static_cast<int>(pipe - engine.pipes.begin()), probe.distance});
  }
}

}  // namespace pulsewright::cases
