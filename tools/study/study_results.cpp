#include "tools/study/study_results.hpp"

#include <algorithm>

#include "cases/case_error.hpp"
#include "cases/case_reader.hpp"
#include "tools/results/plan_attributes.hpp"

namespace pulsewright::tools {

namespace {

StoredRun read_run(const ResultsReader& reader, std::size_t index, ResultsReader::Detail detail) {
  const HeaderPlan& plan = reader.plan().headers[index];
  StoredRun run{plan.variant, plan.cell_size, {}};
  for (std::size_t s = 0; s < reader.plan().speeds.size(); ++s) {
    StoredPoint& point = run.points.emplace_back();
    point.status = reader.status(index, s);
    point.seconds = reader.seconds(index, s);
    point.failure = reader.failure(index, s);
    if (point.status == PointStatus::damaged) {
      point.damage = damage_text(reader.plan(), index, s, reader.damaged_variables(index, s));
    }
    if (point.status == PointStatus::converged || point.status == PointStatus::not_converged) {
      point.result = reader.point(index, s, detail);
    }
  }
  return run;
}

}  // namespace

const StoredRun* StoredHeader::find(const RunVariant& variant) const {
  const auto at = std::find_if(variants.begin(), variants.end(),
                               [&](const StoredRun& run) { return run.variant == variant; });
  return at == variants.end() ? nullptr : &*at;
}

StudyResults::StudyResults(const ResultsReader& reader, ResultsReader::Detail detail)
    : plan_(reader.plan()), date_(reader.date()), structure_tested_(reader.structure_tested()) {
  for (std::size_t i = 0; i < plan_.headers.size(); ++i) {
    if (plan_.headers[i].variant != production_grid) continue;
    StoredHeader header{i, read_run(reader, i, detail), {}};
    for (std::size_t v = 0; v < plan_.headers.size(); ++v) {
      const HeaderPlan& other = plan_.headers[v];
      if (other.group == plan_.headers[i].group && other.variant != production_grid) {
        header.variants.push_back(read_run(reader, v, detail));
      }
    }
    const auto collect = [&](const StoredRun& run) {
      for (const StoredPoint& point : run.points) {
        if (!point.damage.empty()) damages_.push_back(point.damage);
      }
    };
    collect(header.production);
    std::for_each(header.variants.begin(), header.variants.end(), collect);
    headers_.push_back(std::move(header));
  }
}

std::optional<cases::CaseFile> case_of(const StudyPlan& plan) {
  try {
    return cases::read_case_text(plan.case_text, plan.case_file);
  } catch (const cases::CaseError&) {
    return std::nullopt;
  }
}

}  // namespace pulsewright::tools
