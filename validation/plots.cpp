#include "validation/plots.hpp"

#include <cmath>
#include <cstdlib>
#include <fmt/format.h>
#include <fstream>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

namespace pulsewright::validation {

namespace {

// A string in single quotes for gnuplot.
std::string quoted(const std::string& text) {
  std::string out = "'";
  for (const char c : text) {
    if (c == '\'') out += '\'';
    out += c == '\n' ? ' ' : c;
  }
  return out + "'";
}

void write_plot(std::ostream& script, const Plot& plot, const std::string& file) {
  script << "reset\nset output " << quoted(file) << "\nset title " << quoted(plot.title)
         << " noenhanced\nset xlabel " << quoted(plot.x_label) << " noenhanced\nset ylabel "
         << quoted(plot.y_label) << " noenhanced\nset grid\nset key noenhanced\n"
         << "set key outside bottom center horizontal\n";
  if (plot.log_x) script << "set logscale x\n";
  if (plot.log_y) script << "set logscale y\n";
  std::string what;
  int block = 0;
  int kind = 3;  // of the marker: 6, 8, 10 are open circle and triangles
  for (const auto& curve : plot.curves) {
    const std::string name = fmt::format("$data{}", block++);
    script << name << " << EOD\n";
    std::size_t lines = 0;
    for (std::size_t i = 0; i < std::min(curve.x.size(), curve.y.size()); ++i) {
      if (!std::isfinite(curve.x[i]) || !std::isfinite(curve.y[i])) continue;
      script << fmt::format("{:.9g} {:.9g}\n", curve.x[i], curve.y[i]);
      ++lines;
    }
    script << "EOD\n";
    if (lines == 0) continue;
    // Markers in a dark colour, to be seen against the lines.
    const std::string style = curve.points
                                  ? fmt::format("points pt {} ps 0.5 lc rgb '#222222'", 2 * kind++)
                                  : "lines lw 1.5";
    what += fmt::format("{}{} with {} title {}", what.empty() ? "" : ", ", name, style,
                        quoted(curve.name));
  }
  if (!what.empty()) script << "plot " << what << "\nunset output\n";
}

std::string text_of(const std::filesystem::path& file) {
  const std::ifstream stream(file);
  std::ostringstream text;
  text << stream.rdbuf();
  return text.str();
}

}  // namespace

std::vector<std::vector<std::string>> draw_plots(const std::vector<CaseOutcome>& outcomes,
                                                 const std::filesystem::path& folder) {
  std::vector<std::vector<std::string>> drawn(outcomes.size());
  // gnuplot runs inside a folder of its own, so that no path needs quoting for the shell.
  const auto work = folder / "plots.tmp";
  std::filesystem::create_directories(work);
  {
    std::ofstream script(work / "plots.gp");
    script << "set terminal svg size 620,420 font 'sans,11' background '#ffffff'\n";
    for (std::size_t i = 0; i < outcomes.size(); ++i) {
      const auto& plots = outcomes[i].report.plots;
      for (std::size_t k = 0; k < plots.size(); ++k) {
        write_plot(script, plots[k], fmt::format("{}-{}.svg", i, k));
      }
    }
    script.flush();
    if (!script) throw std::runtime_error("cannot write " + (work / "plots.gp").string());
  }
  const auto before = std::filesystem::current_path();
  std::filesystem::current_path(work);
  // An error in one plot stops the script; plots drawn before it are kept.
  [[maybe_unused]] const int code = std::system("gnuplot plots.gp > plots.log 2>&1");
  std::filesystem::current_path(before);
  for (std::size_t i = 0; i < outcomes.size(); ++i) {
    for (std::size_t k = 0; k < outcomes[i].report.plots.size(); ++k) {
      const auto file = work / fmt::format("{}-{}.svg", i, k);
      drawn[i].push_back(std::filesystem::exists(file) ? text_of(file) : std::string());
    }
  }
  std::filesystem::remove_all(work);
  return drawn;
}

}  // namespace pulsewright::validation
