#include "tools/study/comparison_text.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

#include "cases/visible_text.hpp"
#include "cases/wrapped_text.hpp"
#include "tools/study/comparison_words.hpp"
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
    answer();
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
                       row.spread != nullptr ? " (cyl.)" : "");
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
    if (c_.speeds.size() == 1) {
      line("{} headers at {} rpm", c_.headers.size(), rpm(c_.speeds.front()));
    } else {
      const std::string band =
          c_.band_to > c_.band_from
              ? fmt::format("band {} to {} rpm", rpm(c_.band_from), rpm(c_.band_to))
              : "judged " + words_.over_band();
      line("{} headers, {} speeds from {} to {} rpm; {}", c_.headers.size(), c_.speeds.size(),
           rpm(c_.speeds.front()), rpm(c_.speeds.back()), band);
    }
    line("");
  }

  void figures() {
    TextTable peaks;
    peaks.row({"", "torque", "", "power", "", "dip", "", "band"});
    peaks.row({"header", "peak", "at", "peak", "at", "worst", "at", "torque"});
    const std::string torque(units_.torque.name);
    peaks.row({"", torque, "rpm", std::string(units_.power.name), "rpm", torque, "rpm", torque});
    peaks.rule();
    for (const auto& f : c_.headers) {
      const bool dips = f.dip.depth > 0;
      peaks.row({f.name, number(f.torque.value, units_.torque, 1), rpm(f.torque.speed),
                 number(f.power.value, units_.power, 1), rpm(f.power.speed),
                 dips ? number(f.dip.depth, units_.torque, 1) : "-", dips ? rpm(f.dip.speed) : "-",
                 number(f.band_mean(&models::PointResult::torque), units_.torque, 1)});
    }
    out_ += peaks.text();
    wrapped("dip: how far torque falls and comes back within the band; band: mean over it");
    line("");
    line("Means over the band");
    TextTable means;
    std::vector<std::string> head{"header"};
    std::vector<std::string> unit{""};
    const auto is_shown = [](const BandFigure& row) {
      return row.title != nullptr && row.member != &models::PointResult::torque;
    };
    for (const BandFigure& row : band_figures) {
      if (!is_shown(row)) continue;
      head.push_back(row.title);
      unit.push_back(unit_name(row));
    }
    means.row(head);
    means.row(unit);
    means.rule();
    for (const auto& f : c_.headers) {
      std::vector<std::string> cells{f.name};
      for (std::size_t i = 0; i < band_figures.size(); ++i) {
        if (is_shown(band_figures[i])) cells.push_back(cell(band_figures[i], f.band[i]));
      }
      means.row(cells);
    }
    out_ += means.text();
    wrapped(
        "vol.eff.: air through the intake, as an air meter shows it; overlap: pressure at the "
        "exhaust valve from intake opening to exhaust closing; (cyl.): best to worst cylinder; "
        "peak suction: lowest pressure at the exhaust valve, 360 deg = top dead centre");
    line("");
    for (const auto& f : c_.headers) {
      for (const auto& fault : ComparisonWords::faults(f)) line("! {}", fault);
      for (const auto& remark : words_.remarks(f)) wrapped(remark);
    }
    if (std::any_of(c_.headers.begin(), c_.headers.end(),
                    [](const HeaderFigures& f) { return f.damaged > 0; })) {
      line("! compare --resume computes anew what is damaged");
    }
    line("");
  }

  void answer() {
    for (const auto& sentence : words_.summary()) wrapped(sentence);
    if (c_.quick && !c_.pairs.empty()) wrapped("compare --resume without --quick adds them.");
    line("");
  }

  void torque_by_speed() {
    if (c_.pairs.empty()) return;
    line("Torque in {} and the difference to {}{}", units_.torque.name, name(0),
         c_.quick ? "" : "; * = sure; ! = does not count");
    constexpr std::size_t width = cases::terminal_width;
    const std::size_t first_columns = 8 + std::max<std::size_t>(6, name(0).size());
    for (std::size_t begin = 1; begin < c_.headers.size();) {
      std::size_t end = begin;
      std::size_t used = first_columns;
      while (end < c_.headers.size() &&
             (end == begin || used + 2 + std::max<std::size_t>(7, name(end).size()) <= width)) {
        used += 2 + std::max<std::size_t>(7, name(end++).size());
      }
      torque_table(begin, end);
      begin = end;
    }
  }

  void torque_table(std::size_t begin, std::size_t end) {
    TextTable t;
    std::vector<std::string> head{"rpm", name(0)};
    for (std::size_t i = begin; i < end; ++i) head.push_back(name(i));
    t.row(head);
    t.rule();
    for (std::size_t s = 0; s < c_.speeds.size(); ++s) {
      std::vector<std::string> cells{rpm(c_.speeds[s]),
                                     number(c_.torque[0][s], units_.torque, torque_digits())};
      for (std::size_t i = begin; i < end; ++i) cells.push_back(speed_cell(i, s));
      t.row(cells);
    }
    out_ += t.text();
    line("");
  }

  std::string speed_cell(std::size_t header, std::size_t s) const {
    for (const auto& d : c_.between(header, 0).speeds) {
      if (d.speed != c_.speeds[s]) continue;
      const bool sure = d.verdict == Verdict::ahead || d.verdict == Verdict::behind;
      return signed_number(d.torque.value, units_.torque, torque_digits()) + (sure ? "*" : " ");
    }
    const double plain = c_.torque[header][s] - c_.torque[0][s];
    return signed_number(plain, units_.torque, torque_digits()) +
           (std::isfinite(plain) ? "!" : " ");
  }

  void verdicts() {
    if (c_.pairs.empty()) return;
    const std::size_t best = c_.ranking.front();
    const std::string over = words_.over_band();
    line("{}{}, against {}:", over.front() == 'o' ? "O" : "A", over.substr(1), name(best));
    for (const std::size_t i : c_.ranking) {
      if (i == best) continue;
      const PairwiseComparison pair = c_.between(i, best);
      line("  {}: torque {}: {}", name(i),
           words_.with_interval(pair.torque, units_.torque, torque_digits()),
           pair.verdict == Verdict::none ? "provisional" : verdict_name(pair.verdict));
      line("    interval from: {}",
           words_.contributions(pair.torque.parts, units_.torque, torque_digits()));
      if (const std::string split = words_.split(pair); !split.empty()) {
        line("    {}", split);
      }
      line("    pressure during overlap {}",
           words_.with_interval(pair.overlap_exhaust_pressure, units_.pressure, pressure_digits()));
      if (pair.verdict != Verdict::none) {
        line("    {}", words_.single_speeds(pair));
        line("    {}", words_.with_other_bands(pair));
      }
      if (!pair.crossings.empty()) {
        std::string speeds;
        for (const double speed : pair.crossings) {
          speeds += (speeds.empty() ? "" : ", ") + rpm(speed);
        }
        line("    the torque curves cross at {} rpm", speeds);
      }
    }
    if (std::any_of(c_.pairs.begin(), c_.pairs.end(), [](const PairwiseComparison& pair) {
          return pair.split && pair.split->shares.size() > 1;
        })) {
      wrapped(ComparisonWords::parts_explained());
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
    wrapped(fmt::format(
        "Pulse spacing at the merges at {} rpm: deg of crank between arrivals; evenness 1 = all "
        "gaps equal",
        rpm(shown)));
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
      wrapped(fmt::format(
          "{}: from the shortest to the longest tube is {} {}. What that step buys, and "
          "how much further apart in length the tubes would have to be to make all "
          "gaps equal:",
          name(i), number(step, units_.length, metric_ ? 0 : 1), units_.length.name));
      out_ += t.text();
      line("");
    }
  }

  void cautions() {
    std::string text;
    for (const auto& sentence : ComparisonWords::cautions(c_.calibrated)) {
      text += (text.empty() ? "" : " ") + sentence;
    }
    wrapped(text);
  }

  void wrapped(const std::string& text) { line("{}", cases::wrapped(text)); }

  const Comparison& c_;
  ComparisonWords words_;
  DisplayUnits units_;
  bool metric_;
  std::string out_;
};

}  // namespace

std::string comparison_text(const Comparison& comparison, UnitSystem system) {
  // Its names come from a results file, which may hold anything.
  return cases::visible_lines(Writer(comparison, system).write());
}

}  // namespace pulsewright::tools
