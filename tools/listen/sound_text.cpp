#include "tools/listen/sound_text.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "cases/wrapped_text.hpp"
#include "tools/study/band.hpp"
#include "tools/study/csv_table.hpp"
#include "tools/study/text_table.hpp"

namespace pulsewright::tools {

namespace {

constexpr std::size_t most_harmonics = 2 * most_orders;
constexpr std::size_t table_orders = 12;  // of the table for one speed

// dB of harmonic m of the cycle at a point; -infinity where there is none.
double level_of(const HeardPoint& point, std::size_t m) {
  return models::order_level(m < point.pressure.size() ? point.pressure[m] : 0.0);
}

std::string shown_level(double level) {
  return std::isfinite(level) ? fmt::format("{:.1f}", level) : "-";
}

const HeardPoint& nearest_point(const HeardHeader& header, double speed) {
  return *std::min_element(header.points.begin(), header.points.end(),
                           [&](const HeardPoint& a, const HeardPoint& b) {
                             return std::abs(a.speed - speed) < std::abs(b.speed - speed);
                           });
}

// A header over the band, from the points that count: means of energy.
struct BandSound {
  int points = 0;                      // that lie within the band
  double level = 0;                    // dB(A)
  double half_orders = 0;              // dB, of the half orders together less that of all
  std::vector<std::size_t> strongest;  // harmonics
};

double decibels(double energy) { return 10 * std::log10(energy); }

BandSound over_band(const HeardHeaders& heard, const HeardHeader& header) {
  BandSound sound;
  std::vector<const HeardPoint*> counting;
  std::vector<double> speeds;
  for (const HeardPoint& point : header.points) {
    if (!point.fault.empty()) continue;
    counting.push_back(&point);
    speeds.push_back(point.speed);
    if (in_band(point.speed, heard.band_from, heard.band_to)) ++sound.points;
  }
  if (sound.points == 0) return sound;
  const std::vector<double> weights = band_weights(speeds, heard.band_from, heard.band_to);
  double weighted = 0, all = 0, half = 0;
  std::vector<double> orders(most_harmonics + 1, 0.0);
  for (std::size_t i = 0; i < counting.size(); ++i) {
    if (!(weights[i] > 0)) continue;
    const HeardPoint& point = *counting[i];
    weighted += weights[i] * std::pow(10, 0.1 * point.level.a_weighted);
    const double energy = weights[i] * std::pow(10, 0.1 * point.level.plain);
    all += energy;
    half += energy * std::pow(10, 0.1 * half_order_share(point));
    for (std::size_t m = 1; m < std::min(orders.size(), point.pressure.size()); ++m)
      orders[m] += weights[i] * std::norm(point.pressure[m]);
  }
  sound.level = decibels(weighted);
  sound.half_orders = decibels(half / all);
  for (std::size_t m = 1; m < orders.size(); ++m) sound.strongest.push_back(m);
  std::stable_sort(sound.strongest.begin(), sound.strongest.end(),
                   [&](std::size_t a, std::size_t b) { return orders[a] > orders[b]; });
  sound.strongest.resize(4);
  return sound;
}

std::string order_name(std::size_t m) {
  return m % 2 == 0 ? fmt::format("{}", m / 2) : fmt::format("{}.5", m / 2);
}

std::vector<double> speeds_of(const HeardHeaders& heard) {
  std::vector<double> speeds;
  for (const HeardHeader& header : heard.headers) {
    for (const HeardPoint& point : header.points) speeds.push_back(point.speed);
  }
  std::sort(speeds.begin(), speeds.end());
  speeds.erase(std::unique(speeds.begin(), speeds.end()), speeds.end());
  return speeds;
}

std::string level_table(const HeardHeaders& heard) {
  TextTable table;
  std::vector<std::string> head{"rpm"};
  for (const HeardHeader& header : heard.headers) head.push_back(header.name);
  table.row(head);
  table.rule();
  bool marked = false;
  for (const double speed : speeds_of(heard)) {
    std::vector<std::string> row{fmt::format("{:.0f}", 60 * speed)};
    for (const HeardHeader& header : heard.headers) {
      const HeardPoint& point = nearest_point(header, speed);
      if (point.speed != speed) {
        row.emplace_back("-");
        continue;
      }
      marked = marked || !point.fault.empty();
      row.push_back(shown_level(point.level.a_weighted) + (point.fault.empty() ? "" : "!"));
    }
    table.row(row);
  }
  std::string text = "Level at the microphone in dB(A)\n" + table.text();
  if (marked) {
    text +=
        cases::wrapped(
            "! = does not count: does not repeat from cycle to cycle, was clipped, or cylinders "
            "settled differently; the sound is that of its last cycle") +
        "\n";
  }
  return text;
}

std::string band_table(const HeardHeaders& heard) {
  TextTable table;
  table.row({"header", "dB(A)", "half orders, dB", "strongest orders"});
  table.rule();
  for (const HeardHeader& header : heard.headers) {
    const BandSound sound = over_band(heard, header);
    if (sound.points == 0) {
      table.row({header.name, "-", "-", "-"});
      continue;
    }
    std::string orders;
    for (const std::size_t m : sound.strongest)
      orders += (orders.empty() ? "" : ", ") + order_name(m);
    table.row({header.name, shown_level(sound.level), shown_level(sound.half_orders), orders});
  }
  return fmt::format(
      "Means over {:.0f} to {:.0f} rpm, of the speeds that count\n{}{}\n", 60 * heard.band_from,
      60 * heard.band_to, table.text(),
      cases::wrapped(
          "half orders: all of them together against the whole sound; strongest: loudest first"));
}

std::string order_table(const HeardHeaders& heard, double speed) {
  TextTable table;
  std::vector<std::string> head{"order"};
  for (const HeardHeader& header : heard.headers) head.push_back(header.name);
  table.row(head);
  table.rule();
  for (std::size_t m = 1; m <= 2 * table_orders; ++m) {
    std::vector<std::string> row{order_name(m)};
    for (const HeardHeader& header : heard.headers)
      row.push_back(shown_level(level_of(nearest_point(header, speed), m)));
    table.row(row);
  }
  return fmt::format("Orders at {:.0f} rpm, dB\n{}",
                     60 * nearest_point(heard.headers.front(), speed).speed, table.text());
}

nlohmann::json rounded_level(double level) {
  return std::isfinite(level) ? nlohmann::json(std::round(100 * level) / 100) : nlohmann::json();
}

const char* reason_words(models::BandReason reason) {
  switch (reason) {
    case models::BandReason::higher_modes:
      return "above it sound runs through the tail in more ways than as a plane wave";
    case models::BandReason::cells:
      return "ten cells of the grid to a wave";
    case models::BandReason::trace:
      break;
  }
  return "run.trace_points of the case";
}

}  // namespace

std::string listening_words(const HeardHeaders& heard, UnitSystem system) {
  const DisplayUnits units(system);
  const auto length = [&](double metres) {
    const bool metric = system == UnitSystem::metric;
    return fmt::format("{:.{}f} {}", metric ? metres : metres * units.length.factor, metric ? 2 : 0,
                       metric ? "m" : "in");
  };
  const models::ListeningSpecification& at = heard.listening;
  const std::string place =
      at.microphone ? fmt::format("at x {}, y {}, z {}", length(at.microphone->x()),
                                  length(at.microphone->y()), length(at.microphone->z()))
                    : fmt::format("{} from the outermost outlet, {:.0f} deg from its axis",
                                  length(at.distance), at.angle_deg);
  const std::string ground = at.ground_reflection > 0
                                 ? fmt::format("outlets {} above ground that reflects {:.0f} %",
                                               length(at.outlet_height), 100 * at.ground_reflection)
                                 : "no ground";
  return fmt::format(
      "Microphone {}, {}. Full load, open headers as in the case. Orders up to {:.0f} Hz ({}); "
      "the tail flow is stored every {:.3g} deg.",
      place, ground, heard.limit.frequency, reason_words(heard.limit.reason),
      720.0 / static_cast<double>(heard.trace_points));
}

std::string sound_cautions() {
  return "This is the pulsation of the exhaust alone: no intake, no valve train, no pipe shell, no "
         "noise of the jet, no muffler unless the case has one. Differences between headers are "
         "more "
         "certain than levels. Open headers harm hearing within minutes: wear protection. Noise "
         "law "
         "differs by place and track; measure by its procedure before relying on a number.";
}

std::string sound_text(const HeardHeaders& heard, double speed, UnitSystem system) {
  std::string text = heard.title + ": exhaust noise\n" +
                     cases::wrapped(listening_words(heard, system)) + "\n\n" + level_table(heard) +
                     "\n" + band_table(heard) + "\n" + order_table(heard, speed) + "\n";
  for (const std::string& one : heard.left_out) text += "left out: " + one + "\n";
  return text + cases::wrapped(sound_cautions());
}

nlohmann::json sound_json(const HeardHeaders& heard) {
  using nlohmann::json;
  json headers = json::array();
  for (const HeardHeader& header : heard.headers) {
    json points = json::array();
    for (const HeardPoint& point : header.points) {
      json orders = json::array();
      for (std::size_t m = 1; m <= most_harmonics; ++m)
        orders.push_back(rounded_level(level_of(point, m)));
      points.push_back({{"speed_rpm", std::round(6e4 * point.speed) / 1e3},
                        {"fault", point.fault},
                        {"level_db", rounded_level(point.level.plain)},
                        {"level_dba", rounded_level(point.level.a_weighted)},
                        {"half_orders_db", rounded_level(half_order_share(point))},
                        {"orders_db", orders}});
    }
    const BandSound band = over_band(heard, header);
    json strongest = json::array();
    for (const std::size_t m : band.strongest) strongest.push_back(order_name(m));
    const Eigen::Vector3d& at = header.place.microphone();
    headers.push_back(
        {{"name", header.name},
         {"microphone_m", {at.x(), at.y(), at.z()}},
         {"band",
          {{"points", band.points},
           {"level_dba", band.points > 0 ? rounded_level(band.level) : json()},
           {"half_orders_db", band.points > 0 ? rounded_level(band.half_orders) : json()},
           {"strongest_orders", strongest}}},
         {"points", points}});
  }
  return {{"title", heard.title},
          {"band_limit_hz", std::round(heard.limit.frequency)},
          {"band_limit_reason", reason_words(heard.limit.reason)},
          {"outlet_height_m", heard.listening.outlet_height},
          {"ground_reflection", heard.listening.ground_reflection},
          {"headers", headers},
          {"left_out", heard.left_out}};
}

std::string sound_csv(const HeardHeaders& heard) {
  CsvTable table;
  for (const char* name : {"header", "speed, rpm", "counts", "level, dB", "level, dB(A)"})
    table.add(name);
  for (std::size_t m = 1; m <= most_harmonics; ++m)
    table.add(fmt::format("order {}, dB", order_name(m)));
  table.end_row();
  const auto number = [](double level) {
    return std::isfinite(level) ? fmt::format("{:.2f}", level) : std::string();
  };
  for (const HeardHeader& header : heard.headers) {
    for (const HeardPoint& point : header.points) {
      table.add(header.name);
      table.add(fmt::format("{:.6g}", 60 * point.speed));
      table.add(point.fault.empty() ? "yes" : point.fault);
      table.add(number(point.level.plain));
      table.add(number(point.level.a_weighted));
      for (std::size_t m = 1; m <= most_harmonics; ++m) table.add(number(level_of(point, m)));
      table.end_row();
    }
  }
  return table.text();
}

}  // namespace pulsewright::tools
