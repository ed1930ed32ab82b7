#include "tools/cutting/cut_sheet_text.hpp"

#include <cmath>
#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <optional>

#include "cases/wrapped_text.hpp"
#include "tools/study/csv_table.hpp"
#include "tools/study/text_table.hpp"
#include "tools/study/tube_text.hpp"

namespace pulsewright::tools {

namespace {

using nlohmann::json;

std::string degrees_text(double angle) {
  const std::string text = fmt::format("{:.0f}", angle);
  return (text == "-0" ? "0" : text) + " deg";
}

// How a bend stands against the one before.
std::string rotation_text(double angle) {
  const double whole = std::round(angle);
  if (whole == 0) return "in the plane of the bend before";
  if (std::abs(whole) == 180) return "turned over, 180 deg";
  return fmt::format("turned {:.0f} deg {}", std::abs(whole),
                     whole > 0 ? "clockwise" : "counter-clockwise");
}

// To the half hour of a clock: "10:30".
std::string clock_text(double clock_deg) {
  const auto minutes = static_cast<int>(std::lround(clock_deg / 360 * 24)) * 30;
  const int hour = minutes / 60 % 12;
  return fmt::format("{}:{:02d}", hour == 0 ? 12 : hour, minutes % 60);
}

std::string tube_or_bore(const cases::Tube& tube, UnitSystem units) {
  const std::string ordered = tube_text(tube);
  return ordered.empty() ? cut_length_text(tube.inside_diameter, units) + " ID" : ordered;
}

// What is done with one piece, for the bench.
std::string piece_text(const CutTube& tube, std::size_t i, UnitSystem units) {
  const CutPiece& piece = tube.pieces[i];
  if (piece.kind == PieceKind::straight) {
    if (piece.length == 0) return "no straight, the bends touch";
    const std::string length = cut_length_text(piece.length, units);
    return tube.has_path || tube.pieces.size() == 1
               ? fmt::format("straight {}", length)
               : fmt::format("{} straight pieces, together {}", tube.pieces.size(), length);
  }
  std::string text =
      fmt::format("bend {} on {} radius, arc {}", degrees_text(piece.bend.angle_deg),
                  cut_length_text(piece.bend.radius, units), cut_length_text(piece.length, units));
  const bool first = i < 2;  // the straight before it is the first piece
  if (tube.has_path && !first) text += ", " + rotation_text(piece.bend.rotation_deg);
  return text;
}

std::string tube_block(const CutTube& tube, UnitSystem units) {
  std::string head =
      fmt::format("{}: {}, {} along the centreline", tube.name, tube_or_bore(tube.tube, units),
                  cut_length_text(tube.length, units));
  if (tube.clock_deg) {
    head +=
        fmt::format("; collector {} at {} o'clock", tube.collector, clock_text(*tube.clock_deg));
  } else if (!tube.collector.empty()) {
    head += fmt::format("; to collector {}", tube.collector);
  }
  std::string out = cases::wrapped(head, 2) + "\n";
  double from = 0;
  for (std::size_t i = 0; i < tube.pieces.size(); ++i) {
    const std::string number = tube.has_path ? fmt::format("{}. ", i + 1) : std::string("- ");
    std::string line = "    " + number + piece_text(tube, i, units);
    from += tube.pieces[i].length;
    if (tube.has_path) line += fmt::format("; up to {}", cut_length_text(from, units));
    out += cases::wrapped(line, 7) + "\n";
  }
  for (const cases::TubeStep& step : tube.steps) {
    out += cases::wrapped(fmt::format("    from {} on {}", cut_length_text(step.at, units),
                                      tube_or_bore(step.tube, units)),
                          7) +
           "\n";
  }
  if (tube.has_path) {
    out += cases::wrapped(
               fmt::format("    pieces together {}, wanted {}: {} {}",
                           cut_length_text(tube.made, units), cut_length_text(tube.length, units),
                           cut_length_text(std::abs(tube.made - tube.length), units),
                           tube.made < tube.length ? "short" : "long"),
               7) +
           "\n";
  }
  return out;
}

std::string collector_block(const CutCollector& one, UnitSystem units) {
  std::string text =
      fmt::format("collector {} of cylinders {}: {}, {}", one.name, fmt::join(one.cylinders, "-"),
                  tube_or_bore(one.tube, units), cut_length_text(one.length, units));
  if (one.neck_diameter > 0) {
    text += fmt::format("; {} inside where the tubes enter, cone {}",
                        cut_length_text(one.neck_diameter, units),
                        cut_length_text(one.neck_cone, units));
  }
  if (one.tail_tube.inside_diameter > 0) {
    text += fmt::format("; tail {}, {}", tube_or_bore(one.tail_tube, units),
                        cut_length_text(one.tail_length, units));
  }
  return cases::wrapped(text, 2) + "\n";
}

std::string tail_block(const CutTail& tail, UnitSystem units) {
  return cases::wrapped(
             fmt::format("tail in which the collectors meet: {}, {}",
                         tube_or_bore(tail.tube, units), cut_length_text(tail.length, units)),
             2) +
         "\n";
}

// Feet, or tenths of a metre, rounded up.
std::string order_length(double metres, UnitSystem units) {
  return units == UnitSystem::inch ? fmt::format("{:.0f} ft", std::ceil(metres / 0.3048 - 1e-9))
                                   : fmt::format("{:.1f} m", std::ceil(metres * 10 - 1e-9) / 10);
}

std::string order_block(const CutSheet& sheet, UnitSystem units) {
  TextTable table;
  for (const OrderedTube& one : sheet.tubes) {
    table.row({"  straight " + tube_or_bore(one.tube, units), order_length(one.length, units)});
  }
  for (const OrderedBend& one : sheet.bends) {
    table.row({fmt::format("  bend {}, {} on {} radius", tube_or_bore(one.tube, units),
                           degrees_text(one.angle_deg), cut_length_text(one.radius, units)),
               fmt::format("{}", one.count)});
  }
  return table.text();
}

json length_json(double metres) {
  return {{"m", metres},
          {"metric", cut_length_text(metres, UnitSystem::metric)},
          {"inch", cut_length_text(metres, UnitSystem::inch)}};
}

json tube_size_json(const cases::Tube& tube) {
  return {{"metric", tube_or_bore(tube, UnitSystem::metric)},
          {"inch", tube_or_bore(tube, UnitSystem::inch)}};
}

json tube_json(const CutTube& tube) {
  auto pieces = json::array();
  for (std::size_t i = 0; i < tube.pieces.size(); ++i) {
    const CutPiece& piece = tube.pieces[i];
    const bool bend = piece.kind == PieceKind::bend;
    json one{{"kind", bend ? "bend" : "straight"},
             {"length", length_json(piece.length)},
             {"words",
              {{"metric", piece_text(tube, i, UnitSystem::metric)},
               {"inch", piece_text(tube, i, UnitSystem::inch)}}}};
    if (bend) {
      one["angle"] = piece.bend.angle_deg;
      one["radius"] = length_json(piece.bend.radius);
      one["rotation"] = tube.has_path && i >= 2 ? json(piece.bend.rotation_deg) : json();
    }
    pieces.push_back(std::move(one));
  }
  auto steps = json::array();
  for (const cases::TubeStep& step : tube.steps) {
    steps.push_back({{"at", length_json(step.at)}, {"tube", tube_size_json(step.tube)}});
  }
  return {{"name", tube.name},
          {"tube", tube_size_json(tube.tube)},
          {"length", length_json(tube.length)},
          {"has_path", tube.has_path},
          {"pieces", pieces},
          {"steps", steps},
          {"made", length_json(tube.made)},
          {"collector", tube.collector},
          {"clock_deg", tube.clock_deg ? json(*tube.clock_deg) : json()},
          {"clock", tube.clock_deg ? json(clock_text(*tube.clock_deg)) : json()}};
}

json tubes_json(const std::vector<CutTube>& tubes) {
  auto list = json::array();
  for (const CutTube& tube : tubes) list.push_back(tube_json(tube));
  return list;
}

json collector_json(const CutCollector& one) {
  return {{"name", one.name},
          {"cylinders", one.cylinders},
          {"length", length_json(one.length)},
          {"words",
           {{"metric", collector_block(one, UnitSystem::metric)},
            {"inch", collector_block(one, UnitSystem::inch)}}}};
}

json shared_tail_json(const std::optional<CutTail>& tail) {
  if (!tail) return {};
  return {{"tube", tube_size_json(tail->tube)},
          {"length", length_json(tail->length)},
          {"words",
           {{"metric", tail_block(*tail, UnitSystem::metric)},
            {"inch", tail_block(*tail, UnitSystem::inch)}}}};
}

}  // namespace

std::string cut_sheet_text(const CutSheet& sheet, UnitSystem units) {
  std::string out = fmt::format("Cutting sheet of {}\n", sheet.header);
  out +=
      cases::wrapped(fmt::format(
          "Lengths along the centreline, from the flange to where the tubes first meet. Hold every "
          "primary within {}. Rotations: against the bend before, seen along the tube with the "
          "gas; the clock of a collector as seen from the flange.",
          cut_length_text(sheet.tolerance, units))) +
      "\n";
  for (const CutPage& page : sheet.pages) {
    out += fmt::format("\nBank {}\n", page.bank);
    for (const CutTube& tube : page.tubes) out += tube_block(tube, units);
  }
  if (!sheet.secondaries.empty()) out += "\nSecondaries\n";
  for (const CutTube& tube : sheet.secondaries) out += tube_block(tube, units);
  if (!sheet.collectors.empty()) out += "\nCollectors\n";
  for (const CutCollector& one : sheet.collectors) out += collector_block(one, units);
  if (sheet.shared_tail) out += tail_block(*sheet.shared_tail, units);
  out += fmt::format("\nTo order, with {} for each cut\n{}",
                     cut_length_text(sheet.cut_allowance, units), order_block(sheet, units));
  if (!sheet.remarks.empty()) out += "\nTo be looked at\n";
  for (const std::string& remark : sheet.remarks) out += cases::wrapped("  " + remark, 4) + "\n";
  out += "\nBefore you begin\n";
  for (const std::string& caution : bench_cautions())
    out += cases::wrapped("  " + caution, 4) + "\n";
  return out;
}

json cut_sheet_json(const CutSheet& sheet) {
  auto pages = json::array();
  for (const CutPage& page : sheet.pages) {
    pages.push_back({{"bank", page.bank}, {"tubes", tubes_json(page.tubes)}});
  }
  auto collectors = json::array();
  for (const CutCollector& one : sheet.collectors) collectors.push_back(collector_json(one));
  auto tubes = json::array();
  for (const OrderedTube& one : sheet.tubes) {
    tubes.push_back({{"tube", tube_size_json(one.tube)},
                     {"length",
                      {{"m", one.length},
                       {"metric", order_length(one.length, UnitSystem::metric)},
                       {"inch", order_length(one.length, UnitSystem::inch)}}}});
  }
  auto bends = json::array();
  for (const OrderedBend& one : sheet.bends) {
    bends.push_back({{"tube", tube_size_json(one.tube)},
                     {"angle", one.angle_deg},
                     {"radius", length_json(one.radius)},
                     {"count", one.count}});
  }
  return {{"header", sheet.header},
          {"pages", pages},
          {"secondaries", tubes_json(sheet.secondaries)},
          {"collectors", collectors},
          {"shared_tail", shared_tail_json(sheet.shared_tail)},
          {"order", {{"tubes", tubes}, {"bends", bends}}},
          {"tolerance", length_json(sheet.tolerance)},
          {"cut_allowance", length_json(sheet.cut_allowance)},
          {"remarks", sheet.remarks},
          {"cautions", bench_cautions()}};
}

std::string cut_sheet_csv(const CutSheet& sheet, UnitSystem units) {
  const DisplayUnit length = DisplayUnits(units).length;
  CsvTable table;
  for (const std::string& name :
       {std::string("bank"), std::string("tube"), std::string("size"), std::string("piece"),
        std::string("kind"), fmt::format("length, {}", length.name), std::string("cut to"),
        std::string("angle, deg"), fmt::format("radius, {}", length.name),
        std::string("rotation, deg"), std::string("collector"), std::string("clock, deg")}) {
    table.add(name);
  }
  table.end_row();
  const auto add_tube = [&](const std::string& bank, const CutTube& tube) {
    for (std::size_t i = 0; i < tube.pieces.size(); ++i) {
      const CutPiece& piece = tube.pieces[i];
      const bool bend = piece.kind == PieceKind::bend;
      table.add(bank);
      table.add(tube.name);
      table.add(tube_or_bore(tube.tube, units));
      table.add(fmt::format("{}", i + 1));
      table.add(bend ? "bend" : "straight");
      table.add(fmt::format("{:.3f}", piece.length * length.factor));
      table.add(cut_length_text(piece.length, units));
      table.add(bend ? fmt::format("{:.1f}", piece.bend.angle_deg) : "");
      table.add(bend ? fmt::format("{:.3f}", piece.bend.radius * length.factor) : "");
      table.add(bend && tube.has_path && i >= 2 ? fmt::format("{:.1f}", piece.bend.rotation_deg)
                                                : "");
      table.add(tube.collector);
      table.add(tube.clock_deg ? fmt::format("{:.1f}", *tube.clock_deg) : "");
      table.end_row();
    }
  };
  for (const CutPage& page : sheet.pages) {
    for (const CutTube& tube : page.tubes) add_tube(page.bank, tube);
  }
  for (const CutTube& tube : sheet.secondaries) add_tube("", tube);
  return table.text();
}

}  // namespace pulsewright::tools
