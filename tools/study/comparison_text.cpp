#include "tools/study/comparison_text.hpp"

#include <cmath>
#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <sstream>

#include "cases/visible_text.hpp"
#include "tools/study/comparison_words.hpp"
#include "tools/study/figure_rows.hpp"
#include "tools/study/text_table.hpp"

namespace pulsewright::tools {

namespace {

class Writer {
 public:
  Writer(const Comparison& comparison, UnitSystem system)
      : c_(comparison),
        words_(comparison, system),
        units_(words_.units()),
        metric_(system == UnitSystem::metric) {}

  std::string write() {
    heading();
    figures();
    torque_by_speed();
    verdicts();
    spacing();
    step_lengths();
    cautions();
    return out_;
  }

 private:
  template <class... Args>
  void line(fmt::format_string<Args...> format, Args&&... args) {
    out_ += fmt::format(format, std::forward<Args>(args)...) + "\n";
  }
  std::string number(double si, const DisplayUnit& unit, int digits) const {
    return words_.number(si, unit, digits);
  }
  std::string signed_number(double si, const DisplayUnit& unit, int digits) const {
    return words_.signed_number(si, unit, digits);
  }
  static std::string rpm(double speed) { return ComparisonWords::rpm(speed); }
  const std::string& name(std::size_t i) const { return words_.name(i); }
  int pressure_digits() const { return words_.pressure_digits(); }
  int torque_digits() const { return words_.torque_digits(); }

  std::string unit_name(const BandFigure& row) const {
    return fmt::format("{}{}{}", units_.of(row.shown_in).name,
                       row.shown_in == ShownIn::gauge ? " g" : "",
                       row.spread != nullptr ? " (cylinders)" : "");
  }
  std::string cell(const BandFigure& row, const BandMean& mean) const {
    const DisplayUnit unit = units_.of(row.shown_in);
    const int digits = row.digits.value_or(pressure_digits());
    const std::string value = row.shown_in == ShownIn::gauge
                                  ? signed_number(mean.value, unit, digits)
                                  : number(mean.value, unit, digits);
    if (row.spread == nullptr) return value;
    return fmt::format("{} ({})", value, number(mean.spread, unit, digits));
  }

  void heading() {
    line("{}", c_.title);
    line("{} headers, {} speeds from {} to {} rpm; band {} to {} rpm", c_.headers.size(),
         c_.speeds.size(), rpm(c_.speeds.front()), rpm(c_.speeds.back()), rpm(c_.band_from),
         rpm(c_.band_to));
    line("");
  }

  void figures() {
    TextTable t;
    std::vector<std::string> group{"", "torque", "", "power", "", "mean over the band:"};
    std::vector<std::string> head{"header", "peak", "at", "peak", "at"};
    std::vector<std::string> unit{"", std::string(units_.torque.name), "rpm",
                                  std::string(units_.power.name), "rpm"};
    for (const BandFigure& row : band_figures) {
      if (row.title == nullptr) continue;
      head.push_back(row.title);
      unit.push_back(unit_name(row));
    }
    group.resize(head.size());
    t.row(group);
    t.row(head);
    t.row(unit);
    t.rule();
    for (const auto& f : c_.headers) {
      std::vector<std::string> cells{f.name, number(f.torque.value, units_.torque, 1),
                                     rpm(f.torque.speed), number(f.power.value, units_.power, 1),
                                     rpm(f.power.speed)};
      for (std::size_t i = 0; i < band_figures.size(); ++i) {
        if (band_figures[i].title != nullptr) cells.push_back(cell(band_figures[i], f.band[i]));
      }
      t.row(cells);
    }
    out_ += t.text();
    line("overlap: pressure at the exhaust valve during overlap, from intake opening to exhaust");
    line(
        "closing; (cylinders): best to worst cylinder; peak suction: lowest pressure at the "
        "exhaust");
    line("valve, 360 deg = top dead centre");
    line("");
    for (const auto& f : c_.headers) {
      for (const auto& fault : ComparisonWords::faults(f)) line("! {}", fault);
      for (const auto& remark : words_.remarks(f)) line("  {}", remark);
    }
    line("");
  }

  void torque_by_speed() {
    if (c_.pairs.empty()) return;
    line("Torque in {} and the difference to {}; * = larger than its margin", units_.torque.name,
         name(0));
    TextTable t;
    std::vector<std::string> head{"rpm", name(0)};
    for (const auto& pair : c_.pairs) head.push_back(name(pair.header_number));
    t.row(head);
    t.rule();
    for (std::size_t s = 0; s < c_.speeds.size(); ++s) {
      std::vector<std::string> cells{rpm(c_.speeds[s]),
                                     number(c_.torque[0][s], units_.torque, torque_digits())};
      for (const auto& pair : c_.pairs) {
        std::string cell = "-";
        for (const auto& d : pair.speeds) {
          if (d.speed != c_.speeds[s]) continue;
          cell = signed_number(d.torque.value, units_.torque, torque_digits()) +
                 (d.torque.verdict() == Verdict::too_close ? " " : "*");
        }
        cells.push_back(cell);
      }
      t.row(cells);
    }
    out_ += t.text();
    line("");
  }

  void verdicts() {
    if (c_.pairs.empty()) return;
    line("Over the band, against {}:", name(0));
    for (const auto& pair : c_.pairs) {
      const Difference& d = pair.torque;
      line("  {}: torque {}: {}", name(pair.header_number),
           words_.with_margin(d, units_.torque, torque_digits()),
           ComparisonWords::verdict(d.verdict()));
      line("    (margin from {})", words_.contributions(d.margin, units_.torque, torque_digits()));
      if (d.depends_on_merge) {
        line("    The sign of this difference depends on the model of the merge.");
      }
      const Difference& p = pair.overlap_exhaust_pressure;
      line("    pressure during overlap {}{}",
           words_.with_margin(p, units_.pressure, pressure_digits()),
           p.verdict() == Verdict::too_close ? ": too close to call" : "");
      line("    {}", words_.single_speeds(pair));
    }
    if (c_.quick) {
      line(
          "  Run without --quick to have merge model, build and gas temperature in the margin, "
          "too.");
    }
    line("");
  }

  void spacing() {
    if (c_.spacings.empty()) return;
    // The speed nearest to the middle of the band.
    const double middle = 0.5 * (c_.band_from + c_.band_to);
    double shown = c_.spacings.front().speed;
    for (const auto& s : c_.spacings) {
      if (std::abs(s.speed - middle) < std::abs(shown - middle)) shown = s.speed;
    }
    line(
        "Pulse spacing at the merges at {} rpm: deg of crank between arrivals; evenness 1 = all "
        "gaps equal",
        rpm(shown));
    TextTable t;
    t.row({"header", "merge", "order", "gaps", "evenness", "deg per", "length to even"});
    t.row({"", "", "", "deg", "", std::string(units_.small_length_name),
           std::string(units_.length.name)});
    t.rule();
    for (const auto& s : c_.spacings) {
      if (s.speed != shown) continue;
      const auto& m = s.merge;
      std::string order;
      std::string gaps;
      for (std::size_t i = 0; i < m.cylinders.size(); ++i) {
        order += fmt::format("{}{}", i > 0 ? "-" : "", m.cylinders[i]);
        gaps += fmt::format("{}{:.0f}", i > 0 ? "/" : "", m.gap[i]);
      }
      t.row({name(s.header_number), m.name, order, gaps, fmt::format("{:.2f}", m.evenness),
             fmt::format("{:.2f}", m.degrees_per_metre * units_.small_length_step),
             number(m.length_to_even, units_.length, metric_ ? 0 : 1)});
    }
    out_ += t.text();
    line("");
  }

  // What the step of a stepped header buys at each speed, and what evenness would take.
  void step_lengths() {
    for (std::size_t i = 0; i < c_.headers.size(); ++i) {
      if (c_.headers[i].kind != cases::HeaderKind::stepped_length || !(c_.step_length[i] > 0))
        continue;
      const double step = c_.step_length[i];
      TextTable t;
      t.row({"rpm", "the step moves a pulse by", "equal gaps would take"});
      t.row({"", "deg of crank", std::string(units_.length.name)});
      t.rule();
      double last = 0;
      for (const auto& s : c_.spacings) {
        if (s.header_number != i || s.merge.cylinders.size() < 2 || s.speed == last) continue;
        last = s.speed;
        t.row({rpm(s.speed), fmt::format("{:.1f}", step * s.merge.degrees_per_metre),
               number(s.merge.length_to_even, units_.length, 0)});
      }
      line("{}: from the shortest to the longest tube is {} {}. What that step buys, and how much",
           name(i), number(step, units_.length, metric_ ? 0 : 1), units_.length.name);
      line("further apart in length the tubes would have to be to make all gaps equal:");
      out_ += t.text();
      line("");
    }
  }

  void cautions() {
    constexpr std::size_t width = 90;
    std::string row;
    for (const auto& sentence : ComparisonWords::cautions()) {
      std::istringstream words(sentence);
      for (std::string word; words >> word;) {
        if (!row.empty() && row.size() + 1 + word.size() > width) {
          line("{}", row);
          row.clear();
        }
        row += (row.empty() ? "" : " ") + word;
      }
    }
    line("{}", row);
  }

  const Comparison& c_;
  ComparisonWords words_;
  DisplayUnits units_;
  bool metric_;
  std::string out_;
};

}  // namespace

nlohmann::json difference_json(const Difference& d) {
  return {{"value", d.value},
          {"margin", d.margin.total()},
          {"grid", d.margin.grid},
          {"cycle", d.margin.cycle},
          {"build", d.margin.build},
          {"merge_model", d.margin.merge},
          {"gas_temperature", d.margin.gas},
          {"depends_on_merge_model", d.depends_on_merge},
          {"verdict", ComparisonWords::verdict(d.verdict())}};
}

nlohmann::json header_figures_json(const HeaderFigures& f) {
  nlohmann::json band = nlohmann::json::object();
  for (std::size_t i = 0; i < band_figures.size(); ++i) {
    const std::string key = key_of(band_figures[i].member);
    band[key] = f.band[i].value;
    if (band_figures[i].spread != nullptr) band[key + "_spread"] = f.band[i].spread;
  }
  nlohmann::json uneven = nlohmann::json::array();
  for (const UnevenPoint& point : f.uneven) uneven.push_back(60.0 * point.speed);
  return {{"peak_torque", f.torque.value},
          {"peak_torque_rpm", 60.0 * f.torque.speed},
          {"peak_power", f.power.value},
          {"peak_power_rpm", 60.0 * f.power.speed},
          {"band", band},
          {"points_missing", f.missing},
          {"points_failed", f.failed},
          {"points_damaged", f.damaged},
          {"points_not_converged", f.unconverged},
          {"points_repeating", f.repeating},
          {"uneven_rpm", uneven},
          {"clipped", f.clipped},
          {"worst_imbalance", f.worst_imbalance}};
}

std::string comparison_text(const Comparison& comparison, UnitSystem system) {
  // Its names come from a results file, which may hold anything.
  return cases::visible_lines(Writer(comparison, system).write());
}

nlohmann::json comparison_json(const Comparison& c) {
  nlohmann::json j;
  j["title"] = c.title;
  j["band_rpm"] = {60.0 * c.band_from, 60.0 * c.band_to};
  j["quick"] = c.quick;
  j["build_tolerance_m"] = c.build_tolerance;
  for (const double speed : c.speeds) j["speed_rpm"].push_back(60.0 * speed);
  for (std::size_t i = 0; i < c.headers.size(); ++i) {
    auto& one = j["headers"].emplace_back(header_figures_json(c.headers[i]));
    one["name"] = c.headers[i].name;
    one["kind"] = cases::kind_name(c.headers[i].kind);
    one["torque"] = c.torque[i];
  }
  j["pairs"] = nlohmann::json::array();
  for (const auto& pair : c.pairs) {
    nlohmann::json speeds = nlohmann::json::array();
    for (const auto& d : pair.speeds) {
      nlohmann::json one = difference_json(d.torque);
      one["speed_rpm"] = 60.0 * d.speed;
      speeds.push_back(one);
    }
    j["pairs"].push_back(
        {{"header", c.headers[pair.header_number].name},
         {"reference", c.headers.front().name},
         {"torque", difference_json(pair.torque)},
         {"overlap_exhaust_pressure", difference_json(pair.overlap_exhaust_pressure)},
         {"torque_by_speed", speeds}});
  }
  j["merges"] = nlohmann::json::array();
  for (const auto& s : c.spacings) {
    auto& one = j["merges"].emplace_back(merge_json(s.merge));
    one["header"] = c.headers[s.header_number].name;
    one["merge"] = s.merge.name;
    one["speed_rpm"] = 60.0 * s.speed;
  }
  return j;
}

}  // namespace pulsewright::tools
