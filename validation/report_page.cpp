#include "validation/report_page.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <set>

namespace pulsewright::validation {

namespace {

std::string escaped(const std::string& text) {
  std::string out;
  for (const char c : text) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      case '\n':
        out += "<br>";
        break;
      default:
        out += c;
    }
  }
  return out;
}

// The SVG as a data URL: identifiers of one drawing cannot clash with those of another.
std::string image_address(const std::string& svg) {
  std::string out = "data:image/svg+xml;charset=utf-8,";
  for (const char c : svg) {
    if (c == '\n') {
      out += ' ';
    } else if (c == '%' || c == '#' || c == '"' || c == '<' || c == '>' || c == '&') {
      out += fmt::format("%{:02X}", static_cast<unsigned>(c));
    } else {
      out += c;
    }
  }
  return out;
}

std::string anchor(const CaseEntry& entry) { return entry.group + "-" + entry.name; }

const char* verdict(const CaseOutcome& outcome) {
  if (!outcome.was_run) return "not run";
  return outcome.passed() ? "pass" : "fail";
}

std::string style() {
  return "body{font:15px/1.45 sans-serif;max-width:75rem;margin:1.5rem auto;padding:0 "
         "1rem;color:#222}h1{font-size:1.6rem}h2{border-bottom:2px solid "
         "#888;margin-top:2.5rem}h3{margin:2rem 0 "
         ".3rem}table{border-collapse:collapse;margin:.6rem 0;width:100%}th,td{border-bottom:1px "
         "solid #ccc;padding:.2rem "
         ".5rem;text-align:left;vertical-align:top}td.n,th.n{text-align:right;font-variant-numeric:"
         "tabular-nums;white-space:nowrap}.pass{color:#06602a}.fail{color:#a00;font-weight:bold}."
         "small{color:#555;font-size:.85rem}.missed{color:#8a5a00}img{max-width:33rem;width:100%;"
         "margin:.3rem}.plots{"
         "display:flex;flex-wrap:wrap}";
}

void add_overview(std::string& page, const std::vector<CaseOutcome>& outcomes) {
  page +=
      "<table><tr><th>Group</th><th>Case</th><th class=n>Figures</th><th class=n>Miss their "
      "goal</th><th class=n>Failed</th><th class=n>Seconds</th><th>Verdict</th></tr>\n";
  for (const auto& o : outcomes) {
    const auto failed = std::count_if(o.report.figures.begin(), o.report.figures.end(),
                                      [](const Figure& f) { return !f.passed(); });
    const auto missed = std::count_if(o.report.figures.begin(), o.report.figures.end(),
                                      [](const Figure& f) { return f.misses_goal(); });
    page += fmt::format(
        "<tr><td>{}</td><td><a href=\"#{}\">{}</a></td><td class=n>{}</td><td class=n>{}</td><td "
        "class=n>{}</td><td class=n>{:.1f}</td><td class=\"{}\">{}</td></tr>\n",
        escaped(o.entry->group), escaped(anchor(*o.entry)),
        escaped(o.report.title.empty() ? o.entry->name : o.report.title), o.report.figures.size(),
        missed, failed, o.seconds, o.passed() ? "pass" : "fail", verdict(o));
  }
  page += "</table>\n";
}

void add_figures(std::string& page, const CaseReport& report) {
  page +=
      "<table><tr><th>Quantity</th><th class=n>Reference</th><th class=n>Computed</th><th "
      "class=n>Error</th><th class=n>Tolerance</th><th>Verdict</th><th>Source</th></tr>\n";
  std::string before;
  for (const auto& f : report.figures) {
    const std::string unit = f.unit.empty() ? "" : " " + f.unit;
    // Consecutive figures with the same source and tolerance show both once.
    const std::string from = fmt::format("{} ({})<br>Tolerance: {}", escaped(f.source.text),
                                         name_of(f.source.confidence), escaped(f.why));
    page += fmt::format(
        "<tr><td>{}</td><td class=n>{}</td><td class=n>{}</td><td class=n>{}</td><td "
        "class=n>{}</td><td class=\"{}\">{}</td><td class=small>{}</td></tr>\n",
        escaped(f.quantity), escaped(figure_number(f.expected) + unit),
        escaped(figure_number(f.computed) + unit), escaped(error_text(f)),
        escaped(tolerance_text(f)),
        f.misses_goal() ? "missed"
        : f.passed()    ? "pass"
                        : "fail",
        verdict_of(f), from == before ? "as above" : from);
    before = from;
  }
  page += "</table>\n";
}

void add_table(std::string& page, const Table& table) {
  page += fmt::format("<p>{}</p>\n<table><tr>", escaped(table.title));
  for (const auto& column : table.columns) page += fmt::format("<th>{}</th>", escaped(column));
  page += "</tr>\n";
  for (const auto& row : table.rows) {
    page += "<tr>";
    for (const auto& cell : row) page += fmt::format("<td>{}</td>", escaped(cell));
    page += "</tr>\n";
  }
  page += "</table>\n";
}

std::string sense_text(const Figure& f, double most) {
  const std::string amount =
      f.relative ? fmt::format("{:.3g} %", 100 * most) : fmt::format("{:.3g}", most);
  switch (f.sense) {
    case Sense::equal:
      return "\u00b1" + amount;
    case Sense::at_most:
      return most == 0 ? "at most" : "at most, +" + amount;
    case Sense::at_least:
      return most == 0 ? "at least" : "at least, -" + amount;
  }
  return amount;
}

}  // namespace

std::string figure_number(double value) {
  if (std::isnan(value)) return "NaN";
  const double size = std::abs(value);
  if (size != 0 && (size < 1e-3 || size >= 1e7)) return fmt::format("{:.4g}", value);
  return fmt::format("{:.6g}", value);
}

std::string tolerance_text(const Figure& f) {
  const std::string text = sense_text(f, f.tolerance);
  return f.goal ? fmt::format("{} (goal {})", text, sense_text(f, *f.goal)) : text;
}

const char* verdict_of(const Figure& f) {
  if (!f.passed()) return "fail";
  return f.misses_goal() ? "misses the goal" : "pass";
}

std::string error_text(const Figure& f) {
  return f.relative ? fmt::format("{:+.3g} %", 100 * f.error()) : fmt::format("{:+.3g}", f.error());
}

std::string report_page(const PageHead& head, const std::vector<CaseOutcome>& outcomes,
                        const std::vector<std::vector<std::string>>& plots) {
  std::size_t figures = 0;
  for (const auto& o : outcomes) figures += o.report.figures.size();
  const auto passed =
      std::count_if(outcomes.begin(), outcomes.end(), [](const auto& o) { return o.passed(); });
  std::string page = fmt::format(
      "<!DOCTYPE html>\n<html lang=en><head><meta charset=utf-8><meta name=viewport "
      "content=\"width=device-width\"><title>Validation of "
      "Pulsewright</title><style>{}</style></head><body>\n<h1>Validation of "
      "Pulsewright</h1>\n<p>{}, {}. {} of {} cases pass, {} figures.</p>\n<p class=small>Each "
      "computed figure is compared with a reference value that does not come from the program. "
      "After each source follows where the value was read: <i>read in the original</i> "
      "publication, <i>restated</i> in another one, quoted <i>from memory</i>, <i>computed</i> "
      "from the published formula independently of the program, or <i>common practice, no "
      "source</i>. Where the model does not reach what it should, the figure has a goal beside the "
      "tolerance, which then states by how much it is missed.</p>\n",
      style(), escaped(head.program), escaped(head.date), passed, outcomes.size(), figures);
  add_overview(page, outcomes);
  std::string group;
  for (std::size_t i = 0; i < outcomes.size(); ++i) {
    const auto& o = outcomes[i];
    if (o.entry->group != group) {
      group = o.entry->group;
      page += fmt::format("<h2>{}</h2>\n", escaped(group));
    }
    page += fmt::format(
        "<h3 id=\"{}\">{} <span class=\"{}\">{}</span></h3>\n<p class=small>{}/{}</p>\n",
        escaped(anchor(*o.entry)), escaped(o.report.title.empty() ? o.entry->name : o.report.title),
        o.passed() ? "pass" : "fail", verdict(o), escaped(o.entry->group), escaped(o.entry->name));
    if (!o.fault.empty()) page += fmt::format("<p class=fail>{}</p>\n", escaped(o.fault));
    if (!o.report.text.empty()) page += fmt::format("<p>{}</p>\n", escaped(o.report.text));
    if (!o.report.figures.empty()) add_figures(page, o.report);
    for (const Table& table : o.report.tables) add_table(page, table);
    page += "<div class=plots>\n";
    for (std::size_t k = 0; k < o.report.plots.size(); ++k) {
      const std::string& svg = i < plots.size() && k < plots[i].size() ? plots[i][k] : "";
      page += svg.empty() ? fmt::format("<p class=small>Plot not drawn: {}</p>\n",
                                        escaped(o.report.plots[k].title))
                          : fmt::format("<img alt=\"{}\" src=\"{}\">\n",
                                        escaped(o.report.plots[k].title), image_address(svg));
    }
    page += "</div>\n";
  }
  page += "</body></html>\n";
  return page;
}

}  // namespace pulsewright::validation
