#include "tools/listen/heard_headers.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <limits>
#include <optional>
#include <stdexcept>

#include "cases/header_builder.hpp"
#include "models/figures/cycle_record.hpp"
#include "tools/study/point_fault.hpp"

namespace pulsewright::tools {

namespace {

using models::BandLimit;
using models::PointResult;

// The open ends of one header.
struct Tail {
  std::string pipe;          // name
  Eigen::Vector3d position;  // m
  double radius;             // m, at the outlet
  double cell_size;          // m
};

std::vector<Tail> tails_of(const cases::CaseFile& case_file, const std::string& header,
                           double cell_size) {
  cases::BuildOptions build;
  build.cell_size = cell_size;
  const auto engine = cases::build_engine(case_file, cases::find_header(case_file, header), build);
  std::vector<Tail> tails;
  for (const std::size_t i : models::tail_ends(engine)) {
    const models::OpenEndSpecification& open = engine.open_ends[i];
    const auto& pipe = engine.pipes[static_cast<std::size_t>(open.end.pipe)];
    const double x = open.end.side == models::Side::right ? pipe.length : 0;
    tails.push_back({pipe.name, open.position, 0.5 * models::diameter_at(pipe.profile, x),
                     pipe.length / static_cast<double>(pipe.cells())});
  }
  return tails;
}

models::Listening place_of(const cases::CaseFile& case_file,
                           const models::ListeningSpecification& listening,
                           const std::vector<Tail>& tails) {
  std::vector<Eigen::Vector3d> outlets;
  for (const Tail& tail : tails) outlets.push_back(tail.position);
  return {listening, outlets, models::air_outside(case_file.ambient)};
}

void require_engine(const cases::CaseFile& case_file) {
  if (case_file.has_engine()) return;
  throw std::invalid_argument("sound: the case has pipes only, no engine to listen to");
}

bool has_flow(const PointResult& result) {
  return !result.tails.empty() &&
         std::all_of(result.tails.begin(), result.tails.end(), [](const auto& tail) {
           return tail.volume_flow.size() > 2 && std::isfinite(tail.volume_flow.front());
         });
}

// m/s, of the gas in the last pipe: gamma 1.33 and R 288 J/(kg K) of exhaust gas (common practice,
// no source); only the limit of the band depends on it.
double sound_speed_in(const std::string& pipe, const PointResult& result) {
  for (const auto& figures : result.pipes) {
    if (figures.name == pipe) return std::sqrt(1.33 * 288.0 * figures.gas_temperature);
  }
  throw std::invalid_argument(fmt::format("sound: the results have no pipe '{}'", pipe));
}

models::SpeedContent content_of(double speed, const PointResult& result) {
  models::SpeedContent content{speed, {}};
  for (const auto& tail : result.tails)
    content.outlets.push_back(models::order_content(tail.volume_flow));
  return content;
}

void narrow(BandLimit& limit, const std::vector<Tail>& tails, double speed,
            const PointResult& result) {
  for (std::size_t i = 0; i < tails.size(); ++i) {
    const BandLimit own = models::band_limit(tails[i].radius, tails[i].cell_size,
                                             sound_speed_in(tails[i].pipe, result),
                                             result.tails[i].volume_flow.size(), speed);
    if (limit.frequency == 0 || own.frequency < limit.frequency) limit = own;
  }
}

// Adds a header without levels, and what it has no sound of.
void add_header(HeardHeaders& heard, const cases::CaseFile& case_file,
                const std::vector<double>& speeds, const HeaderToHear& header) {
  const std::vector<Tail> tails = tails_of(case_file, header.name, header.cell_size);
  std::vector<models::SpeedContent> contents;
  std::vector<HeardPoint> points;
  for (std::size_t s = 0; s < speeds.size(); ++s) {
    const StoredPoint& point = (*header.points)[s];
    const std::optional<PointFault> fault = fault_of(point);
    const std::string words = fault ? std::string(fault_name(*fault)) : std::string();
    if (!point.result) {
      heard.left_out.push_back(
          fmt::format("{} at {:.0f} rpm: {}", header.name, 60 * speeds[s], words));
      continue;
    }
    if (!has_flow(*point.result) || point.result->tails.size() != tails.size()) {
      throw std::invalid_argument(fmt::format(
          "sound: '{}' at {:.0f} rpm has no flow out of its tails: the results were made without "
          "traces, or by a version that did not store it; make them anew with `pulsewright "
          "compare`",
          header.name, 60 * speeds[s]));
    }
    narrow(heard.limit, tails, speeds[s], *point.result);
    heard.trace_points = point.result->tails.front().volume_flow.size();
    contents.push_back(content_of(speeds[s], *point.result));
    points.push_back({speeds[s], words, {}, {}});
  }
  if (contents.empty()) {
    heard.left_out.push_back(fmt::format("{}: no speed has numbers", header.name));
    return;
  }
  heard.headers.push_back({header.name, place_of(case_file, heard.listening, tails),
                           models::ContentOverSpeed(contents), std::move(points)});
}

double mean_square(const models::OrderContent& pressure, std::size_t first, std::size_t step) {
  double sum = 0;
  for (std::size_t m = first; m < pressure.size(); m += step) sum += 0.5 * std::norm(pressure[m]);
  return sum;
}

}  // namespace

HeardHeaders hear(const cases::CaseFile& case_file, const models::ListeningSpecification& listening,
                  const std::vector<double>& speeds, const std::vector<HeaderToHear>& headers) {
  require_engine(case_file);
  HeardHeaders heard;
  heard.title = case_file.title;
  heard.invented = case_file.invented;
  heard.listening = listening;
  heard.band_from = case_file.run.band_from;
  heard.band_to = case_file.run.band_to;
  for (const HeaderToHear& header : headers) add_header(heard, case_file, speeds, header);
  if (heard.headers.empty()) {
    throw std::invalid_argument("sound: no header has a point with numbers");
  }
  for (HeardHeader& header : heard.headers) {
    for (HeardPoint& point : header.points) {
      point.pressure = models::pressure_content(header.place, header.content.at(point.speed),
                                                heard.limit.frequency);
      point.level = models::sound_level(point.pressure, 0.5 * point.speed);
    }
  }
  return heard;
}

void require_place(const cases::CaseFile& case_file,
                   const models::ListeningSpecification& listening, const std::string& header,
                   double cell_size) {
  require_engine(case_file);
  static_cast<void>(place_of(case_file, listening, tails_of(case_file, header, cell_size)));
}

std::vector<HeaderToHear> headers_of(const StudyResults& results) {
  std::vector<HeaderToHear> headers;
  for (const StoredHeader& stored : results.headers()) {
    const HeaderPlan& plan = results.plan_of(stored);
    headers.push_back({plan.name, plan.cell_size, &stored.production.points});
  }
  return headers;
}

bool has_tail_flow(const StudyResults& results) {
  bool any = false;
  for (const StoredHeader& header : results.headers()) {
    for (const StoredPoint& point : header.production.points) {
      if (!point.result) continue;
      if (!has_flow(*point.result)) return false;
      any = true;
    }
  }
  return any;
}

double half_order_share(const HeardPoint& point) {
  const double half = mean_square(point.pressure, 1, 2);
  const double all = mean_square(point.pressure, 1, 1);
  return half > 0 ? 10 * std::log10(half / all) : -std::numeric_limits<double>::infinity();
}

}  // namespace pulsewright::tools
