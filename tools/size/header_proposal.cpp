#include "tools/size/header_proposal.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <stdexcept>

#include "cases/case_headers.hpp"
#include "cases/case_reader.hpp"
#include "cases/engine_figures.hpp"
#include "cases/flow_bench.hpp"
#include "cases/grouping.hpp"
#include "tools/study/tube_text.hpp"

namespace pulsewright::tools {

namespace {

using cases::HeaderKind;
using models::StockTube;

// m3/s at 28 inH2O of one cylinder's intake port, from its greatest effective area.
double intake_flow_of(const cases::CaseFile& case_file) {
  cases::BenchState bench;
  bench.depression = cases::parse_quantity("28 inH2O", cases::Dimension::pressure);
  return cases::engine_figures(case_file).intake.flow_area * cases::ideal_volume_flux(bench);
}

bool is_even(const cases::CollectorGroup& group) { return cases::leading_of_close_pair(group) < 0; }

// The kinds that fit the engine.
std::vector<HeaderKind> kinds_for(const cases::Engine& engine) {
  const auto banks = cases::groups_by_bank(engine);
  std::vector<HeaderKind> kinds{HeaderKind::equal_length};
  const std::size_t cylinders = engine.firing_order.size();
  if (cylinders < 2) return kinds;
  const bool all_uneven = std::none_of(banks.begin(), banks.end(), is_even);
  if (all_uneven && banks.size() > 1 && cylinders % banks.size() == 0) {
    const auto crossed = cases::groups_180_degree(engine, static_cast<int>(banks.size()));
    if (std::all_of(crossed.begin(), crossed.end(), is_even))
      kinds.push_back(HeaderKind::degree_180);
  }
  if (all_uneven) kinds.push_back(HeaderKind::stepped_length);
  if (std::all_of(banks.begin(), banks.end(),
                  [](const cases::CollectorGroup& g) { return g.cylinders.size() == 4; })) {
    kinds.push_back(HeaderKind::four_two_one);
  }
  return kinds;
}

models::SizingInput sizing_input(const cases::CaseFile& case_file, const SizingWishes& wishes,
                                 double intake_flow) {
  const cases::EngineFigures figures = cases::engine_figures(case_file);
  models::SizingInput input;
  input.cylinders = static_cast<int>(case_file.engine.firing_order.size());
  input.cylinder_volume = figures.cylinder_volume;
  input.band_from = case_file.run.band_from;
  input.band_to = case_file.run.band_to;
  input.torque_peak = wishes.torque_peak.value_or((input.band_from + input.band_to) / 2);
  input.exhaust_opens_deg = 180 - figures.exhaust.advertised.opens_deg;
  input.exhaust_period_deg =
      figures.exhaust.advertised.closes_deg - figures.exhaust.advertised.opens_deg;
  input.power = wishes.power.value_or(input.cylinders * models::power_of_flow(intake_flow));
  for (const auto& group : cases::groups_by_bank(case_file.engine)) {
    input.tubes_of_collector =
        std::max(input.tubes_of_collector, static_cast<int>(group.cylinders.size()));
  }
  return input;
}

std::string stock_text(const StockTube& tube) { return fmt::format("{} OD, 16 ga", tube.outside); }

class HeaderText {
 public:
  HeaderText(const models::EngineSizes& sizes, const cases::CaseFile& case_file, bool inches)
      : sizes_(sizes), port_(case_file.exhaust.port_length), inches_(inches) {
    if (case_file.headers.empty() || !sizes.collector) return;
    const cases::HeaderDesign& first = case_file.headers.front();
    if (first.tail_tube.inside_diameter > 0 && first.tail_length > 0) {
      tail_ = fmt::format("tail_tube = \"{}\"\ntail_length = \"{}\"\n",
                          stock_text(*sizes.collector), handy_length(first.tail_length, inches));
    }
  }

  // Empty where there is no room for the kind.
  std::string text(HeaderKind kind) const {
    const std::string name = cases::kind_name(kind);
    std::string out =
        fmt::format("# {}\n[[header]]\nname = \"{}\"\nkind = \"{}\"\n", reason(kind), name, name);
    out += fmt::format("primary_tube = \"{}\"\n", stock_text(*sizes_.primary));
    switch (kind) {
      case HeaderKind::stepped_length:
        out +=
            length("shortest", sizes_.shortest - port_) + length("longest", sizes_.longest - port_);
        break;
      case HeaderKind::four_two_one:
        if (sizes_.paired_secondary < least_length) return "";
        out += length("primary_length", models::paired_primary_length - port_) +
               fmt::format("secondary_tube = \"{}\"\n", stock_text(*sizes_.secondary)) +
               length("secondary_length", sizes_.paired_secondary);
        break;
      case HeaderKind::degree_180:
        out += length("primary_length", sizes_.longest - port_);
        break;
      default:
        out += length("primary_length", sizes_.middle - port_);
    }
    if (!sizes_.collector) return out;
    return out + fmt::format("collector_tube = \"{}\"\n", stock_text(*sizes_.collector)) +
           length("collector_length", sizes_.collector_length) + tail_;
  }

 private:
  static constexpr double least_length = 0.15;  // m; a shorter secondary is no pipe to tune

  std::string length(const char* key, double metres) const {
    return fmt::format("{} = \"{}\"\n", key, handy_length(metres, inches_));
  }

  static std::string reason(HeaderKind kind) {
    switch (kind) {
      case HeaderKind::stepped_length:
        return "By the hand rules: from the length for the upper speed of the band to the lower.";
      case HeaderKind::four_two_one:
        return "By the hand rules: primaries of 15 in from the valve, the rest as secondaries.";
      case HeaderKind::degree_180:
        return "By the hand rules: the length for the lower speed of the band; crossing takes "
               "length.";
      default:
        return "By the hand rules: the length for the middle of the band.";
    }
  }

  const models::EngineSizes& sizes_;
  double port_;
  bool inches_;
  std::string tail_;  // as the first header of the case has it
};

}  // namespace

std::string handy_length(double metres, bool inches) {
  if (!inches) return fmt::format("{:.0f} mm", 5 * std::round(metres * 1e3 / 5));
  return inch_fraction(4 * std::lround(metres / 0.0254 * 4)) + " in";
}

HeaderProposal propose_headers(const cases::CaseFile& case_file, const SizingWishes& wishes,
                               bool inches) {
  if (!case_file.has_engine()) throw std::invalid_argument("the case has pipes only, no engine");
  if (!(case_file.run.band_to > case_file.run.band_from)) {
    throw std::invalid_argument(
        "the case has one speed only; the band in which the engine is to pull is run.band_from to "
        "run.band_to");
  }
  HeaderProposal out;
  out.intake_flow = intake_flow_of(case_file);
  out.input = sizing_input(case_file, wishes, out.intake_flow);
  out.sizes = models::engine_sizes(out.input);
  const HeaderText header(out.sizes, case_file, inches);
  std::vector<std::string> texts;
  for (const HeaderKind kind : kinds_for(case_file.engine)) {
    const std::string text = header.text(kind);
    if (!text.empty()) texts.push_back(text);
  }
  out.case_file =
      cases::read_case_text(cases::with_headers(case_file.text, texts), case_file.file_name,
                            inches ? cases::MessageUnits::inch : cases::MessageUnits::metric);
  out.without_parts = std::any_of(case_file.headers.begin(), case_file.headers.end(),
                                  [](const cases::HeaderDesign& h) { return !h.parts.empty(); });
  out.without_named = !case_file.dyno.empty() || !case_file.tune.variables.empty();
  return out;
}

}  // namespace pulsewright::tools
