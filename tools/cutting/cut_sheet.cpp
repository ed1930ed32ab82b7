#include "tools/cutting/cut_sheet.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numbers>
#include <stdexcept>

#include "cases/case_error.hpp"
#include "cases/collector_order.hpp"
#include "models/sizing/tube_stock.hpp"
#include "tools/study/tube_text.hpp"

namespace pulsewright::tools {

namespace {

using cases::CaseFile;
using cases::HeaderDesign;
using cases::Tube;

constexpr double same_radius = cases::BendStock::same_radius;
constexpr double same_angle = cases::BendStock::same_angle_deg;

// The way of a tube in space.
struct FollowedPath {
  const std::vector<Eigen::Vector3d>& points;
  double bend_radius = 0;  // m; 0 = the largest that is to be had and fits
  std::string file;        // where the points stand, and the line; 0 = none
  int line = 0;
  bool measured = false;  // not in the case file
};

// Radii in which bends of a tube are to be had; empty where nothing is known of it.
std::vector<double> radii_of(const CaseFile& case_file, const Tube& tube) {
  if (!case_file.bend_stock.radii.empty()) return case_file.bend_stock.radii;
  const models::StockTube* stock =
      tube.wall > 0 ? models::find_stock_tube(outside_diameter(tube)) : nullptr;
  if (!stock) return {};
  return {stock->bend_radii.begin(), stock->bend_radii.end()};
}

std::string tube_name(const Tube& tube, const cases::QuantityText& shown) {
  const std::string ordered = tube_text(tube);
  return ordered.empty() ? shown.length(tube.inside_diameter) + " ID" : ordered;
}

class SheetMaker {
 public:
  SheetMaker(const CaseFile& case_file, const HeaderDesign& header, const MeasuredPaths& measured,
             cases::MessageUnits units)
      : case_file_(case_file), header_(header), measured_(measured), shown_(units) {}

  CutSheet make() {
    if (header_.kind == cases::HeaderKind::network) {
      refuse("kind", header_.line, "is a network, which has no primaries to cut",
             "its pipes are in the case file as they are cut");
    }
    for (const auto& [cylinder, points] : measured_.points) {
      if (header_.primary_length.contains(cylinder)) continue;
      refuse_in(measured_.file, 0, "cylinder",
                fmt::format("points are given for cylinder {}, which the engine does not "
                            "have",
                            cylinder),
                "");
    }
    sheet_.header = header_.name;
    sheet_.tolerance = case_file_.build_tolerance;
    sheet_.cut_allowance = case_file_.bend_stock.cut_allowance;
    for (const cases::Bank& bank : case_file_.engine.banks) {
      CutPage page;
      page.bank = bank.name;
      for (const int cylinder : bank.cylinders) page.tubes.push_back(primary(cylinder));
      sheet_.pages.push_back(std::move(page));
    }
    add_secondaries();
    add_collectors();
    remark_left_out();
    for (const CutPage& page : sheet_.pages) {
      for (const CutTube& tube : page.tubes) order(tube);
    }
    for (const CutTube& tube : sheet_.secondaries) order(tube);
    for (const CutCollector& collector : sheet_.collectors) {
      order_straight(collector.tube, collector.length, 1);
      order_straight(collector.tail_tube, collector.tail_length, 1);
    }
    if (sheet_.shared_tail) order_straight(sheet_.shared_tail->tube, sheet_.shared_tail->length, 1);
    return std::move(sheet_);
  }

 private:
  [[noreturn]] void refuse(const std::string& key, int line, std::string message,
                           std::string advice) const {
    refuse_in(case_file_.file_name, line, key, std::move(message), std::move(advice));
  }

  [[noreturn]] void refuse_in(const std::string& file, int line, const std::string& key,
                              std::string message, std::string advice) const {
    cases::Problem problem;
    problem.file = file;
    problem.line = line;
    problem.key = fmt::format("header \"{}\", {}", header_.name, key);
    problem.message = std::move(message);
    problem.advice = std::move(advice);
    throw cases::CaseError({problem});
  }

  [[noreturn]] void refuse_path(const std::string& tube, const FollowedPath& path,
                                const PathError& error, double radius) const {
    std::string message;
    std::string advice;
    switch (error.fault) {
      case PathFault::too_few_points:
        message = "has fewer than two points";
        break;
      case PathFault::equal_points:
        message = fmt::format("points {} and {} are one place", error.point, error.point + 1);
        break;
      case PathFault::turns_back:
        message = fmt::format("turns back on itself at point {}", error.point);
        break;
      case PathFault::no_room:
        message = fmt::format(
            "the straight behind point {} is {} shorter than its bends of {} radius "
            "take",
            error.point, shown_.length(error.missing, 3), shown_.length(radius, 3));
        advice = fmt::format("move the points apart, or take bends of a smaller radius ({})",
                             path.measured ? "build.bend_radii of the case"
                                           : "bend_radius of the path, build.bend_radii");
        break;
    }
    refuse_in(path.file, path.line, tube, std::move(message), std::move(advice));
  }

  const cases::CollectorGroup& group_of(int cylinder, std::size_t& place) const {
    for (const cases::CollectorGroup& group : header_.groups) {
      const auto found = std::find(group.cylinders.begin(), group.cylinders.end(), cylinder);
      if (found == group.cylinders.end()) continue;
      place = static_cast<std::size_t>(found - group.cylinders.begin());
      return group;
    }
    throw std::logic_error("a cylinder without a collector");
  }

  CutTube primary(int cylinder) {
    const cases::Primary& design = header_.primaries.at(cylinder);
    CutTube tube;
    tube.name = fmt::format("cylinder {}", cylinder);
    tube.tube = design.tube;
    tube.steps = design.steps;
    tube.length = header_.primary_length.at(cylinder);
    std::size_t place = 0;
    const cases::CollectorGroup& group = group_of(cylinder, place);
    tube.collector = group.name;
    if (group.cylinders.size() > 1 && !cases::has_secondaries(header_.kind)) {
      tube.clock_deg =
          cases::collector_clock(group.cylinders.size(), group.collector_position[place]);
    }
    const auto given = header_.paths.find(cylinder);
    const auto measured = measured_.points.find(cylinder);
    if (measured != measured_.points.end()) {
      follow_path(tube, {measured->second, 0, measured_.file, 0, true});
    } else if (given != header_.paths.end()) {
      const cases::TubePath& path = given->second;
      follow_path(tube, {path.points, path.bend_radius, case_file_.file_name, path.line, false});
    } else {
      share_straight(tube, design.bends);
    }
    check_length(tube);
    return tube;
  }

  // Bends of known order.
  void follow_path(CutTube& tube, const FollowedPath& path) const {
    std::vector<double> radii = radii_of(case_file_, tube.tube);
    if (path.bend_radius > 0) {
      require_radius(tube, path.bend_radius, path.line);
      radii = {path.bend_radius};
    }
    if (radii.empty()) {
      refuse(tube.name, path.line,
             fmt::format("no bend radii are known of tube of {}", tube_name(tube.tube, shown_)),
             "list those that are to be had, for example: bend_radii = [\"3 in\"] under [build]");
    }
    try {
      const BentTube bent = bent_tube(path.points, radii);
      for (std::size_t i = 0; i < bent.straights.size(); ++i) {
        tube.pieces.push_back({PieceKind::straight, bent.straights[i], {}});
        if (i < bent.bends.size()) {
          tube.pieces.push_back({PieceKind::bend, bent.bends[i].arc, bent.bends[i]});
        }
      }
    } catch (const PathError& error) {
      refuse_path(tube.name, path, error, radii.front());
    }
    tube.has_path = true;
  }

  void share_straight(CutTube& tube, const std::vector<models::Bend>& bends) const {
    double arcs = 0;
    std::vector<CutPiece> pieces;
    for (const models::Bend& bend : bends) {
      require_radius(tube, bend.centreline_radius, header_.line);
      const double arc = bend.centreline_radius * bend.angle_deg * std::numbers::pi / 180;
      pieces.push_back({PieceKind::bend, arc, {bend.angle_deg, bend.centreline_radius, arc, 0}});
      arcs += arc;
    }
    tube.pieces.push_back({PieceKind::straight, std::max(0.0, tube.length - arcs), {}});
    tube.pieces.insert(tube.pieces.end(), pieces.begin(), pieces.end());
  }

  // Refuses a radius that is not among those to be had; of tube of which none are known any will
  // do.
  void require_radius(const CutTube& tube, double radius, int line) const {
    const std::vector<double> radii = radii_of(case_file_, tube.tube);
    if (radii.empty() || std::any_of(radii.begin(), radii.end(), [&](double known) {
          return std::abs(known - radius) < same_radius;
        })) {
      return;
    }
    std::vector<std::string> known;
    known.reserve(radii.size());
    for (const double one : radii) known.push_back(shown_.length(one, 3));
    refuse(tube.name, line,
           fmt::format("bends of {} radius are not to be had of tube of {}",
                       shown_.length(radius, 3), tube_name(tube.tube, shown_)),
           fmt::format("there are {}; others are listed by bend_radii under [build]",
                       fmt::join(known, ", ")));
  }

  // Arc against length, and a straight end before the collector.
  void check_length(CutTube& tube) {
    for (const CutPiece& piece : tube.pieces) tube.made += piece.length;
    const double difference = tube.made - tube.length;
    if (std::abs(difference) > sheet_.tolerance + 1e-9) {
      sheet_.remarks.push_back(fmt::format(
          "{}: its pieces are {} {} than the {} that were simulated; hold every primary "
          "within {}",
          tube.name, shown_.length(std::abs(difference), 3), difference > 0 ? "longer" : "shorter",
          shown_.length(tube.length), shown_.length(sheet_.tolerance, 3)));
    }
    const double end = tube.pieces.back().length;
    if (tube.has_path && tube.clock_deg && end < tube.tube.inside_diameter) {
      sheet_.remarks.push_back(
          fmt::format("{}: the straight before the collector is {}, shorter than the tube is wide; "
                      "the last part of a primary is best straight (common practice, no source)",
                      tube.name, shown_.length(end, 3)));
    }
    if (!tube.steps.empty() && tube.pieces.size() > 1) {
      sheet_.remarks.push_back(fmt::format(
          "{}: the tube changes size on its way; order its bends in the tube that stands there",
          tube.name));
    }
  }

  void add_secondaries() {
    if (!cases::has_secondaries(header_.kind)) return;
    for (const cases::CollectorGroup& group : header_.groups) {
      for (const std::vector<int>& pair : group.subgroups) {
        CutTube tube;
        tube.name = fmt::format("secondary of cylinders {}", fmt::join(pair, "-"));
        tube.tube = header_.secondary_tube;
        tube.length = header_.secondary_length;
        tube.made = tube.length;
        tube.collector = group.name;
        tube.pieces.push_back({PieceKind::straight, tube.length, {}});
        sheet_.secondaries.push_back(std::move(tube));
      }
    }
  }

  void add_collectors() {
    for (const cases::CollectorGroup& group : header_.groups) {
      if (!(header_.collector_length > 0) || group.cylinders.size() < 2) continue;
      CutCollector one;
      one.name = group.name;
      one.cylinders = group.cylinders;
      one.tube = header_.collector_tube;
      one.length = header_.collector_length;
      one.neck_diameter = header_.merge_diameter;
      one.neck_cone = header_.merge_cone_length;
      if (!header_.shared_tail) {
        one.tail_tube = header_.tail_tube;
        one.tail_length = header_.tail_length;
      }
      sheet_.collectors.push_back(std::move(one));
    }
    if (header_.shared_tail) sheet_.shared_tail = {header_.tail_tube, header_.tail_length};
  }

  void remark_left_out() {
    if (!header_.balance.empty()) {
      sheet_.remarks.emplace_back(
          "the balance pipes between the collectors are not in this sheet; they are in the case "
          "file");
    }
    if (!header_.parts.empty()) {
      sheet_.remarks.emplace_back(
          "the parts behind the collectors are not in this sheet; they are in the case file");
    }
  }

  void order_straight(const Tube& tube, double length, int cuts) {
    if (!(length > 0) || !(tube.inside_diameter > 0)) return;
    const double whole = length + cuts * sheet_.cut_allowance;
    const auto found = std::find_if(sheet_.tubes.begin(), sheet_.tubes.end(),
                                    [&](const OrderedTube& one) { return one.tube == tube; });
    if (found != sheet_.tubes.end()) {
      found->length += whole;
    } else {
      sheet_.tubes.push_back({tube, whole});
    }
  }

  void order_bend(const Tube& tube, double radius, double angle_deg) {
    const auto& angles = case_file_.bend_stock.angles_deg;
    double left = angle_deg;
    while (left > angles.back() + same_angle) {
      count_bend(tube, radius, angles.back());
      left -= angles.back();
    }
    count_bend(tube, radius, *std::find_if(angles.begin(), angles.end(), [&](double angle) {
                 return angle >= left - same_angle;
               }));
  }

  void count_bend(const Tube& tube, double radius, double stock) {
    const auto found =
        std::find_if(sheet_.bends.begin(), sheet_.bends.end(), [&](const OrderedBend& one) {
          return one.tube == tube && std::abs(one.radius - radius) < same_radius &&
                 std::abs(one.angle_deg - stock) < same_angle;
        });
    if (found != sheet_.bends.end()) {
      ++found->count;
    } else {
      sheet_.bends.push_back({tube, radius, stock, 1});
    }
  }

  // Straight tube of a primary with steps is shared between its tubes as its length is.
  void order(const CutTube& tube) {
    double straight = 0;
    int cuts = 0;
    for (const CutPiece& piece : tube.pieces) {
      if (piece.kind == PieceKind::bend) {
        order_bend(tube.tube, piece.bend.radius, piece.bend.angle_deg);
      } else if (piece.length > 0) {
        straight += piece.length;
        cuts += tube.has_path ? 1 : static_cast<int>(tube.pieces.size());
      }
    }
    double from = 0;
    Tube here = tube.tube;
    for (const cases::TubeStep& step : tube.steps) {
      order_straight(here, straight * (step.at - from) / tube.length, 1);
      from = step.at;
      here = step.tube;
    }
    order_straight(here, straight * (tube.length - from) / tube.length, cuts);
  }

  const CaseFile& case_file_;
  const HeaderDesign& header_;
  const MeasuredPaths& measured_;
  cases::QuantityText shown_;
  CutSheet sheet_;
};

}  // namespace

CutSheet cut_sheet(const CaseFile& case_file, const HeaderDesign& header,
                   const MeasuredPaths& measured, cases::MessageUnits units) {
  return SheetMaker(case_file, header, measured, units).make();
}

const std::vector<std::string>& bench_cautions() {
  static const std::vector<std::string> cautions{
      "Welding fumes of coated, plated and stainless tube are harmful: bare metal, draw them off.",
      "Shield eyes and skin when welding and grinding, keep fire away.",
      "Hot exhaust burns: let it cool before touching, keep hoses, wires and wood away from it.",
      "Carbon monoxide kills without warning: never run an engine in a closed room.",
      "Look for leaks before the first drive.",
      "Coatings and wraps give off harmful fumes when first heated: do it outside.",
      "Noise and emission law differ by place: ask before fitting.",
      "Local law and licensed practice come before anything printed here.",
      "A prediction, not a guarantee. Tack, try it in the car, then weld."};
  return cautions;
}

}  // namespace pulsewright::tools
