#include "validation/rig/case_pipes.hpp"

#include <fmt/format.h>

#include "cases/case_reader.hpp"
#include "cases/header_builder.hpp"
#include "validation/convergence/shipped_case.hpp"

namespace pulsewright::validation {

models::EngineSpecification exhaust_pipes(const std::string& exhaust, const std::string& header,
                                          int cylinders) {
  std::string text = single_cylinder_text;
  text.resize(text.find("[exhaust]"));
  if (cylinders > 1) {
    const std::string one = "firing_order = [1]";
    text.replace(text.find(one), one.size(),
                 cylinders == 2 ? "firing_order = [1, 2]" : "firing_order = [1, 3, 4, 2]");
  }
  text += fmt::format(
      "[exhaust]\nroughness = \"0 mm\"\nheat = \"none\"\n{}\n[[header]]\nname = \"one\"\n{}\n"
      "[run]\nspeeds = [\"5000 rpm\"]\n",
      exhaust, header);
  const cases::CaseFile case_file = cases::read_case_text(text, "validation.toml");
  models::EngineSpecification e = cases::build_engine(case_file, case_file.headers.front());
  e.cylinders.clear();
  e.exhaust_paths.clear();
  e.open_ends.clear();
  std::erase_if(e.pipes, [](const auto& pipe) { return pipe.name.starts_with("runner "); });
  e.ambient = {};
  for (models::PipeSpecification& pipe : e.pipes) {
    pipe.initial_temperature = 0;
    pipe.initial_burnt = 0;
  }
  return e;
}

}  // namespace pulsewright::validation
