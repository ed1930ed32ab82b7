#include "tools/search/search_task.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <stdexcept>
#include <utility>

#include "cases/design_variable.hpp"
#include "cases/header_builder.hpp"
#include "cases/varied_text.hpp"
#include "tools/study/band.hpp"
#include "tools/study/run_list.hpp"
#include "tools/version.hpp"

namespace pulsewright::tools {

namespace {

std::vector<double> speeds_within(const std::vector<double>& speeds, Band band) {
  std::vector<double> within;
  for (const double speed : speeds) {
    if (in_band(speed, band.from, band.to)) within.push_back(speed);
  }
  return within;
}

// The variables with what they choose from in the header that is searched, which need not be that
// of [tune].
std::vector<cases::DesignVariable> variables_for(const cases::HeaderDesign& header,
                                                 std::vector<cases::DesignVariable> variables) {
  for (cases::DesignVariable& variable : variables) {
    std::string reason = cases::why_not_varied(header, variable);
    if (reason.empty()) {
      if (const auto size = cases::size_left_out(header, variable)) {
        reason = fmt::format("has {}, which its tubes leave out; name that, too",
                             cases::tube_value(*size));
      }
    }
    if (!reason.empty()) {
      throw std::invalid_argument(fmt::format("cannot vary {}: header '{}' {}",
                                              cases::variable_name(variable), header.name, reason));
    }
    variable = cases::with_choices(std::move(variable), header);
  }
  return variables;
}

}  // namespace

const cases::HeaderDesign& searched_header(const cases::CaseFile& case_file,
                                           const std::optional<std::string>& name) {
  if (name) return cases::find_header(case_file, *name);
  if (!case_file.tune.header.empty()) return cases::find_header(case_file, case_file.tune.header);
  return case_file.headers.front();
}

std::string range_text(const cases::DesignVariable& variable) {
  std::string text = cases::variable_name(variable);
  if (variable.is_length()) {
    return fmt::format("{} from {} to {} m", text, variable.from, variable.to);
  }
  if (!variable.is_tube()) return fmt::format("{}, {} of them", text, variable.orders);
  text += ", inside";
  for (const cases::Tube& tube : variable.tubes) {
    text += fmt::format(" {:.6g}", tube.inside_diameter);
  }
  return text + " m";
}

SearchTask::SearchTask(const cases::CaseFile& case_file, SearchOptions options) : case_(case_file) {
  if (!case_.has_engine()) {
    throw std::invalid_argument("the case has pipes only, no engine to search a header for");
  }
  const cases::Run& run = case_.run;
  space_.reference = searched_header(case_, options.header);
  if (space_.reference.kind == cases::HeaderKind::network) {
    throw std::invalid_argument(fmt::format(
        "header '{}' is an explicit network, which has no lengths to vary; name another "
        "with --header",
        space_.reference.name));
  }
  space_.variables = variables_for(space_.reference, std::move(options.variables));
  if (options.holds_fits) space_.fits = case_.tune.fits;
  space_.build_tolerance = case_.build_tolerance;
  space_.errors = options.errors;
  plan_.seed = options.seed.value_or(case_.tune.seed);
  space_.seed = static_cast<unsigned>(plan_.seed);
  plan_.verb = options.verb;
  plan_.title = case_.title;
  plan_.case_file = case_.file_name;
  plan_.case_text = case_.text;
  plan_.program_version = std::string(program_version);
  plan_.commit = std::string(program_commit);
  plan_.header = space_.reference.name;
  for (const auto& variable : space_.variables) {
    plan_.variables.push_back(range_text(variable));
    plan_.units.emplace_back(variable.is_length() ? "m" : "1");
  }
  for (const cases::TubeFit& fit : space_.fits) {
    plan_.variables.push_back(
        fmt::format("limits of primary {} moved by", fmt::join(fit.cylinders, "+")));
    plan_.units.emplace_back("m");
  }
  plan_.band_from = options.band ? options.band->first : run.band_from;
  plan_.band_to = options.band ? options.band->second : run.band_to;
  Band reached = band();
  for (const double edge : options.other_edges) {
    reached = {std::min(reached.from, edge), std::max(reached.to, edge)};
  }
  plan_.speeds =
      options.speeds.empty() ? speeds_within(run.speeds, reached) : std::move(options.speeds);
  std::sort(plan_.speeds.begin(), plan_.speeds.end());
  if (speeds_within(plan_.speeds, band()).empty()) {
    throw std::invalid_argument(
        fmt::format("none of the speeds lies in the band from {:.0f} to {:.0f} rpm",
                    60 * plan_.band_from, 60 * plan_.band_to));
  }
  plan_.cell_size = options.cell_size > 0 ? options.cell_size : coarse_grid_ratio * run.cell_size;
  plan_.tolerance =
      options.tolerance > 0 ? options.tolerance : coarser_tolerance * run.settings.tolerance;
  plan_.build_tolerance = space_.build_tolerance;
  plan_.settings = std::move(options.settings);
}

DesignEvaluator SearchTask::evaluator(unsigned jobs) const {
  EvaluatorOptions options;
  options.speeds = plan_.speeds;
  options.cell_size = plan_.cell_size;
  options.tolerance = plan_.tolerance;
  options.jobs = jobs;
  return DesignEvaluator(case_, space_.reference, options);
}

}  // namespace pulsewright::tools
